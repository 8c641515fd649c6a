package document

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"sync"
	"time"

	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/resource/ingest"
	"mastworth/yield/assess"
)

// Time is a Unix time on the wire.
func Time(unix int64) time.Time { return time.Unix(unix, 0).UTC() }

// OrNull is nil where v is no finite number.
func OrNull(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// Methods names the versions of everything a stored figure rests on besides its inputs. It changes when a method does.
const Methods = "3"

// ImportWarnings tells an estimate what was wrong with the file its record came from and what had to be assumed in reading it.
func ImportWarnings(r *openapi.ImportReport) []assess.Warning {
	var out []assess.Warning
	if r.ProblemCount > 0 && len(r.Problems) > 0 {
		first := r.Problems[0]
		out = append(out, assess.Warning{Code: "record_problems", Detail: fmt.Sprintf("the record's file has faults (%d), the first in "+
			"line %d: %s; the import report lists them", r.ProblemCount, first.Line, first.Detail)})
	}
	for _, a := range r.Assumptions {
		out = append(out, assess.Warning{Code: "record_assumption", Detail: "in reading the record, " + a})
	}
	return out
}

// UnitDoubts are the units that screening doubts, by channel.
func UnitDoubts(found []resource.Finding) map[string]string {
	out := map[string]string{}
	for i := range found {
		if f := &found[i]; f.Rule == resource.SuspectUnit {
			out[f.Channel] = f.Detail
		}
	}
	return out
}

// StoredUnitDoubts are those of a record's statistics as they are stored.
func StoredUnitDoubts(statistics []byte) (map[string]string, error) {
	var kept struct {
		Screening []openapi.Finding `json:"screening"`
	}
	if err := json.Unmarshal(statistics, &kept); err != nil {
		return nil, fmt.Errorf("the stored statistics of a record: %w", err)
	}
	out := map[string]string{}
	for i := range kept.Screening {
		if f := &kept.Screening[i]; f.Rule == resource.SuspectUnit {
			out[f.Channel] = f.Detail
		}
	}
	return out, nil
}

// FromReport is an import report on the wire.
func FromReport(r *ingest.Report) openapi.ImportReport {
	out := openapi.ImportReport{
		Format: r.Format, Rows: r.Rows, LeftOut: r.LeftOut, Kept: r.Kept, StepS: r.StepS,
		Columns:      make([]openapi.ImportColumn, len(r.Columns)),
		ProblemCount: r.ProblemCount, ProblemCounts: r.ProblemCounts, Problems: make([]openapi.ImportProblem, len(r.Problems)),
		GapCount: r.GapCount, Gaps: make([]openapi.ImportGap, len(r.Gaps)), MissingStamps: r.MissingStamps,
		Assumptions: append([]string{}, r.Assumptions...),
	}
	if out.ProblemCounts == nil {
		out.ProblemCounts = map[string]int64{}
	}
	for i, c := range r.Columns {
		out.Columns[i] = openapi.ImportColumn{Number: c.Number, Name: c.Name, Quantity: c.Quantity, HeightM: heightOrNull(c.HeightM), Unit: c.Unit,
			How: c.How, Missing: c.Missing, Problems: c.Problems}
	}
	for i, p := range r.Problems {
		out.Problems[i] = openapi.ImportProblem(p)
	}
	for i, g := range r.Gaps {
		out.Gaps[i] = openapi.ImportGap{From: Time(g.FromUnix), To: Time(g.ToUnix), Missing: g.Missing}
	}
	return out
}

// FromStatistics is the statistics of every speed channel of a screened series, with what screening found.
func FromStatistics(s *resource.Series, found []resource.Finding) (openapi.RecordStatistics, error) {
	out := openapi.RecordStatistics{Method: Methods, Screening: fromFindings(found)}
	// Channels are described side by side: over a long record each takes a while.
	speeds := s.SpeedChannels()
	out.Channels = make([]openapi.SpeedStatistics, len(speeds))
	failed := make([]error, len(speeds))
	var wg sync.WaitGroup
	for k, i := range speeds {
		wg.Go(func() {
			defer func() {
				if p := recover(); p != nil {
					failed[k] = fmt.Errorf("statistics of channel %q panicked: %v", s.Channels[i].Name, p)
				}
			}()
			st, err := resource.Describe(s, i)
			if err != nil {
				failed[k] = fmt.Errorf("statistics of channel %q: %w", s.Channels[i].Name, err)
				return
			}
			out.Channels[k] = fromStatistics(&st)
		})
	}
	wg.Wait()
	if err := errors.Join(failed...); err != nil {
		return out, err
	}
	return out, nil
}

func fromStatistics(st *resource.Statistics) openapi.SpeedStatistics {
	out := openapi.SpeedStatistics{
		Channel: st.Channel, HeightM: OrNull(st.HeightM), N: int64(st.N), Missing: int64(st.Missing), Flagged: int64(st.Flagged),
		Completeness: OrNull(st.Completeness), MeanMS: OrNull(st.Mean), MeanOfMonthsMS: OrNull(st.MeanOfMonths),
		MonthsCounted: st.MonthsCounted, SDMS: OrNull(st.SD), MeanCubeM3S3: OrNull(st.MeanCube), AirDensityKgM3: OrNull(st.AirDensity),
		PowerDensityWM2: OrNull(st.PowerDensity), MaxMS: OrNull(st.Max), CalmShare: OrNull(st.CalmShare),
		Months: fromPeriods(st.Months[:]), Hours: fromPeriods(st.Hours[:]),
		Histogram: openapi.SpeedHistogram{EdgesMS: nonNil(st.Histogram.Edges), Shares: nonNil(st.Histogram.Shares)},
	}
	if st.FitError != nil {
		out.WeibullRefused = st.FitError.Error()
	} else {
		out.Weibull = fromRecordFit(&st.Fit)
	}
	if st.Sectors != nil {
		out.Sectors = make([]openapi.WindSector, len(st.Sectors))
		for i, sec := range st.Sectors {
			out.Sectors[i] = openapi.WindSector{FromDeg: sec.FromDeg, ToDeg: sec.ToDeg, Share: OrNull(sec.Share), MeanSpeedMS: OrNull(sec.Mean)}
			if sec.Fit != nil {
				out.Sectors[i].Weibull = fromRecordFit(sec.Fit)
			}
		}
	}
	return out
}

func fromRecordFit(f *resource.Fit) *openapi.WeibullFit {
	return &openapi.WeibullFit{Shape: OrNull(f.Shape), ScaleMS: OrNull(f.Scale), Method: string(f.Method), ShapeSE: OrNull(f.ShapeSE),
		ScaleSEMS: OrNull(f.ScaleSE)}
}

func fromPeriods(in []resource.PeriodStat) []openapi.PeriodMean {
	out := make([]openapi.PeriodMean, len(in))
	for i, p := range in {
		out[i] = openapi.PeriodMean{N: int64(p.N), MeanMS: OrNull(p.Mean), Completeness: OrNull(p.Completeness)}
	}
	return out
}

// nonNil keeps an empty list from becoming null.
func nonNil(v []float64) []float64 {
	if v == nil {
		return []float64{}
	}
	return v
}

// heightOrNull is nil for a height that is not known, which readers tell as NaN or 0.
func heightOrNull(m float64) *float64 {
	if m == 0 {
		return nil
	}
	return OrNull(m)
}

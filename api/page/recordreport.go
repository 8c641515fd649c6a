package page

import (
	"fmt"
	"maps"
	"slices"

	"mastworth/api/chart"
	"mastworth/openapi"
)

// What a page lists of a record; the JSON has the rest.
const (
	recordFindings = 40
	recordLines    = 15
	openGaps       = 5 // of these lines; the further ones are closed until they are asked for
)

// RecordFinding is one thing that screening found, in words.
type RecordFinding struct{ Rule, Channel, Period, Count, Done, Detail string }

// RecordReport is what came of reading the file.
type RecordReport struct {
	Rows, Kept, LeftOut string
	Columns             []RecordColumn
	Problems            []string
	MoreProblems        int64
	Gaps, FurtherGaps   []string
	MoreGaps            int64
	Assumptions         []string
}

// RecordColumn is a column of the file and what it was taken for.
type RecordColumn struct{ Number, Name, Taken, Height, Unit, How, Missing string }

func newRecordReport(r *openapi.ImportReport, u Units) RecordReport {
	out := RecordReport{Rows: Number(float64(r.Rows), 0), Kept: Number(float64(r.Kept), 0)}
	for _, a := range doubtsFirst(r.Assumptions) {
		out.Assumptions = append(out.Assumptions, u.words(a))
	}
	if r.LeftOut > 0 {
		out.LeftOut = Number(float64(r.LeftOut), 0)
	}
	for _, c := range r.Columns {
		one := RecordColumn{Number: fmt.Sprint(c.Number), Name: c.Name, Taken: Text("record.not_used"), Unit: c.Unit, How: c.How,
			Missing: Number(float64(c.Missing), 0)}
		if c.Quantity != "" {
			one.Taken, one.Height = quantityWords(c.Quantity), u.length(c.HeightM)
		}
		out.Columns = append(out.Columns, one)
	}
	for i, p := range r.Problems {
		if i == recordLines {
			break
		}
		out.Problems = append(out.Problems, problemWords(&p, u))
	}
	out.MoreProblems = r.ProblemCount - int64(len(out.Problems))
	for i, g := range r.Gaps {
		if i == recordLines {
			break
		}
		words := Text("record.gap_of_one", Stamp(g.From, 0), Stamp(g.To, 0))
		if g.Missing != 1 {
			words = Text("record.gap", Stamp(g.From, 0), Stamp(g.To, 0), Number(float64(g.Missing), 0))
		}
		out.Gaps = append(out.Gaps, words)
	}
	out.MoreGaps = r.GapCount - int64(len(out.Gaps))
	if len(out.Gaps) > openGaps+1 { // one alone is not worth hiding
		out.Gaps, out.FurtherGaps = out.Gaps[:openGaps], out.Gaps[openGaps:]
	}
	return out
}

func problemWords(p *openapi.ImportProblem, u Units) string {
	where := Text("record.line", p.Line)
	if p.ColumnName != "" {
		where += ", " + Text("record.column", p.ColumnName)
	}
	return where + ": " + u.words(p.Detail)
}

// findings puts what screening found into words.
func (r *Record) findings(rec *openapi.Record) {
	r.FindingsCount = len(rec.Statistics.Screening)
	for i, f := range rec.Statistics.Screening {
		if i == recordFindings {
			r.MoreFindings = r.FindingsCount - i
			break
		}
		r.Findings = append(r.Findings, RecordFinding{Rule: ruleWords(f.Rule), Channel: f.Channel, Period: period(f.From, f.To, rec.UTCOffsetS),
			Count: Number(float64(f.Count), 0), Done: Text("record.action." + string(f.Action)), Detail: r.words(f.Detail)})
	}
}

func ruleWords(rule string) string {
	if words, ok := catalogue()["record.rule."+rule]; ok {
		return words
	}
	return rule
}

// FindingsChart draws what screening found along the record's time.
func FindingsChart(r *openapi.Record, u Units) chart.Chart {
	return chart.TimelineFindings(chart.Timeline{From: r.First.Unix(), To: r.Last.Unix() + r.StepS, UTCOffsetS: r.UTCOffsetS, Lanes: lanesOf(r, u)})
}

// lanesOf are the findings by channel and rule.
func lanesOf(r *openapi.Record, u Units) []chart.Lane {
	lanes := map[string]*chart.Lane{}
	for _, f := range r.Statistics.Screening {
		name := ruleWords(f.Rule)
		if f.Channel != "" {
			name = f.Channel + ": " + name
		}
		if lanes[name] == nil {
			lanes[name] = &chart.Lane{Name: name}
		}
		lanes[name].Spans = append(lanes[name].Spans, chart.Span{From: f.From.Unix(), To: f.To.Unix() + r.StepS, Words: u.words(f.Detail), Scattered: scattered(&f, r.StepS)})
	}
	var out []chart.Lane
	for _, name := range slices.Sorted(maps.Keys(lanes)) {
		out = append(out, *lanes[name])
	}
	return out
}

// scattered reports whether a finding's values fill less than half of the time from its first to its last.
func scattered(f *openapi.Finding, stepS int64) bool {
	return 2*f.Count*stepS < f.To.Unix()+stepS-f.From.Unix()
}

func findingsHeight(r *openapi.Record) int { return min(max(180, 90+34*len(lanesOf(r, Units{}))), 700) }

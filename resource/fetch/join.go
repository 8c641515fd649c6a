package fetch

import (
	"fmt"
	"math"
	"slices"

	"mastworth/resource"
	"mastworth/resource/ingest"
)

// mostKept is how many problems and how many gaps a joined report keeps in full; it counts them all.
const mostKept = 100

// part is one year as it was read.
type part struct {
	year   int
	series *resource.Series
	report ingest.Report
}

// channelKey tells which channels of different years are one. The height is in bits, for NaN is not equal to itself.
type channelKey struct {
	quantity resource.Quantity
	height   uint64
	name     string
}

func keyOf(c *resource.Channel) channelKey {
	return channelKey{c.Quantity, math.Float64bits(c.HeightM), c.Name}
}

// cut keeps the stamps in [from, to), in Unix seconds.
func (p *part) cut(from, to int64) {
	s := p.series
	lo, _ := slices.BinarySearch(s.Times, from)
	hi, _ := slices.BinarySearch(s.Times, to)
	hi = max(lo, hi)
	s.Times = s.Times[lo:hi]
	for i := range s.Channels {
		c := &s.Channels[i]
		c.Values = c.Values[lo:hi]
		if c.Flags != nil {
			c.Flags = c.Flags[lo:hi]
		}
	}
}

// join strings the years together, which must be in order: one time axis, strictly rising, one step, one offset. Where
// two years overlap, as they may at their seam, the later one is taken. A channel that a year does not have is missing
// in it.
func join(parts []part, offsetS int64) (*resource.Series, []note) {
	var notes []note
	for i := 1; i < len(parts); i++ {
		if later := parts[i].series.Times; len(later) > 0 {
			for k := i - 1; k >= 0; k-- {
				parts[k].cut(math.MinInt64, later[0])
			}
		}
	}
	out := &resource.Series{UTCOffsetS: offsetS}
	total := 0
	stamps := map[int64]int{} // by step
	for i := range parts {
		n := parts[i].series.Len()
		total += n
		stamps[parts[i].series.StepS] += n
	}
	for step, n := range stamps {
		if most := stamps[out.StepS]; n > most || n == most && step < out.StepS {
			out.StepS = step
		}
	}
	out.Times = make([]int64, 0, total)
	at := map[channelKey]int{}
	for i := range parts {
		s := parts[i].series
		begin := len(out.Times)
		out.Times = append(out.Times, s.Times...)
		if s.StepS != out.StepS && s.Len() > 0 {
			notes = append(notes, warn("step_changes", "In %d the record has a stamp every %d s, but mostly it has one every %d s: energy is summed "+
				"as if each stood for the usual step, and the rest are gaps.", parts[i].year, s.StepS, out.StepS))
		}
		if s.Kind != resource.Measured {
			out.Kind = s.Kind
		}
		for k := range s.Channels {
			addChannel(out, at, &s.Channels[k], begin, total)
		}
		if out.Place == nil && s.Place != nil {
			out.Place = s.Place
		}
		if s.Len() > 0 || out.SourceFormat == "" {
			out.SourceFormat = s.SourceFormat
		}
	}
	return out, notes
}

// addChannel puts a year's channel where it belongs, at stamps from begin on, making it on first sight.
func addChannel(out *resource.Series, at map[channelKey]int, c *resource.Channel, begin, total int) {
	k, known := at[keyOf(c)]
	if !known {
		k = len(out.Channels)
		at[keyOf(c)] = k
		values := make([]float64, total)
		for i := range values {
			values[i] = math.NaN()
		}
		out.Channels = append(out.Channels, resource.Channel{Name: c.Name, Quantity: c.Quantity, HeightM: c.HeightM, Values: values})
	}
	to := &out.Channels[k]
	copy(to.Values[begin:], c.Values)
	if c.Flags != nil {
		if to.Flags == nil {
			to.Flags = make([]resource.Flag, total)
		}
		copy(to.Flags[begin:], c.Flags)
	}
}

// joinReports sums the years' reports and counts the gaps anew, those between the years among them. Lines are those
// within a year's answer, so each problem's detail names its year.
func joinReports(parts []part, s *resource.Series) ingest.Report {
	var out ingest.Report
	column := map[string]int{}
	for i := range parts {
		r := &parts[i].report
		if out.Format == "" {
			out.Format, out.HeaderLine = r.Format, r.HeaderLine
		}
		out.Rows += r.Rows
		out.LeftOut += r.LeftOut
		out.ProblemCount += r.ProblemCount
		for code, n := range r.ProblemCounts {
			if out.ProblemCounts == nil {
				out.ProblemCounts = map[string]int64{}
			}
			out.ProblemCounts[code] += n
		}
		for _, p := range r.Problems[:min(len(r.Problems), mostKept-len(out.Problems))] {
			p.Detail = fmt.Sprintf("%d: %s", parts[i].year, p.Detail)
			out.Problems = append(out.Problems, p)
		}
		for _, a := range r.Assumptions {
			if !slices.Contains(out.Assumptions, a) {
				out.Assumptions = append(out.Assumptions, a)
			}
		}
		for _, c := range r.Columns {
			k, known := column[c.Name]
			if !known {
				column[c.Name] = len(out.Columns)
				out.Columns = append(out.Columns, c)
				continue
			}
			out.Columns[k].Missing += c.Missing
			out.Columns[k].Problems += c.Problems
		}
	}
	out.Kept, out.StepS = int64(s.Len()), s.StepS
	countGaps(&out, s)
	return out
}

// countGaps finds the steps that the time axis leaves out.
func countGaps(r *ingest.Report, s *resource.Series) {
	for i := 1; i < len(s.Times); i++ {
		apart := s.Times[i] - s.Times[i-1]
		if apart <= s.StepS || s.StepS <= 0 {
			continue
		}
		missing := (apart+s.StepS/2)/s.StepS - 1
		if missing < 1 {
			continue
		}
		r.GapCount++
		r.MissingStamps += missing
		if len(r.Gaps) < mostKept {
			r.Gaps = append(r.Gaps, ingest.Gap{FromUnix: s.Times[i-1] + s.StepS, ToUnix: s.Times[i], Missing: missing})
		}
	}
}

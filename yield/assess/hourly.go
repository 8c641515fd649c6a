package assess

import (
	"math"

	"mastworth/resource"
	"mastworth/yield"
)

// mostSteps is how many steps a household is followed through. Of a longer record steps shorter than an hour are taken together
// to hours, and then whole years are left out, until there are no more.
const mostSteps = 100_000

// span is a stretch of a record's steps that the household is followed through as one: from the first up to but not to the last.
type span struct{ from, to int32 }

// frame is how the household goes along a record.
type frame struct {
	spans    []span
	stepS    int64
	averaged bool // shorter steps were taken together to hours
	years    int  // of so many years one was taken; 1 for all
}

func newFrame(s *resource.Series, most int) frame {
	f := frame{spans: make([]span, 0, min(s.Len(), most)), stepS: s.StepS, years: 1}
	f.averaged = s.Len() > most && s.StepS < 3600
	if f.averaged {
		f.stepS = 3600
	}
	last := int64(math.MinInt64)
	for i, t := range s.Times {
		hour := t - (t%3600+3600)%3600
		if f.averaged && hour == last {
			f.spans[len(f.spans)-1].to++
			continue
		}
		last = hour
		f.spans = append(f.spans, span{int32(i), int32(i + 1)})
	}
	if len(f.spans) > most {
		f.thin(s, most)
	}
	return f
}

// thin keeps the first of every so many years, counted from the beginning of the record, so that every season is there as often:
// the fewest years that leave no more steps than may be, of a record with gaps or a broken last year too.
func (f *frame) thin(s *resource.Series, most int) {
	const year = 365.25 * 86400
	var perYear []int
	yearOf := func(sp span) int { return int(float64(s.Times[sp.from]-s.Times[0]) / year) }
	for _, sp := range f.spans {
		for len(perYear) <= yearOf(sp) {
			perYear = append(perYear, 0)
		}
		perYear[yearOf(sp)]++
	}
	left := func() (n int) {
		for y := 0; y < len(perYear); y += f.years {
			n += perYear[y]
		}
		return n
	}
	for f.years = 2; f.years < len(perYear) && left() > most; {
		f.years++
	}
	kept := f.spans[:0]
	for _, sp := range f.spans {
		if yearOf(sp)%f.years == 0 {
			kept = append(kept, sp)
		}
	}
	f.spans = kept
}

// times are the stamps at which the spans begin.
func (f *frame) times(s *resource.Series) []int64 {
	out := make([]int64, len(f.spans))
	for k, sp := range f.spans {
		out[k] = s.Times[sp.from]
	}
	return out
}

// mean is a row of a record's steps as means over the spans, of what is known in each.
func (f *frame) mean(row []float64) []float64 {
	out := make([]float64, len(f.spans))
	for k, sp := range f.spans {
		if sp.to-sp.from == 1 {
			out[k] = row[sp.from]
			continue
		}
		sum, n := 0.0, 0
		for _, v := range row[sp.from:sp.to] {
			if v == v {
				sum += v
				n++
			}
		}
		out[k] = sum / float64(n)
	}
	return out
}

// powers is what a curve makes of a record's wind at a hub in the order of time, as means over the spans, W: the same speeds as
// move's. NaN where no speed is known.
func (w *recordWind) powers(c *speedColumn, l lift, curve *yield.Curve, f *frame) []float64 {
	ch := &w.series.Channels[c.index]
	out := make([]float64, len(f.spans))
	for k, sp := range f.spans {
		sum, n := 0.0, 0
		for i := int(sp.from); i < int(sp.to); i++ {
			if ch.Usable(i) {
				sum += curve.Power(ch.Values[i] * l.at(w.month[i], w.direction[i], w.hours[i]))
				n++
			}
		}
		out[k] = sum / float64(n)
	}
	return out
}

// hideBrokenDays takes a day's darkness out of a row of sun where most of its light is not known: the home would otherwise have
// the nights of days that are left out.
func hideBrokenDays(s *resource.Series, powerW []float64) {
	day := func(i int) int64 {
		t := s.Times[i] + s.UTCOffsetS
		return (t - (t%86400+86400)%86400) / 86400
	}
	for from := 0; from < len(powerW); {
		to, unknown, lit := from, 0, 0
		for ; to < len(powerW) && day(to) == day(from); to++ {
			switch v := powerW[to]; {
			case v != v:
				unknown++
			case v > 0:
				lit++
			}
		}
		if unknown > lit {
			for i := from; i < to; i++ {
				powerW[i] = nan
			}
		}
		from = to
	}
}

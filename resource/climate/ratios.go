package climate

import (
	"math"
	"slices"

	"mastworth/resource"
)

// RatioBin is a ratio to the mean speed of the step, turbulence intensity or gust factor, over the steps whose mean speed
// lies in a bin. Everything but N is NaN where N is 0.
type RatioBin struct {
	FromMS, ToMS float64 // from FromMS up to but not including ToMS, m/s; +Inf where it is open
	N            int     // steps
	MeanSpeedMS  float64 // m/s
	Mean         float64 // of the ratio
	SD           float64 // of the ratio, with n−1; NaN below 2
	// Representative is Mean + 1.28·SD, the level that 90 % stay below if the ratio is normal (IEC 61400-1 edition 3, clause
	// 6.3.1.3 and 11.9, from memory). NaN below 2.
	Representative float64
	P90            float64 // the level that 90 % stay below as they were, between ranks by straight line
}

// representativeAt is the 90 % quantile of the standard normal distribution, as IEC 61400-1 edition 3 rounds it.
const representativeAt = 1.28

// Ratios are gathered in cells of 0.5 m/s, which begin at 0; two of them make a bin. Bins of 1 m/s are centred on whole
// m/s, the first on 1; the last holds whatever is faster.
const (
	ratioBins    = 50
	firstSpeed   = 0.5 // m/s, where the first bin begins
	cellsPerMS   = 2
	cellsPerBin  = 2
	firstCell    = 1
	ratioCells   = firstCell + ratioBins*cellsPerBin
	fastestOfAll = ratioCells - 1
)

// ratios gathers the ratios of a channel's values to the mean speed.
type ratios struct {
	channel *resource.Channel // nil where the record has none
	lowest  float64           // of a ratio that can be
	values  []float64
	cells   []uint8 // of each
	counts  [ratioCells]int
	speeds  [ratioCells]float64 // sums, m/s
	slow    int                 // steps below the first bin
	odd     int                 // values below the lowest ratio, or infinite
}

// newRatios looks for the channel of quantity q that goes with a speed channel.
func newRatios(s *resource.Series, speed int, q resource.Quantity) ratios {
	i := companion(s, speed, q)
	if i < 0 {
		return ratios{}
	}
	r := ratios{channel: &s.Channels[i]}
	r.values = make([]float64, 0, len(r.channel.Values))
	r.cells = make([]uint8, 0, len(r.channel.Values))
	if q == resource.Gust {
		r.lowest = 1 / nudge
	}
	return r
}

// apart is how far apart two sensors are, m: 0 where both heights are unknown, MaxFloat64 where one is, and infinite where
// it is more than 5 % of the height and more than 1 m.
func apart(a, b float64) float64 {
	switch d := math.Abs(a - b); {
	case math.IsNaN(a) && math.IsNaN(b):
		return 0
	case math.IsNaN(d):
		return math.MaxFloat64
	case d > math.Max(1, 0.05*math.Max(a, b)):
		return math.Inf(1)
	default:
		return d
	}
}

// companion is the place of the channel of quantity q that goes with a speed channel, −1 for none: of those nearest to its
// height, the first for the first speed channel at that height, the second for the second, and so on; the last where
// they are fewer. A channel whose height is unknown, or beside a speed of unknown height, is taken only where the record
// has no speeds at other heights.
func companion(s *resource.Series, speed int, q resource.Quantity) int {
	height := s.Channels[speed].HeightM
	rank, single := 0, true
	for i := range s.Channels {
		c := &s.Channels[i]
		if c.Quantity != resource.Speed {
			continue
		}
		same := apart(c.HeightM, height) == 0
		single = single && same
		if same && i < speed {
			rank++
		}
	}
	found, nearest := []int(nil), math.Inf(1)
	for i := range s.Channels {
		c := &s.Channels[i]
		if c.Quantity != q {
			continue
		}
		away := apart(c.HeightM, height)
		if away == math.MaxFloat64 && !single {
			continue
		}
		if away < nearest {
			found, nearest = found[:0], away
		}
		if away == nearest && !math.IsInf(away, 1) {
			found = append(found, i)
		}
	}
	if len(found) == 0 {
		return -1
	}
	return found[min(rank, len(found)-1)]
}

// take adds step i, whose mean speed is v.
func (r *ratios) take(i int, v float64) {
	if r.channel == nil {
		return
	}
	x := r.channel.Values[i]
	if x != x || r.channel.Flags != nil && r.channel.Flags[i] != 0 {
		return
	}
	if v*nudge < firstSpeed {
		r.slow++
		return
	}
	ratio := x / v
	if !(ratio >= r.lowest && ratio <= math.MaxFloat64) {
		r.odd++
		return
	}
	cell := int(min(v*nudge*cellsPerMS, fastestOfAll))
	r.values, r.cells = append(r.values, ratio), append(r.cells, uint8(cell))
	r.counts[cell]++
	r.speeds[cell] += v
}

// bins parts the ratios by speed, up to the fastest bin that holds any; above5 is all from 5 m/s on, as one bin.
func (r *ratios) bins() (bins []RatioBin, above5 RatioBin) {
	var ends [ratioCells + 1]int
	last := 0
	for i, n := range r.counts {
		ends[i+1] = ends[i] + n
		if n > 0 {
			last = (i - firstCell) / cellsPerBin
		}
	}
	byCell := make([]float64, len(r.values))
	next := ends
	for i, cell := range r.cells {
		byCell[next[cell]] = r.values[i]
		next[cell]++
	}
	bin := func(values []float64, first, end int, from, to float64) RatioBin {
		speed := 0.0
		for _, sum := range r.speeds[first:end] {
			speed += sum
		}
		return ratioBin(values, speed, from, to)
	}
	// A bin lies on both sides of 5 m/s: what is reordered for the one must not mix the other.
	above5 = bin(slices.Clone(byCell[ends[ratioFrom*cellsPerMS]:]), ratioFrom*cellsPerMS, ratioCells, ratioFrom, math.Inf(1))
	bins = make([]RatioBin, last+1)
	for b := range bins {
		first, from := firstCell+b*cellsPerBin, firstSpeed+float64(b)
		bins[b] = bin(byCell[ends[first]:ends[first+cellsPerBin]], first, first+cellsPerBin, from, from+1)
	}
	if last == ratioBins-1 {
		bins[last].ToMS = math.Inf(1)
	}
	return bins, above5
}

// ratioBin finishes a bin. It reorders the ratios.
func ratioBin(ratios []float64, speeds, from, to float64) RatioBin {
	n := float64(len(ratios))
	b := RatioBin{FromMS: from, ToMS: to, N: len(ratios), MeanSpeedMS: speeds / n, Mean: resource.MeanOf(ratios), SD: math.NaN()}
	if len(ratios) > 1 {
		squares := 0.0
		for _, x := range ratios {
			squares += (x - b.Mean) * (x - b.Mean)
		}
		b.SD = math.Sqrt(squares / (n - 1))
	}
	b.Representative = b.Mean + representativeAt*b.SD
	b.P90 = quantile(ratios, 0.9)
	return b
}

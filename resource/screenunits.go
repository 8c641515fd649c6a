package resource

import (
	"fmt"
	"math"
)

// What counts as a suspect unit. Judgement: no place within reach of a small mast has such means; whole numbers are
// how instruments write knots, mph and km/h.
var unitLimits = []Limit{
	{"suspect_unit.mean_m_s", 13, "m/s", 3, 50, "mean speed above which the unit is doubted"},
	{"suspect_unit.whole_mean_m_s", 9, "m/s", 3, 50, "the same where all speeds are whole numbers"},
	{"suspect_unit.fewest_values", 500, "", 50, 1e6, "values needed"},
}

// The places of unitLimits.
const (
	unitMean = iota
	unitWholeMean
	unitFewest
)

// The units of speed in m/s: exactly, by their definitions.
const (
	knotMS = 1852.0 / 3600
	mphMS  = 0.44704
	kmhMS  = 1 / 3.6
)

// findUnit reports a channel that seems to be in another unit.
func findUnit(x *screening, channel int) {
	c := &x.s.Channels[channel]
	if c.Quantity == Speed {
		x.suspectSpeed(channel)
		return
	}
	first, last, n, mean := -1, -1, 0, 0.0
	if len(otherUnits[c.Quantity]) == 0 {
		return
	}
	for r, v := range c.Values { // all values: range has flagged most
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			if n == 0 {
				first = r
			}
			last = r
			n++
			mean += v
		}
	}
	mean /= float64(n)
	if float64(n) < x.limits[unitFewest] {
		return
	}
	for _, u := range otherUnits[c.Quantity] {
		if mean >= u.low && mean <= u.high {
			x.report(channel, first, last, n, fmt.Sprintf("the mean is %.4g, which no place has, but which would be usual in %s: name the column's unit and read the record again",
				mean, u.name))
			return
		}
	}
}

// otherUnits says which means of a quantity point to which other unit.
var otherUnits = map[Quantity][]struct {
	low, high float64
	name      string
}{
	Temperature: {{200, 340, "kelvin"}, {43, 130, "°F"}}, // the hottest month of the hottest places has a mean near 40 °C
	Pressure:    {{500, 1100, "hPa"}, {50, 110, "kPa"}, {15, 33, "inches of mercury"}},
	Humidity:    {{1.2, 110, "per cent"}},
}

// lattice is a sample of a channel's distinct values.
type lattice struct {
	counts map[float64]int
	n      int // values counted
}

const (
	latticeMost   = 400   // distinct values: more are no lattice of a coarse unit
	latticeFewest = 8     // distinct values above zero
	latticeShare  = 0.999 // of the values lie on it
)

// latticeOf is nil where there are too many distinct values. It counts in a table of its own, since a map would take as long as the
// reading of the file does for a column.
func latticeOf(c *Channel) *lattice {
	const slots = 1024 // a power of two, over twice as many as there may be values
	var values [slots]float64
	var counts [slots]int
	n, distinct := 0, 0
	for r, v := range c.Values {
		if !c.Usable(r) {
			continue
		}
		n++
		at := math.Float64bits(v+0) * 0x9e3779b97f4a7c15 >> 54 // Fibonacci hashing; + 0 makes one of both zeros
		for counts[at] > 0 && values[at] != v {
			at = (at + 1) % slots
		}
		if counts[at] == 0 {
			if distinct++; distinct > latticeMost {
				return nil
			}
			values[at] = v
		}
		counts[at]++
	}
	l := &lattice{counts: make(map[float64]int, distinct), n: n}
	for at, count := range counts {
		if count > 0 {
			l.counts[values[at]] = count
		}
	}
	return l
}

// holds reports whether the values are multiples of pitch, to within off, and fill at least half of the places they span.
func (l *lattice) holds(pitch, off float64) bool {
	on, steps, highest := 0, 0, 0.0
	for v, n := range l.counts {
		k := math.Round(v / pitch)
		if !(math.Abs(v-k*pitch) <= off) {
			continue
		}
		on += n
		if k > 0 {
			steps++
			highest = max(highest, k)
		}
	}
	return float64(on) >= latticeShare*float64(l.n) && steps >= latticeFewest && 2*float64(steps) >= highest
}

// share is the share of a value.
func (l *lattice) share(v float64) float64 { return float64(l.counts[v]) / float64(l.n) }

// foreign are lattices that speeds in m/s cannot honestly lie on: whole numbers of one unit written in another. Speeds
// converted to m/s lie on other ones, of 0.514444, 0.44704 or 0.277778 m/s, and those are in order.
var foreign = [...]struct {
	pitch            float64
	whole, writtenIn string
	toMS             float64
}{
	{knotMS / mphMS, "knots", "mph", mphMS},
	{knotMS / kmhMS, "knots", "km/h", kmhMS},
	{mphMS / kmhMS, "mph", "km/h", kmhMS},
	{1 / kmhMS, "m/s", "km/h", kmhMS},
	{1 / knotMS, "m/s", "knots", knotMS},
	{1 / mphMS, "m/s", "mph", mphMS},
}

// SuspectUnit is the name of the rule that doubts units.
const SuspectUnit = "suspect_unit"

// latticeRounding is how far values written to two decimals are off.
const latticeRounding = 0.0051

func (x *screening) suspectSpeed(channel int) {
	c := &x.s.Channels[channel]
	mean, first, last, n := 0.0, -1, -1, 0
	for r, v := range c.Values {
		if c.Usable(r) {
			if n == 0 {
				first = r
			}
			last = r
			n++
			mean += v
		}
	}
	mean /= float64(n)
	if float64(n) < x.limits[unitFewest] {
		return
	}
	say := func(why string) {
		x.report(channel, first, last, n, why+": name the column's unit and read the record again, if it is not m/s")
	}
	l := latticeOf(c)
	if l != nil {
		for _, f := range foreign {
			if l.holds(f.pitch, latticeRounding) {
				say(fmt.Sprintf("all speeds are multiples of %.6g, as whole %s written in %s are; the mean of %.3g m/s would be %.3g m/s",
					f.pitch, f.whole, f.writtenIn, mean, mean*f.toMS))
				return
			}
		}
	}
	whole := l != nil && l.holds(1, 0)
	switch {
	case whole && mean > x.limits[unitWholeMean]:
		say(fmt.Sprintf("all speeds are whole numbers and their mean is %.3g; in knots, mph or km/h it would be %.3g, %.3g or %.3g m/s",
			mean, mean*knotMS, mean*mphMS, mean*kmhMS))
	case whole && l.share(0) > 0.01 && l.share(3) > 0.01 && l.share(1)+l.share(2) == 0:
		say(fmt.Sprintf("all speeds are whole numbers, with 0 and 3 but without 1 and 2, as airports write knots; the mean of %.3g would be %.3g m/s",
			mean, mean*knotMS))
	case mean > x.limits[unitMean]:
		say(fmt.Sprintf("the mean speed is %.3g m/s, more than any place within reach has; in knots, mph or km/h it would be %.3g, %.3g or %.3g m/s",
			mean, mean*knotMS, mean*mphMS, mean*kmhMS))
	}
}

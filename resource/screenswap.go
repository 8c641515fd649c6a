package resource

import (
	"fmt"
	"math"
)

// What counts as swapped. Each test is made month by month, since cables are swapped when somebody has been there; odd
// months on end make one finding. Nothing is flagged: only somebody who knows the mast can tell. Judgement.
var swapLimits = []Limit{
	{"swapped_channels.share", 0.5, "", 0.05, 1, "share of a month's values that must contradict each other"},
	{"swapped_channels.height_share", 0.75, "", 0.5, 1, "share of a month's values with the lower sensor faster than the upper"},
	{"swapped_channels.fewest_values", 100, "", 10, 100000, "values needed in a month"},
}

// The places of swapLimits.
const (
	swapShare = iota
	swapHeightShare
	swapFewest
)

const (
	swapDirectionMS   = 75   // above this no speed is, and most directions are
	swapDirectionMost = 360  // above this no direction is
	swapDirections    = 0.25 // share of a month's "speeds" that only a direction can be
	swapSpeedMost     = 45   // nearly all speeds are below
	swapSpeeds        = 0.99 // share of a month's "directions" that could be speeds
	swapBreeze        = 2    // m/s: in weaker wind deviations are honestly above the mean
	swapLull          = 3    // m/s: heights are compared in real wind
	swapRounding      = 0.5  // m/s: means and gusts are rounded, some to whole numbers
	swapApart         = 1.1  // heights further apart than this are two heights
)

// findSwapped compares speeds with directions, with deviations and gusts of their height, and with each other.
func findSwapped(x *screening) {
	s := x.s
	speeds := s.SpeedChannels()
	for _, i := range speeds {
		if x.spanOf(i).high > swapDirectionMS {
			x.swappedWithDirection(i)
		}
		if x.spanOf(i).low < 0 {
			x.negative(i)
		}
		if j := s.beside(SpeedSD, i); j >= 0 {
			x.swappedWithDeviation(i, j)
		}
		if j := s.beside(Gust, i); j >= 0 {
			x.swappedWithGust(i, j)
		}
	}
	for k, i := range speeds {
		for _, j := range speeds[k+1:] {
			if s.Channels[j].HeightM > swapApart*s.Channels[i].HeightM { // false for NaN
				x.swappedHeights(i, j)
			}
		}
	}
}

// beside is the channel of a quantity that belongs to channel i by its height; −1 for none.
func (s *Series) beside(q Quantity, i int) int {
	h := s.Channels[i].HeightM
	j := s.Find(q, h)
	if j < 0 || (s.Channels[j].HeightM != h && !math.IsNaN(s.Channels[j].HeightM) && !math.IsNaN(h)) {
		return -1
	}
	return j
}

// oddMonths tests each row of each month and says once for months on end in which odd rows are so large a share. The
// verdict of a row is 1 for odd, 0 for good and −1 where it cannot be told.
func (x *screening) oddMonths(share float64, verdict func(row int) int, found func(from, to, n, odd int)) {
	starts := x.monthStarts()
	from, to, n, odd := -1, -1, 0, 0
	flush := func() {
		if from >= 0 {
			found(from, to, n, odd)
		}
		from, n, odd = -1, 0, 0
	}
	for m := range len(starts) - 1 {
		inMonth, oddInMonth := 0, 0
		for r := starts[m]; r < starts[m+1]; r++ {
			switch verdict(r) {
			case 1:
				inMonth++
				oddInMonth++
			case 0:
				inMonth++
			}
		}
		if float64(inMonth) < x.limits[swapFewest] {
			continue
		}
		if float64(oddInMonth) < share*float64(inMonth) {
			flush()
			continue
		}
		if from < 0 {
			from = starts[m]
		}
		to, n, odd = starts[m+1]-1, n+inMonth, odd+oddInMonth
	}
	flush()
}

// oddIf is the verdict on a condition.
func oddIf(odd bool) int {
	if odd {
		return 1
	}
	return 0
}

// swappedWithDirection looks at all values, since range has flagged most of them.
func (x *screening) swappedWithDirection(channel int) {
	s := x.s
	c := &s.Channels[channel]
	x.oddMonths(swapDirections, func(r int) int {
		v := c.Values[r]
		if math.IsNaN(v) {
			return -1
		}
		return oddIf(v > swapDirectionMS && v <= swapDirectionMost)
	}, func(from, to, n, odd int) {
		detail := fmt.Sprintf("%d of %d values are between %d and %d, as directions are and speeds are not", odd, n, swapDirectionMS, swapDirectionMost)
		if d := s.Find(Direction, c.HeightM); d >= 0 && s.Channels[d].likeSpeeds(from, to) {
			detail += fmt.Sprintf(", and %q holds what looks like speeds: the two seem to be swapped", s.Channels[d].Name)
		}
		x.report(channel, from, to, odd, detail+"; say which column is which and read the record again")
	})
}

// likeSpeeds reports whether nearly all of a direction channel's values could be speeds.
func (c *Channel) likeSpeeds(from, to int) bool {
	n, low := 0, 0
	for _, v := range c.Values[from : to+1] {
		if !math.IsNaN(v) {
			n++
			if v <= swapSpeedMost {
				low++
			}
		}
	}
	return n > 0 && float64(low) >= swapSpeeds*float64(n)
}

func (x *screening) negative(channel int) {
	c := &x.s.Channels[channel]
	x.oddMonths(x.limits[swapShare], func(r int) int {
		v := c.Values[r]
		if math.IsNaN(v) {
			return -1
		}
		return oddIf(v < 0)
	}, func(from, to, n, odd int) {
		x.report(channel, from, to, odd, fmt.Sprintf(
			"%d of %d speeds are below zero: the calibration's slope or offset seems to have the wrong sign", odd, n))
	})
}

func (x *screening) swappedWithDeviation(channel, deviation int) {
	c, d := &x.s.Channels[channel], &x.s.Channels[deviation]
	x.oddMonths(x.limits[swapShare], func(r int) int {
		v, sd := c.Values[r], d.Values[r]
		if !(max(v, sd) >= swapBreeze) || !c.Usable(r) || !d.Usable(r) {
			return -1
		}
		return oddIf(sd > v)
	}, func(from, to, n, odd int) {
		x.report(channel, from, to, odd, fmt.Sprintf(
			"in %d of %d steps the standard deviation %q is larger than the mean: the two columns seem to be swapped", odd, n, d.Name))
	})
}

func (x *screening) swappedWithGust(channel, gust int) {
	c, g := &x.s.Channels[channel], &x.s.Channels[gust]
	x.oddMonths(x.limits[swapShare], func(r int) int {
		v, highest := c.Values[r], g.Values[r]
		if !(v >= swapBreeze) || !c.Usable(r) || !g.Usable(r) {
			return -1
		}
		return oddIf(highest < v-swapRounding)
	}, func(from, to, n, odd int) {
		x.report(channel, from, to, odd, fmt.Sprintf(
			"in %d of %d steps the gust %q is below the mean: the two columns seem to be swapped", odd, n, g.Name))
	})
}

func (x *screening) swappedHeights(lower, upper int) {
	a, b := &x.s.Channels[lower], &x.s.Channels[upper]
	x.oddMonths(x.limits[swapHeightShare], func(r int) int {
		v, w := a.Values[r], b.Values[r]
		if !(v+w >= 2*swapLull) || !a.Usable(r) || !b.Usable(r) {
			return -1
		}
		return oddIf(v > w)
	}, func(from, to, n, odd int) {
		x.report(lower, from, to, odd, fmt.Sprintf(
			"at %g m it reads more than %q at %g m in %d of %d steps: the two may be swapped, unless the mast stands on a crest",
			a.HeightM, b.Name, b.HeightM, odd, n))
	})
}

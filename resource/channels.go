package resource

import (
	"cmp"
	"math"
	"slices"
)

// SpeedChannels lists the places in s.Channels of the speed channels, lowest first; those of unknown height come last,
// and equals keep their order.
func (s *Series) SpeedChannels() []int {
	var out []int
	for i := range s.Channels {
		if s.Channels[i].Quantity == Speed {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int {
		return cmp.Compare(heightOrder(s.Channels[a].HeightM), heightOrder(s.Channels[b].HeightM))
	})
	return out
}

func heightOrder(heightM float64) float64 {
	if math.IsNaN(heightM) {
		return math.Inf(1)
	}
	return heightM
}

// Find is the place in s.Channels of the channel of quantity q whose height is nearest to nearHeight, m above ground;
// −1 where the record has none. A channel of unknown height is only taken where no other is there; for nearHeight NaN
// the first channel of known height is taken, or else the first. Among equals the first.
func (s *Series) Find(q Quantity, nearHeight float64) int {
	found, nearest := -1, math.Inf(1)
	for i := range s.Channels {
		c := &s.Channels[i]
		if c.Quantity != q {
			continue
		}
		away := math.MaxFloat64 // unknown height: better than none
		if !math.IsNaN(c.HeightM) {
			away = 0
			if !math.IsNaN(nearHeight) {
				away = math.Abs(c.HeightM - nearHeight)
			}
		}
		if away < nearest {
			found, nearest = i, away
		}
	}
	return found
}

// mean is the plain mean of a channel's usable values; NaN where there are none.
func (c *Channel) mean() float64 {
	sum, n := 0.0, 0
	for i, v := range c.Values {
		if c.Usable(i) {
			sum += v
			n++
		}
	}
	return sum / float64(n)
}

// SectorOf is the sector of a direction, degrees clockwise from north, of n sectors of equal width, numbered clockwise
// from 0, which is centred on north. A direction on a border belongs to the sector clockwise of it. Directions beyond a
// full turn are wound back; NaN and infinite ones give −1. It panics for n below 1.
func SectorOf(directionDeg float64, n int) int {
	if n < 1 {
		panic("resource: there must be at least one sector")
	}
	if !(directionDeg >= 0 && directionDeg <= 360) {
		directionDeg = math.Mod(directionDeg, 360)
		if math.IsNaN(directionDeg) {
			return -1
		}
		if directionDeg < 0 {
			directionDeg += 360
		}
	}
	i := int(directionDeg*float64(n)/360 + 0.5)
	if i >= n {
		i -= n
	}
	return i
}

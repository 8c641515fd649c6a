package shelter

import (
	"fmt"
	"math"
)

// DirectionCount is the number of directions told apart: every 10 degrees, the first centred on north.
const DirectionCount = 36

// TurbulenceMost is the most turbulence that At adds. More would say no more than that no turbine belongs there.
const TurbulenceMost = 0.5

// Shelter is what obstacles do to the wind at one height, by the direction it comes from.
type Shelter struct {
	Factor          [DirectionCount]float64 // speed kept, 0 to 1
	AddedTurbulence [DirectionCount]float64 // turbulence intensity added in quadrature, over the local mean speed; 0 to TurbulenceMost
	Refused         []Refusal               // obstacles in whose eddy the height is; nil for none
	Worst           Worst
}

// Refusal is an obstacle in whose eddy the height is, where no formula holds.
type Refusal struct {
	Obstacle   int                  // its index
	Why        string               // in words, with numbers and remedy
	Directions [DirectionCount]bool // winds in which it is
}

// Worst is the direction that loses most, and the obstacle that has most to do with it. Both are −1 where nothing is lost.
type Worst struct {
	Direction, Obstacle int
	Lost                float64 // share of the speed
}

// At is the shelter at a height of hubM, in m above ground, after so many years of growth. z0 is the roughness length, m,
// of the ground that wind from a direction (0 to 35) blows over. Obstacles must be valid.
//
// Wind from one direction wanders. By common practice the mast feels what stands within 15 degrees of the direction to
// either side, and an obstacle's deficit counts by the share of that sector which it fills. (Behind a single obstacle
// wind comes in from the sides, so that its wake dies sooner than a fence's, as Taylor & Salmon 1993 work out; the
// narrowing stands for that.)
//
// Obstacles side by side fill shares of their own, and their deficits add up by share. Where one stands behind the
// other, as seen from the mast, the deficits do not add up, for the second row stands in wind that the first has slowed,
// and the two wakes are one: taken is the root of the sum of their squares, as is common practice for wakes, or, where
// the deficits are great, what the product of the factors leaves, whichever is less. Neither takes more than all of the
// wind, and one more obstacle never brings wind back.
//
// In the eddy right behind an obstacle (see Recirculates) the share it fills keeps as much wind as it lets through.
// Where such eddies fill a third of a direction's sector, 10 degrees, the height is refused; what fills less is so narrow
// that its eddy, some five times its width long, ends before the mast. Above an eddy the deficit is taken as at its end,
// where the wake has spread further up. An obstacle not higher than z0 is part of the ground and does nothing.
//
// Factor and AddedTurbulence are NaN in directions where an obstacle stands and z0 is not above 0, or hubM not above z0.
func At(obstacles []Obstacle, hubM float64, z0 func(direction int) float64, year float64) Shelter {
	if len(obstacles) == 0 {
		return open()
	}
	w := newWork(obstacles, hubM, z0)
	w.year(year, true)
	return w.shelter(w.refusals(year))
}

// lifeNodes are the shares of a life that it is sampled at, and their weights: Gauss and Lobatto's rule of four points
// (Abramowitz & Stegun 25.4.32), which holds both ends and is exact up to the fifth power.
var lifeNodes = [...]struct{ at, weight float64 }{
	{0, 1.0 / 12}, {(1 - 1/math.Sqrt(5)) / 2, 5.0 / 12}, {(1 + 1/math.Sqrt(5)) / 2, 5.0 / 12}, {1, 1.0 / 12},
}

// OverLife is the shelter at the beginning and at the end of a life of so many years, while trees grow, and its mean over
// the life, by Gauss and Lobatto's rule of four points. The mean's refusals are those of the end, for what grows never leaves an eddy. Other
// arguments are those of At.
func OverLife(obstacles []Obstacle, hubM float64, z0 func(direction int) float64, lifeYears int) (mean, first, last Shelter) {
	if len(obstacles) == 0 {
		return open(), open(), open()
	}
	w := newWork(obstacles, hubM, z0)
	w.year(0, true)
	first = w.shelter(w.refusals(0))
	if lifeYears <= 0 || !w.grows {
		return first, first, first
	}
	mean = open()
	life := float64(lifeYears)
	own := make([]float64, len(w.pairs))
	for i, node := range lifeNodes {
		if i > 0 {
			w.year(life*node.at, false)
		}
		weight := node.weight
		for p := range own {
			own[p] += weight * w.deficit[p]
		}
		s := w.directions()
		for d := range s.Factor {
			mean.Factor[d] -= weight * (1 - s.Factor[d])
			mean.AddedTurbulence[d] += weight * s.AddedTurbulence[d]
		}
	}
	last = w.shelter(w.refusals(life))
	w.deficit = own
	mean.Refused, mean.Worst = last.Refused, w.worst(&mean)
	return mean, first, last
}

// open is the shelter of a place without obstacles.
func open() Shelter {
	s := Shelter{Worst: Worst{-1, -1, 0}}
	for d := range s.Factor {
		s.Factor[d] = 1
	}
	return s
}

func (w *work) shelter(refused []Refusal) Shelter {
	s := w.directions()
	s.Refused, s.Worst = refused, w.worst(&s)
	return s
}

// worst finds the direction that loses most and the obstacle that would alone take most of it.
func (w *work) worst(s *Shelter) Worst {
	worst := Worst{-1, -1, 0}
	for d, f := range s.Factor {
		if lost := 1 - f; lost > worst.Lost {
			worst.Direction, worst.Lost = d, lost
		}
	}
	most := 0.0
	for p, at := range w.pairs {
		if own := w.deficit[p] * at.share; at.direction == worst.Direction && own > most {
			worst.Obstacle, most = at.obstacle, own
		}
	}
	return worst
}

// refusals are the obstacles whose eddies fill enough of a direction. Index order.
func (w *work) refusals(year float64) []Refusal {
	var refused []Refusal
	at := map[int]int{}
	for d := range DirectionCount {
		if w.eddyShare(d) < eddyShare {
			continue
		}
		for p := w.firstPair[d]; p < w.firstPair[d+1]; p++ {
			if !w.eddy[p] {
				continue
			}
			o := w.pairs[p].obstacle
			i, ok := at[o]
			if !ok {
				i = len(refused)
				at[o] = i
				refused = append(refused, Refusal{Obstacle: o, Why: why(w.obstacles[o], w.hub, year)})
			}
			refused[i].Directions[d] = true
		}
	}
	for i := 1; i < len(refused); i++ { // few, and nearly in order
		for j := i; j > 0 && refused[j].Obstacle < refused[j-1].Obstacle; j-- {
			refused[j], refused[j-1] = refused[j-1], refused[j]
		}
	}
	return refused
}

func why(o Obstacle, hub, year float64) string {
	h := o.HeightAt(year)
	return fmt.Sprintf("it is %.3g m high and %.3g m away: its eddy reaches %.3g m far and %.3g m up, and %g m is in it; go higher than "+
		"that, or further away", h, o.DistanceM, EddyHeights*h, eddyTop(h, o.solidity()), hub)
}

package decide

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Tower is one height on offer.
type Tower struct {
	HubHeightM float64
	YearlyCost float64 // even yearly money that pays for the whole machine on this tower; NaN if not known
	YearlyKWh  float64 // even yearly energy, from 0; NaN if not known
}

// Rung is what one tower gives beside the others.
type Rung struct {
	Tower
	PerKWh float64 // its yearly money over its yearly energy; NaN without energy
	// ExtraCost and ExtraKWh are what it has more than the tower before it, and MarginalPerKWh the one over the other: what a
	// further kWh costs by going up from there. NaN for the first tower, and MarginalPerKWh where energy does not rise; below
	// 0 where more energy costs less.
	ExtraCost, ExtraKWh, MarginalPerKWh float64
	// Dominated says that another tower gives as much or more for less, or more for as much; By is its place, the cheapest
	// of those, and −1 for none.
	Dominated bool
	By        int
	// Frontier says that no other tower, nor any mix of two, gives as much for less. FrontierPerKWh is what a further kWh costs
	// by going up from the tower before it on the frontier; it rises along it. NaN off the frontier and for its first tower.
	Frontier       bool
	FrontierPerKWh float64
}

// Ladder are the towers in the order given, and those on the frontier.
type Ladder struct {
	Rungs    []Rung
	Frontier []int // places of the towers on the frontier, by rising energy
	Cheapest int   // place of the tower with the lowest PerKWh, the first of equals; −1 for none
}

// Climb sets the money of towers, sorted by rising hub height, against their energy. The frontier is the lower convex hull of
// money over energy, from the cheapest tower to the one with the most energy (marginal analysis as textbooks of economics have
// it). Towers that are not known are left out of comparisons. The error is a *Fault.
func Climb(towers []Tower) (Ladder, error) {
	if err := validTowers(towers); err != nil {
		return Ladder{}, err
	}
	nan := math.NaN()
	l := Ladder{Rungs: make([]Rung, len(towers)), Cheapest: -1}
	for i, t := range towers {
		r := &l.Rungs[i]
		*r = Rung{Tower: t, PerKWh: nan, ExtraCost: nan, ExtraKWh: nan, MarginalPerKWh: nan, By: -1, FrontierPerKWh: nan}
		if t.YearlyKWh > 0 {
			r.PerKWh = t.YearlyCost / t.YearlyKWh
		}
		if r.PerKWh == r.PerKWh && (l.Cheapest < 0 || r.PerKWh < l.Rungs[l.Cheapest].PerKWh) {
			l.Cheapest = i
		}
		if i > 0 {
			r.ExtraCost, r.ExtraKWh = t.YearlyCost-towers[i-1].YearlyCost, t.YearlyKWh-towers[i-1].YearlyKWh
			r.MarginalPerKWh = marginal(towers[i-1], t)
		}
		for k, o := range towers {
			if o.beats(t) && (r.By < 0 || o.YearlyCost < towers[r.By].YearlyCost) {
				r.Dominated, r.By = true, k
			}
		}
	}
	l.hull()
	return l, nil
}

func validTowers(towers []Tower) error {
	for i, t := range towers {
		at := func(name string) string { return fmt.Sprintf("towers[%d].%s", i, name) }
		switch {
		case !(t.HubHeightM > 0 && t.HubHeightM < math.Inf(1)):
			return faultf(at("hub_height_m"), "must be a height above 0, not %g", t.HubHeightM)
		case i > 0 && t.HubHeightM < towers[i-1].HubHeightM:
			return faultf(at("hub_height_m"), "is %g, below the %g before it; sort the towers by height", t.HubHeightM, towers[i-1].HubHeightM)
		case math.IsInf(t.YearlyCost, 0) || t.YearlyCost < 0:
			return faultf(at("yearly_cost"), "must be a sum of money from 0, not %g", t.YearlyCost)
		case math.IsInf(t.YearlyKWh, 0) || t.YearlyKWh < 0:
			return faultf(at("yearly_kwh"), "must be an energy from 0, not %g", t.YearlyKWh)
		}
	}
	return nil
}

// marginal is what a kWh more costs from one tower to another; NaN where energy does not rise.
func marginal(from, to Tower) float64 {
	if !(to.YearlyKWh > from.YearlyKWh) {
		return math.NaN()
	}
	return (to.YearlyCost - from.YearlyCost) / (to.YearlyKWh - from.YearlyKWh)
}

// beats reports whether a tower gives as much for less, or more for as much. False where either is not known.
func (t Tower) beats(o Tower) bool {
	return t.YearlyCost <= o.YearlyCost && t.YearlyKWh >= o.YearlyKWh && (t.YearlyCost < o.YearlyCost || t.YearlyKWh > o.YearlyKWh)
}

// hull finds the frontier (Andrew 1979, lower half, from memory) among the towers that none beats; of equals the lowest.
func (l *Ladder) hull() {
	order := make([]int, 0, len(l.Rungs))
	for i := range l.Rungs {
		if r := &l.Rungs[i]; !r.Dominated && r.YearlyCost == r.YearlyCost && r.YearlyKWh == r.YearlyKWh {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(l.Rungs[i].YearlyKWh, l.Rungs[j].YearlyKWh) })
	var hull []int
	for _, i := range order {
		t := l.Rungs[i].Tower
		if n := len(hull); n > 0 && l.Rungs[hull[n-1]].YearlyKWh == t.YearlyKWh {
			continue // the same again
		}
		for n := len(hull); n > 1 && marginal(l.Rungs[hull[n-2]].Tower, l.Rungs[hull[n-1]].Tower) > marginal(l.Rungs[hull[n-1]].Tower, t); n-- {
			hull = hull[:n-1]
		}
		hull = append(hull, i)
	}
	for n, i := range hull {
		l.Rungs[i].Frontier = true
		if n > 0 {
			l.Rungs[i].FrontierPerKWh = marginal(l.Rungs[hull[n-1]].Tower, l.Rungs[i].Tower)
		}
	}
	l.Frontier = hull
}

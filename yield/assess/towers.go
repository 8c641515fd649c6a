package assess

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Tower is one mast the builder could buy, with what it costs standing.
type Tower struct {
	HubHeightM float64
	Cost       float64 // in the request's currency
}

// TowerRule stands for a row of towers from FromM to ToM, StepM apart, at FixedCost + CostPerM·h + CostPerM2·h². NaN costs are
// nothing.
type TowerRule struct {
	FromM, ToM, StepM              float64
	FixedCost, CostPerM, CostPerM2 float64
}

// cost of a tower.
func (t *TowerRule) cost(heightM float64) float64 {
	return t.FixedCost + heightM*(t.CostPerM+heightM*t.CostPerM2)
}

// count is how many towers it stands for, before any limit; the last is at ToM where the steps meet it.
func (t *TowerRule) count() float64 {
	const slack = 1e-9 // so that 10 to 30 by 0.1 ends at 30
	return math.Floor((t.ToM-t.FromM)/t.StepM+slack) + 1
}

// HeightsAsked is how many hub heights a request asks about, before those are left out at which no hub can stand; at most MaxTowers.
func (r *Request) HeightsAsked() int {
	if r.TowerRule == nil || len(r.Towers) > 0 {
		return len(r.Towers)
	}
	n := r.TowerRule.count()
	if !(n >= 1) {
		return 0
	}
	return int(math.Min(n, MaxTowers))
}

// completeTowers puts up the towers of a rule, but for those too low for blades or ground. A rule with a fault is left for
// validate.
func completeTowers(r *Request, c *completion) {
	if r.TowerRule == nil {
		return
	}
	t := *r.TowerRule
	fill(&t.FixedCost, 0)
	fill(&t.CostPerM, 0)
	fill(&t.CostPerM2, 0)
	r.TowerRule = &t
	n := t.count()
	if len(r.Towers) > 0 || !(n >= 1 && n <= MaxTowers) {
		return
	}
	left := ""
	for i := range int(n) {
		h := math.Round((t.FromM+float64(i)*t.StepM)*1e6) / 1e6
		if why := r.tooLow(h); why != "" {
			left = why
			continue
		}
		r.Towers = append(r.Towers, Tower{HubHeightM: h, Cost: t.cost(h)})
	}
	if left != "" {
		c.warn("towers_left_out", "of the row of towers %d are looked at and %d left out: %s", len(r.Towers), int(n)-len(r.Towers), left)
	}
}

// tooLow says why no machine can stand at a height, or nothing.
func (r *Request) tooLow(hubM float64) string {
	g := r.Site.Ground
	switch {
	case !(hubM > 0): // said elsewhere
	case r.Turbine.sized() && hubM <= r.Turbine.RotorDiameterM/2:
		return fmt.Sprintf("the blades of a %g m rotor would reach the ground at a hub height of %g m", r.Turbine.RotorDiameterM, hubM)
	case hubM <= g.DisplacementM+g.RoughnessM:
		return fmt.Sprintf("a hub at %g m is down among what covers the ground (displacement height %g m): a tower has to stand well above the "+
			"trees or houses around it", hubM, g.DisplacementM)
	}
	return ""
}

func validateTowers(r *Request, f *faults) {
	if !validateTowerRule(r, f) {
		return
	}
	if n := len(r.Towers); n < 1 || n > MaxTowers {
		f.add("towers", "give from 1 to %d towers, not %d", MaxTowers, n)
		return
	}
	for i, t := range r.Towers {
		before := len(*f)
		f.above("hub_height_m", t.HubHeightM, 0, MaxHubHeightM, "m")
		if why := r.tooLow(t.HubHeightM); why != "" {
			f.add("hub_height_m", "%s", why)
		}
		for j := i - 1; j >= 0; j-- {
			if r.Towers[j].HubHeightM == t.HubHeightM {
				f.add("hub_height_m", "%g m is already towers[%d]; keep one of the two", t.HubHeightM, j)
				break
			}
		}
		f.within("cost", t.Cost, 0, 1e9, "")
		f.under(before, func() string { return r.towerPlace(i) })
	}
}

// towerPlace is where a request names a tower, to be followed by the name of a field.
func (r *Request) towerPlace(i int) string {
	if r.TowerRule != nil {
		return "towers."
	}
	return fmt.Sprintf("towers[%d].", i)
}

// validateTowerRule reports whether the towers themselves are worth looking at.
func validateTowerRule(r *Request, f *faults) bool {
	t := r.TowerRule
	if t == nil {
		return true
	}
	before := len(*f)
	f.above("towers.from_m", t.FromM, 0, MaxHubHeightM, "m")
	f.within("towers.to_m", t.ToM, t.FromM, MaxHubHeightM, "m")
	f.above("towers.step_m", t.StepM, 0, MaxHubHeightM, "m")
	f.within("towers.fixed_cost", t.FixedCost, 0, 1e9, "")
	f.within("towers.cost_per_m", t.CostPerM, 0, 1e9, "")
	f.within("towers.cost_per_m2", t.CostPerM2, 0, 1e9, "")
	if len(*f) == before && t.count() > MaxTowers {
		f.add("towers.step_m", "makes %.0f towers of it; at most %d are looked at, so take longer steps", t.count(), MaxTowers)
	}
	return len(*f) == before
}

// sweep answers for every tower that can stand where it is. Those that cannot, in the eddy of a house, are left out and told, unless none is
// left.
func (a *assessment) sweep() ([]Height, error) {
	heights := make([]Height, 0, len(a.r.Towers))
	a.hubs = make([]hub, 0, len(a.r.Towers))
	kept := make([]Tower, 0, len(a.r.Towers))
	var refused []*InvalidError
	for i, t := range a.r.Towers {
		heights = append(heights, Height{})
		err := a.height(i, &heights[len(heights)-1])
		var inv *InvalidError
		if errors.As(err, &inv) && strings.HasPrefix(inv.Fields[0].Location, "towers[") {
			refused = append(refused, inv)
			heights = heights[:len(heights)-1]
			continue
		}
		if err != nil {
			return nil, err
		}
		kept = append(kept, t)
	}
	switch {
	case len(refused) == 0:
		return heights, nil
	case len(kept) > 0:
		a.tellLeftOut(refused, len(kept))
		a.r.Towers = kept
		return heights, nil
	case a.r.TowerRule != nil: // whose towers have no place in the request
		return nil, invalid("towers", "%s", refused[len(refused)-1].Fields[0].Detail)
	}
	all := &InvalidError{}
	for _, r := range refused {
		all.Fields = append(all.Fields, r.Fields...)
	}
	return nil, all
}

// tellLeftOut says why there are fewer answers than towers.
func (a *assessment) tellLeftOut(refused []*InvalidError, kept int) {
	if a.r.TowerRule != nil {
		a.warn("towers_left_out", "of the row of towers %d are looked at and %d left out: %s", kept, len(refused), refused[len(refused)-1].Fields[0].Detail)
		return
	}
	for _, r := range refused {
		a.warn("towers_left_out", "one tower is left out, the rest stand as they are: %s", r.Fields[0].Detail)
	}
}

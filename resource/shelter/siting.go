package shelter

import (
	"math"
	"slices"
)

const foot = 0.3048 // m, exactly (international foot, 1959)

// Rule is a published rule on how high a tower must be among obstacles: Times an obstacle's height plus AboveM, in m, for
// every obstacle within WithinM, m, or nearer than WithinHeights of its own heights; whichever of the two is given.
type Rule struct {
	Name          string // stable, snake_case
	Words         string // what it asks, in feet as published and in metres
	Source        string
	Times         float64
	AboveM        float64
	WithinM       float64 // 0: not given
	WithinHeights float64 // 0: not given
	FromBottom    bool    // the rotor's lowest point must be so high; else the hub
}

// sitingRules as published. Where a rule gives a range the cautious end is taken, and its words say so.
var sitingRules = [...]Rule{
	{
		Name: "hub_above_300_ft",
		Words: "a turbine stands 25 to 35 ft (7.6 to 10.7 m) above anything within 300 ft (91.4 m); judged by the hub, " +
			"and by 35 ft",
		Source: "US DOE, Small Wind Guidebook",
		Times:  1, AboveM: 35 * foot, WithinM: 300 * foot,
	},
	{
		Name:   "hub_above_500_ft",
		Words:  "a turbine stands 30 ft (9.1 m) above anything within 500 ft (152.4 m); judged by the hub",
		Source: "US DOE, Community Wind Handbook",
		Times:  1, AboveM: 30 * foot, WithinM: 500 * foot,
	},
	{
		Name:   "rotor_above_500_ft",
		Words:  "the bottom of the rotor is 30 ft (9.1 m) or more above the tallest obstacle within 500 ft (152.4 m)",
		Source: "US university extension fact sheet on siting small wind turbines",
		Times:  1, AboveM: 30 * foot, WithinM: 500 * foot, FromBottom: true,
	},
	{
		Name: "three_heights",
		Words: "some experts ask that the blades' lowest point passes at three times the height of the tallest barrier upwind; judged " +
			"for all winds, within 500 ft (152.4 m)",
		Source: "US university extension fact sheet on siting small wind turbines",
		Times:  3, WithinM: 500 * foot, FromBottom: true,
	},
	{
		Name: "disturbed_zone",
		Words: "an obstacle of height H disturbs the wind from 2 H upwind of it to 20 H downwind, and 2 H up; the rotor keeps out of that, " +
			"judged for all winds",
		Source: "US DOE consumer guide to small wind; NREL guideline for small-wind site assessment (both from memory)",
		Times:  2, WithinHeights: 20, FromBottom: true,
	},
}

// SitingRules lists the rules. The slice is the caller's.
func SitingRules() []Rule { return slices.Clone(sitingRules[:]) }

// Siting is a rule judged for one tower.
type Siting struct {
	Rule, Words, Source string
	Broken              bool
	By                  []int   // the obstacles that break it, in their order; nil for none
	LowestHubM          float64 // lowest hub height, m above ground, that satisfies it; 0 where nothing stands within its reach
}

// JudgeSiting holds every rule against a tower with its hub at hubM and a rotor of a diameter in m, by the heights that
// the obstacles will have after so many years. The rule that asks for the highest hub comes first; rules that ask alike
// keep the order of SitingRules. A rotor of unknown diameter (NaN) is judged as if it were a point, and LowestHubM is NaN
// where the rule counts from its bottom.
//
// No rule knows how wide an obstacle is, how porous, or how often the wind comes from there; all of them are cruder than
// At, and no two agree. They are what an assessor will ask about.
func JudgeSiting(obstacles []Obstacle, hubM, rotorDiameterM, years float64) []Siting {
	judged := make([]Siting, len(sitingRules))
	strictness := make(map[string]float64, len(sitingRules))
	for i, r := range sitingRules {
		s := Siting{Rule: r.Name, Words: r.Words, Source: r.Source}
		below, unknown := 0.0, r.FromBottom && math.IsNaN(rotorDiameterM)
		if r.FromBottom && !unknown {
			below = rotorDiameterM / 2
		}
		for k, o := range obstacles {
			lowest, applies := r.lowestHub(o.HeightAt(years), o.DistanceM, below)
			if !applies {
				continue
			}
			s.LowestHubM = math.Max(s.LowestHubM, lowest)
			if hubM < lowest {
				s.By = append(s.By, k)
			}
		}
		s.Broken = len(s.By) > 0
		strictness[r.Name] = s.LowestHubM
		if unknown && s.LowestHubM > 0 {
			s.LowestHubM = math.NaN()
		}
		judged[i] = s
	}
	slices.SortStableFunc(judged, func(a, b Siting) int {
		switch x, y := strictness[a.Rule], strictness[b.Rule]; {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	return judged
}

// lowestHub is what the rule asks of a hub for one obstacle; applies is false where the obstacle is out of its reach.
func (r *Rule) lowestHub(height, distance, below float64) (lowest float64, applies bool) {
	within := distance <= r.WithinM
	if r.WithinHeights > 0 {
		within = distance < r.WithinHeights*height
	}
	if !within {
		return 0, false
	}
	return r.Times*height + r.AboveM + below, true
}

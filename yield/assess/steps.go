package assess

import (
	"cmp"
	"fmt"
	"slices"

	"mastworth/yield/decide"
)

// climb compares the towers with each other: what each adds to the next lower one, and which clear the siting rules.
func (a *assessment) climb(heights []Height, d *Decision) error {
	order := byHeight(heights)
	worth := a.r.Money.plan(0).Worth()
	towers := make([]decide.Tower, len(order))
	for k, i := range order {
		h := &heights[i]
		towers[k] = decide.Tower{HubHeightM: h.HubHeightM, YearlyCost: h.Cost.YearlyEquivalent, YearlyKWh: worth.EvenEnergy(h.Energy.NetKWh)}
	}
	ladder, err := decide.Climb(towers)
	if err != nil {
		return fmt.Errorf("assess: towers that were looked through were refused: %w", err)
	}
	d.Steps = make([]TowerStep, len(ladder.Rungs))
	for k := range ladder.Rungs {
		r := &ladder.Rungs[k]
		d.Steps[k] = TowerStep{HubHeightM: r.HubHeightM, ExtraCost: r.ExtraCost, ExtraKWh: r.ExtraKWh, MarginalPerKWh: r.MarginalPerKWh,
			Dominated: r.Dominated, OnFrontier: r.Frontier}
	}
	d.BestValueHubM = nan
	highest := nan
	for _, i := range order {
		h := &heights[i]
		if v := h.Cost.NPV; h.Energy.NetKWh > 0 && (v > highest || highest != highest && v == v) {
			highest, d.BestValueHubM = v, h.HubHeightM
		}
	}
	d.Clear = firstClear(heights, order)
	a.sources = append(a.sources, Provenance{"decision.steps", "yearly equivalent cost over even yearly energy, from each tower to the next; the frontier is the " +
		"lower convex hull", "marginal analysis, engineering-economics texts"})
	return nil
}

// byHeight are the places of the towers by rising height.
func byHeight(heights []Height) []int {
	order := make([]int, len(heights))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, k int) int { return cmp.Compare(heights[i].HubHeightM, heights[k].HubHeightM) })
	return order
}

// firstClear is the first tower by height that keeps each siting rule; a rule of which nothing stands within reach is kept by all.
func firstClear(heights []Height, order []int) []ClearHeight {
	var out []ClearHeight
	for _, rule := range heights[order[0]].Siting {
		c := ClearHeight{Rule: rule.Rule, HubHeightM: nan, LowestHubM: rule.LowestHubM}
		for _, i := range order {
			judged := heights[i].Siting
			k := slices.IndexFunc(judged, func(s Siting) bool { return s.Rule == rule.Rule })
			if k >= 0 && !judged[k].Broken {
				c.HubHeightM = heights[i].HubHeightM
				break
			}
		}
		out = append(out, c)
	}
	return out
}

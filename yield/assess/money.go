package assess

import (
	"math"

	"mastworth/yield/cost"
)

// plan is the turbine's money on one tower.
func (m Money) plan(towerCost float64) cost.Plan {
	return cost.Plan{
		Capital:      m.TurbineCost + m.OtherCost + towerCost,
		Yearly:       m.YearlyCost,
		Replacements: m.Replacements,
		LifeYears:    m.LifeYears,
		Rate:         m.DiscountRate,
		Decline:      m.OutputDecline,
		Currency:     m.Currency,
	}
}

// costOf prices a year's net energy on one tower.
func (m Money) costOf(towerCost, netKWh float64) Cost {
	p := m.plan(towerCost)
	w := p.Worth()
	c := Cost{
		Capital:            p.Capital,
		YearlyEquivalent:   w.YearlyEquivalent(),
		PerKWh:             w.PerKWh(netKWh),
		NPV:                math.NaN(),
		SimplePaybackYears: math.NaN(),
	}
	if first, even := m.worth(); even == even {
		c.NPV = w.NPV(netKWh, even)
		c.SimplePaybackYears = p.SimplePayback(netKWh, first)
	}
	return c
}

// warnReplacements tells of replacements that fall after the life and so cost nothing in the sums.
func (m Money) warnReplacements(warn func(code, format string, args ...any)) {
	for _, r := range m.Replacements {
		if r.Year >= m.LifeYears {
			warn("replacement_ignored", "the replacement in year %d is not counted: the life ends after year %d; "+
				"lengthen money.life_years or drop it", r.Year, m.LifeYears)
		}
	}
}

// planPerKW is the money of one kW of solar.
func (s Solar) planPerKW(rate float64) cost.Plan {
	return cost.Plan{Capital: s.CostPerKW, Yearly: s.YearlyCostPerKW, LifeYears: s.LifeYears, Rate: rate, Decline: s.OutputDecline}
}

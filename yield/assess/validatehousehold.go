package assess

import "mastworth/yield/household"

// What is taken of a home that says little of itself. Judgement.
const (
	DefaultHouseholdKWh      = 3500 // a year, a home without electric heating
	DefaultBatteryEfficiency = 0.9  // out over in
	DefaultBatteryLifeYears  = 12
)

func completeHousehold(r *Request, c *completion) {
	if r.Household == nil {
		return
	}
	h := *r.Household
	r.Household = &h
	if fill(&h.YearlyKWh, DefaultHouseholdKWh) {
		c.assumed("household.yearly_kwh", "judgement, 2026: a home without electric heating")
	}
	if h.Battery.CapacityKWh == 0 {
		return
	}
	if fill(&h.Battery.PowerKW, h.Battery.CapacityKWh/2) {
		c.assumed("household.battery.power_kw", "judgement: full in two hours")
	}
	if fill(&h.Battery.Efficiency, DefaultBatteryEfficiency) {
		c.assumed("household.battery.efficiency", "judgement, 2026")
	}
	if h.BatteryLifeYears == 0 {
		h.BatteryLifeYears = DefaultBatteryLifeYears
	}
	fill(&h.BatteryCost, 0)
}

func validateHousehold(r *Request, f *faults) {
	h := r.Household
	if h == nil {
		return
	}
	f.above("household.yearly_kwh", h.YearlyKWh, 0, 200_000, "kWh")
	if h.LoadCSV != "" {
		if _, err := household.ReadLoad([]byte(h.LoadCSV), h.YearlyKWh); err != nil {
			f.add("household.load_csv", "%s", err)
		}
	}
	if b := h.Battery; b.CapacityKWh != 0 {
		f.above("household.battery.capacity_kwh", b.CapacityKWh, 0, 10_000, "kWh")
		f.above("household.battery.power_kw", b.PowerKW, 0, 10_000, "kW")
		f.above("household.battery.efficiency", b.Efficiency, 0, 1, "(a share, not per cent)")
		f.within("household.battery.cost", h.BatteryCost, 0, 1e9, "")
		f.within("household.battery.life_years", float64(h.BatteryLifeYears), 1, 60, "years")
	}
}

// validateTariff checks what a kWh is worth.
func validateTariff(m *Money, f *faults) {
	f.within("money.output_decline", m.OutputDecline, 0, 0.2, "(a share a year, not per cent)")
	f.within("money.price_escalation", m.PriceEscalation, -0.2, 0.2, "(a share a year, not per cent)")
	f.within("money.feed_in_escalation", m.FeedInEscalation, -0.2, 0.2, "(a share a year, not per cent)")
	if v := m.FeedInPerKWh; v == v {
		f.within("money.feed_in_per_kwh", v, 0, 1000, "")
	}
	if v := m.SelfUsedShare; v == v {
		f.within("money.self_used_share", v, 0, 1, "(a share, not per cent)")
	}
}

package assess

import (
	"errors"
	"strings"

	"mastworth/yield/household"
)

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
	if h.YearlyKWh != h.YearlyKWh && h.LoadCSV != "" {
		if own, err := household.ReadLoad([]byte(h.LoadCSV), nan); err == nil {
			h.YearlyKWh = own.YearlyKWh()
			c.assumed("household.yearly_kwh", "the sum of household.load_csv")
		}
	}
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
	validateSelfUse(r, f)
	h := r.Household
	if h == nil {
		return
	}
	f.above("household.yearly_kwh", h.YearlyKWh, 0, 200_000, "kWh")
	if h.LoadCSV != "" {
		validateLoad(h, f)
	}
	if b := h.Battery; b.CapacityKWh != 0 {
		f.above("household.battery.capacity_kwh", b.CapacityKWh, 0, 10_000, "kWh")
		if b.PowerKW != b.CapacityKWh/2 { // one that was worked out of it is at fault only with it
			f.above("household.battery.power_kw", b.PowerKW, 0, 10_000, "kW")
		}
		f.above("household.battery.efficiency", b.Efficiency, 0, 1, "(a share, not per cent)")
		f.within("household.battery.cost", h.BatteryCost, 0, 1e9, "")
		f.within("household.battery.life_years", float64(h.BatteryLifeYears), 1, 60, "years")
	}
}

// validateLoad tells of a load that cannot be read, or of a year's draw that does not go with it.
func validateLoad(h *Household, f *faults) {
	var fault *household.Fault
	switch _, err := household.ReadLoad([]byte(h.LoadCSV), h.YearlyKWh); {
	case err == nil:
	case !errors.As(err, &fault):
		f.add("household.load_csv", "%s", err)
	case fault.Field == "yearly_kwh":
		f.add("household.yearly_kwh", "%s", fault.Reason)
	default:
		f.add("household.load_csv", "%s", strings.TrimPrefix(strings.TrimPrefix(fault.Field+": ", "load csv, "), "load csv: ")+fault.Reason)
	}
}

package document

import (
	"mastworth/openapi"
	"mastworth/yield/assess"
	"mastworth/yield/household"
)

// The longest load profile, and the longest name of a file with one, in characters.
const (
	MaxLoadCSV  = 400_000
	maxFileName = 1000
)

func toTowers(in *openapi.Towers) ([]assess.Tower, *assess.TowerRule) {
	if t := in.Rule; t != nil {
		return nil, &assess.TowerRule{FromM: t.FromM, ToM: t.ToM, StepM: t.StepM, FixedCost: value(t.FixedCost, nan),
			CostPerM: value(t.CostPerM, nan), CostPerM2: value(t.CostPerM2, nan)}
	}
	out := make([]assess.Tower, len(in.List))
	for i, t := range in.List {
		out[i] = assess.Tower{HubHeightM: t.HubHeightM, Cost: t.Cost}
	}
	return out, nil
}

func echoTowers(r *assess.Request, n *memory) openapi.Towers {
	if t := r.TowerRule; t != nil {
		return openapi.Towers{Rule: &openapi.TowerRule{FromM: t.FromM, ToM: t.ToM, StepM: t.StepM, FixedCost: n.or(t.FixedCost),
			CostPerM: n.or(t.CostPerM), CostPerM2: n.or(t.CostPerM2)}}
	}
	out := openapi.Towers{List: make([]openapi.Tower, len(r.Towers))}
	for i, t := range r.Towers {
		out.List[i] = openapi.Tower{HubHeightM: t.HubHeightM, Cost: t.Cost}
	}
	return out
}

func toHousehold(in *openapi.HouseholdInput) *assess.Household {
	if in == nil {
		return nil
	}
	out := assess.Household{YearlyKWh: value(in.YearlyKWh, nan), LoadCSV: value(in.LoadCsv, ""), BatteryCost: nan}
	if b := in.Battery; b != nil {
		out.Battery = household.Battery{CapacityKWh: b.CapacityKWh, PowerKW: value(b.PowerKW, nan), Efficiency: value(b.Efficiency, nan)}
		out.BatteryCost, out.BatteryLifeYears = value(b.Cost, nan), value(b.LifeYears, 0)
	}
	return &out
}

func echoHousehold(h *assess.Household, n *memory) *openapi.HouseholdInput {
	if h == nil {
		return nil
	}
	out := openapi.HouseholdInput{YearlyKWh: n.or(h.YearlyKWh), LoadCsv: text(h.LoadCSV)}
	if b := h.Battery; b.CapacityKWh > 0 {
		out.Battery = &openapi.HouseholdBattery{CapacityKWh: b.CapacityKWh, PowerKW: n.or(b.PowerKW), Efficiency: n.or(b.Efficiency),
			Cost: n.or(h.BatteryCost), LifeYears: years(h.BatteryLifeYears)}
	}
	return &out
}

func (s *shape) household(h *openapi.HouseholdInput) {
	if h == nil {
		return
	}
	if h.LoadCsv != nil {
		s.length("household.load_csv", *h.LoadCsv, 1, MaxLoadCSV)
	}
	if h.LoadFile != nil {
		s.length("household.load_file", *h.LoadFile, 1, maxFileName)
		if h.LoadCsv != nil {
			s.add("household.load_file", "goes without load_csv: give one of the two")
		}
	}
	if h.Battery != nil {
		if h.Battery.CapacityKWh == 0 {
			s.add("household.battery.capacity_kwh", "must be above 0 kWh; leave the battery out where there is none")
		}
		s.life("household.battery.life_years", h.Battery.LifeYears)
	}
}

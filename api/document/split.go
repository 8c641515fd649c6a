package document

import (
	"mastworth/openapi"
	"mastworth/yield/assess"
	"mastworth/yield/household"
)

func fromSplit(s *assess.Split, n *memory) *openapi.MoneySplit {
	if s == nil {
		return nil
	}
	out := openapi.MoneySplit{
		BudgetPerYear: rounded(s.BudgetPerYear), Rows: cut(&n.rows, len(s.Rows)), CheapestRow: s.Cheapest, MostEvenRow: s.MostEven,
		AnySizeCheapest: rowAt(s, &s.AnySize, s.AnySize.Cheapest, n), AnySizeMostEven: rowAt(s, &s.AnySize, s.AnySize.MostEven, n),
		Home: fromHome(s.Home, n), Warnings: fromWarnings(s.Warnings, 0),
	}
	for i := range s.Rows {
		out.Rows[i] = fromSplitRow(s, &s.Rows[i], n)
	}
	if c := s.Complement; c != nil {
		out.Complement = &openapi.Complement{Correlation: n.figure(c.Correlation), WindUnevenness: n.figure(c.WindEvenness),
			SolarUnevenness: n.figure(c.SolarEvenness), MonthsBothBelow: c.BothBelow, MonthsBothAbove: c.BothAbove}
	}
	return &out
}

// rowAt is nil for an index of −1.
func rowAt(s *assess.Split, t *household.SplitTable, i int, n *memory) *openapi.SplitRow {
	if i < 0 {
		return nil
	}
	out := fromSplitRow(s, &t.Rows[i], n)
	return &out
}

func fromSplitRow(s *assess.Split, r *household.SplitRow, n *memory) openapi.SplitRow {
	out := openapi.SplitRow{
		WindShare: rounded(r.WindShare), Machines: rounded(r.Machines), SolarKW: rounded(r.SolarUnits), WindCostPerYear: rounded(r.WindCost),
		SolarCostPerYear: rounded(r.SolarCost), WindKWh: rounded(r.WindKWh), SolarKWh: rounded(r.SolarKWh), CostPerKWh: n.figure(r.CostPerKWh),
		Unevenness: n.figure(r.Evenness), UnmetShare: n.figure(r.UnmetShare), SpilledShare: n.figure(r.SpilledShare),
		SelfUsedShare: n.figure(r.SelfUsedShare), CostPerUsedKWh: n.figure(r.CostPerUsedKWh),
	}
	if r.Wind >= 0 {
		out.HubHeightM = n.or(s.Towers[r.Wind])
	}
	return out
}

func fromHome(h *assess.Home, n *memory) *openapi.HomeResult {
	if h == nil {
		return nil
	}
	out := openapi.HomeResult{
		YearlyKWh: rounded(h.YearlyKWh), LoadSource: h.LoadSource, StepS: int(h.StepS), Steps: h.Steps, BatteryPerYear: rounded(h.BatteryPerYear),
		Wind: fromHomeFlows(&h.Wind, n), Solar: fromHomeFlows(&h.Solar, n), MixedRow: h.MixedRow,
	}
	if h.Mixed != nil {
		mixed := fromHomeFlows(h.Mixed, n)
		out.Mixed = &mixed
	}
	return &out
}

// fromHomeFlows are those of a year.
func fromHomeFlows(r *household.Result, n *memory) openapi.HomeFlows {
	y := r.Yearly()
	perYear := y.LoadKWh / r.LoadKWh
	return openapi.HomeFlows{
		WindKWh: rounded(y.WindKWh), SolarKWh: rounded(y.SolarKWh), UsedKWh: rounded(y.WindUsedKWh + y.SolarUsedKWh), UnmetKWh: rounded(y.UnmetKWh),
		SpilledKWh: rounded(y.SpilledKWh), BatteryLossKWh: rounded(y.LossKWh), UnmetShare: n.figure(r.UnmetShare()), SpilledShare: n.figure(r.SpilledShare()),
		SelfUsedShare: n.figure(r.SelfUsedShare()), BatteryCycles: rounded(r.Cycles * perYear),
	}
}

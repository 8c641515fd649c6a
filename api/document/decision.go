package document

import (
	"mastworth/openapi"
	"mastworth/yield/assess"
	"mastworth/yield/cost"
	"mastworth/yield/decide"
)

func fromDecision(e *assess.Estimate, n *memory) openapi.Decision {
	d := &e.Decision
	out := openapi.Decision{
		BestValueHubHeightM: n.or(d.BestValueHubM),
		Steps:               make([]openapi.TowerStep, len(d.Steps)),
		SitingHeights:       make([]openapi.SitingHeight, len(d.Clear)),
		BreakEvens:          make([]openapi.BreakEven, len(d.BreakEvens)),
		Measuring:           fromMeasuring(d.Measuring),
		Split:               fromSplit(d.Split, n),
		Cash:                fromCash(d.Cash, e.BestHubHeightM, n),
		SolarCash:           fromSolarCash(d.SolarCash, e, n),
	}
	for i := range d.Steps {
		s := &d.Steps[i]
		out.Steps[i] = openapi.TowerStep{HubHeightM: s.HubHeightM, ExtraCostPerYear: n.figure(s.ExtraCost), ExtraKWhPerYear: n.figure(s.ExtraKWh),
			MarginalPerKWh: n.figure(s.MarginalPerKWh), Dominated: s.Dominated, OnFrontier: s.OnFrontier}
	}
	for i, c := range d.Clear {
		out.SitingHeights[i] = openapi.SitingHeight{Rule: c.Rule, HubHeightM: n.or(c.HubHeightM), LowestHubM: n.figure(c.LowestHubM)}
	}
	for i := range d.BreakEvens {
		b := &d.BreakEvens[i]
		out.BreakEvens[i] = openapi.BreakEven{Name: openapi.BreakEvenName(b.Name), Unit: b.Unit, Rival: openapi.BreakEvenRival(b.Rival), Now: n.figure(b.Now),
			Lowest: rounded(b.Lowest), Highest: rounded(b.Highest), WindCheaperNow: b.Cheaper, Value: n.figure(b.Value), Words: b.Words}
	}
	if s := d.NextStep; s != nil {
		out.NextStep = &openapi.NextStep{Code: openapi.NextStepCode(s.Code), Months: s.Months, Words: s.Words}
	}
	return out
}

func fromMeasuring(m *assess.Measuring) *openapi.Measuring {
	if m == nil {
		return nil
	}
	out := openapi.Measuring{
		SpeedStandardUncertainty: rounded(m.SpeedSD), ExpectedValue: rounded(m.Today.ExpectedValue), Build: m.Today.Build,
		ChanceWrong: rounded(m.Today.ChanceWrong), ValueOfKnowing: rounded(m.Today.ValueOfKnowing), Campaigns: make([]openapi.Campaign, len(m.Campaigns)),
		Rule: m.Rule,
	}
	for i := range m.Campaigns {
		out.Campaigns[i] = fromCampaign(&m.Campaigns[i])
	}
	return &out
}

func fromCampaign(w *decide.Worth) openapi.Campaign {
	return openapi.Campaign{Months: w.Months, SpeedStandardUncertaintyAfter: rounded(w.SpeedSDAfter), ShrinkShare: rounded(w.Shrink),
		FlipChance: rounded(w.FlipChance), Value: rounded(w.ValueOfMeasuring), NetOfCost: rounded(w.NetOfCost)}
}

func fromCash(f *cost.Flow, hubM float64, n *memory) *openapi.CashFlow {
	if f == nil {
		return nil
	}
	out := openapi.CashFlow{HubHeightM: hubM, NPV: rounded(f.NPV), IRR: n.figure(f.IRR), PaybackYears: n.figure(f.PaybackYears),
		DiscountedPaybackYears: n.figure(f.DiscountedPaybackYears), Years: fromCashYears(f.Years, n), Warnings: fromWarnings(f.Warnings, 0)}
	return &out
}

// fromSolarCash is the array's table; the array is the one beside the best height.
func fromSolarCash(f *cost.Flow, e *assess.Estimate, n *memory) *openapi.SolarCash {
	if f == nil {
		return nil
	}
	out := openapi.SolarCash{NPV: rounded(f.NPV), IRR: n.figure(f.IRR), PaybackYears: n.figure(f.PaybackYears),
		DiscountedPaybackYears: n.figure(f.DiscountedPaybackYears), Years: fromCashYears(f.Years, n), Warnings: fromWarnings(f.Warnings, 0)}
	for i := range e.Heights {
		if h := &e.Heights[i]; h.HubHeightM == e.BestHubHeightM {
			out.ArrayKW = rounded(h.Solar.ArrayKW)
			break
		}
	}
	return &out
}

func fromCashYears(years []cost.CashYear, n *memory) []openapi.CashYear {
	out := cut(&n.years, len(years))
	for i := range years {
		y := &years[i]
		out[i] = openapi.CashYear{Year: y.Year, EnergyKWh: rounded(y.EnergyKWh), SelfUsedKWh: rounded(y.SelfUsedKWh), SoldKWh: rounded(y.SoldKWh),
			Income: rounded(y.Income), Running: rounded(y.Running), Replacement: rounded(y.Replacement), Net: rounded(y.Net),
			Discounted: rounded(y.Discounted), Cumulative: rounded(y.Cumulative), CumulativeDiscounted: rounded(y.CumulativeDiscounted)}
	}
	return out
}

package page

import (
	"slices"

	"mastworth/api/chart"
	"mastworth/openapi"
)

// resultChart makes one chart of an estimate; what it cannot show is empty.
type resultChart struct {
	name string // of the chart, and in its address
	draw func(e shownEstimate, best *openapi.HeightEstimate) chart.Chart
}

// resultCharts are those of a result. Page, report and the files of charts draw from here alone.
var resultCharts = []resultChart{
	{"energy-by-height", energyByHeight}, {"cost-by-height", costByHeight}, {"months", months}, {"wind-rose", windRose}, {"energy-rose", energyRose},
	{"speeds", speeds}, {"energy-by-speed", energyBySpeed}, {"losses", losses}, {"sensitivities", sensitivities}, {"cash", cash},
	{"site-plan", sitePlan}, {"power-curves", powerCurves},
}

// ResultChartNames are the charts a result may have.
func ResultChartNames() []string {
	names := make([]string, len(resultCharts))
	for i, c := range resultCharts {
		names[i] = c.name
	}
	return names
}

// ResultChart draws one by its name, in the units wanted; false where the estimate has nothing for it, or there is no such chart.
func ResultChart(of *openapi.Estimate, u Units, name string) (chart.Chart, bool) {
	e := shownEstimate{of, u}
	i := slices.IndexFunc(resultCharts, func(c resultChart) bool { return c.name == name })
	best := bestOf(e)
	if i < 0 || best == nil {
		return chart.Chart{}, false
	}
	c := resultCharts[i].draw(e, best)
	return c, !c.Empty()
}

// bestOf is the height with the cheapest kWh, else the first; nil where there is none.
func bestOf(e shownEstimate) *openapi.HeightEstimate {
	if len(e.Heights) == 0 {
		return nil
	}
	for i := range e.Heights {
		if b := e.BestHubHeightM; b != nil && e.Heights[i].HubHeightM == *b {
			return &e.Heights[i]
		}
	}
	return &e.Heights[0]
}

func units(e shownEstimate) chart.Units {
	return e.In(orNothing(e.Request.Money.Currency))
}

func orNothing(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

func orZero(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

// byHeight gathers a number of every height; nil where none is known.
func byHeight(e shownEstimate, of func(h *openapi.HeightEstimate) *float64) []float64 {
	out := make([]float64, len(e.Heights))
	known := false
	for i := range e.Heights {
		out[i] = orNaN(of(&e.Heights[i]))
		known = known || out[i] == out[i]
	}
	if !known {
		return nil
	}
	return out
}

func hubs(e shownEstimate) []float64 {
	return byHeight(e, func(h *openapi.HeightEstimate) *float64 { return &h.HubHeightM })
}

// ofLife reads an end of a spread of the life of a height's odds.
func ofLife(read func(p *openapi.PeriodSpread) *openapi.Spread, end func(s *openapi.Spread) *float64) func(h *openapi.HeightEstimate) *float64 {
	return func(h *openapi.HeightEstimate) *float64 {
		if h.Odds == nil {
			return nil
		}
		if s := read(&h.Odds.Life); s != nil {
			return end(s)
		}
		return nil
	}
}

func lowEnd(s *openapi.Spread) *float64  { return s.Symmetric95.Low }
func highEnd(s *openapi.Spread) *float64 { return s.Symmetric95.High }

func energyByHeight(e shownEstimate, _ *openapi.HeightEstimate) chart.Chart {
	energy := func(p *openapi.PeriodSpread) *openapi.Spread { return p.EnergyKWh }
	return chart.EnergyByHeight(chart.EnergyHeights{HubHeightM: hubs(e), NetKWh: orUnknown(e, byHeight(e, func(h *openapi.HeightEstimate) *float64 { return h.Energy.NetKWh })),
		LowKWh: byHeight(e, ofLife(energy, lowEnd)), HighKWh: byHeight(e, ofLife(energy, highEnd)), RangeWords: Text("result.range"),
		BestM: orNaN(e.BestHubHeightM), Units: units(e)})
}

func costByHeight(e shownEstimate, _ *openapi.HeightEstimate) chart.Chart {
	cost := func(p *openapi.PeriodSpread) *openapi.Spread { return p.CostPerKWh }
	return chart.CostByHeight(chart.HeightCosts{HubHeightM: hubs(e), PerKWh: orUnknown(e, byHeight(e, func(h *openapi.HeightEstimate) *float64 { return h.Cost.PerKWh })),
		LowPerKWh: byHeight(e, ofLife(cost, lowEnd)), HighPerKWh: byHeight(e, ofLife(cost, highEnd)), RangeWords: Text("result.range"),
		SolarPerKWh: byHeight(e, func(h *openapi.HeightEstimate) *float64 { return h.Solar.PerKWh }),
		PricePerKWh: orNaN(e.Request.Money.PricePerKWh), BestM: orNaN(e.BestHubHeightM), Units: units(e)})
}

// orUnknown makes a list of the right length where nothing is known.
func orUnknown(e shownEstimate, list []float64) []float64 {
	for len(list) < len(e.Heights) {
		list = append(list, orNaN(nil))
	}
	return list
}

func months(_ shownEstimate, best *openapi.HeightEstimate) chart.Chart {
	if best.Energy.MonthlyKWh == nil { // the sun's months alone would say nothing of the wind
		return chart.Months(chart.MonthEnergy{})
	}
	return chart.Months(chart.MonthEnergy{WindKWh: best.Energy.MonthlyKWh, SolarKWh: best.Solar.MonthlyKWh})
}

func losses(_ shownEstimate, best *openapi.HeightEstimate) chart.Chart {
	d := chart.LossChain{GrossKWh: orNaN(best.Energy.GrossKWh), NetKWh: orNaN(best.Energy.NetKWh)}
	for _, l := range best.Energy.Losses {
		d.Names, d.LossKWh = append(d.Names, wordsFor("result.loss.", l.Name)), append(d.LossKWh, orNaN(l.KWh))
	}
	return chart.LossWaterfall(d)
}

// mostSensitivities is how many bars a tornado has: the longest.
const mostSensitivities = 10

func sensitivities(e shownEstimate, best *openapi.HeightEstimate) chart.Chart {
	d := chart.Sensitivities{Result: Text("result.cost_kwh"), Unit: unitOf(units(e).Currency, "kWh"), Base: orNaN(best.Cost.PerKWh)}
	if best.Odds == nil {
		return chart.Tornado(d)
	}
	for i := range best.Odds.Swings { // the largest first
		w := &best.Odds.Swings[i]
		low, high := orNaN(w.Life.CostBelowPerKWh), orNaN(w.Life.CostAbovePerKWh)
		if low != high && low == low && high == high && len(d.Of) < mostSensitivities {
			d.Of = append(d.Of, chart.Sensitivity{Name: wordsFor("result.doubt.", w.Source), LowWords: Text("result.below"), HighWords: Text("result.above"), AtLow: low, AtHigh: high})
		}
	}
	return chart.Tornado(d)
}

// unitOf is a unit for each of another; the other's alone has no words.
func unitOf(of, each string) string {
	if of == "" {
		return "1/" + each
	}
	return of + "/" + each
}

func cash(e shownEstimate, _ *openapi.HeightEstimate) chart.Chart {
	d := chart.CashFlow{Discounted: true, Units: units(e)}
	if c := e.Decision.Cash; c != nil {
		for i := range c.Years {
			d.Turbine = append(d.Turbine, c.Years[i].CumulativeDiscounted)
		}
	}
	if c := e.Decision.SolarCash; c != nil {
		for i := range c.Years {
			d.Solar = append(d.Solar, c.Years[i].CumulativeDiscounted)
		}
	}
	return chart.CashOverLife(d)
}

// wordsFor are the catalogue's words for a name on the wire; the name itself, with spaces, where it has none.
func wordsFor(prefix, name string) string {
	if words, ok := catalogue()[prefix+name]; ok {
		return words
	}
	return plainName(name)
}

package page

import (
	"math"
	"slices"

	"mastworth/api/chart"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/yield"
)

// resultChart makes one chart of an estimate; what it cannot show is empty.
type resultChart struct {
	Name string // in its address
	draw func(e *openapi.Estimate, best *openapi.HeightEstimate) chart.Chart
}

// resultCharts are those of a result, in the order of its page.
var resultCharts = []resultChart{
	{"energy-by-height", energyByHeight}, {"cost-by-height", costByHeight}, {"months", months}, {"wind-rose", windRose}, {"power-in-wind", powerInWind},
	{"losses", losses}, {"sensitivities", sensitivities}, {"cash", cash}, {"site-plan", sitePlan},
}

// ResultChartNames are the charts a result may have.
func ResultChartNames() []string {
	names := make([]string, len(resultCharts))
	for i, c := range resultCharts {
		names[i] = c.Name
	}
	return names
}

// ResultChart draws one by its name; false where the estimate has nothing for it, or there is no such chart.
func ResultChart(e *openapi.Estimate, name string) (chart.Chart, bool) {
	i := slices.IndexFunc(resultCharts, func(c resultChart) bool { return c.Name == name })
	best := bestOf(e)
	if i < 0 || best == nil {
		return chart.Chart{}, false
	}
	c := resultCharts[i].draw(e, best)
	return c, !c.Empty()
}

// bestOf is the height with the cheapest kWh, else the first.
func bestOf(e *openapi.Estimate) *openapi.HeightEstimate {
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

func units(e *openapi.Estimate) chart.Units {
	u := chart.Units{}
	if c := e.Request.Money.Currency; c != nil {
		u.Currency = *c
	}
	return u
}

// byHeight gathers a number of every height; nil where none is known.
func byHeight(e *openapi.Estimate, of func(h *openapi.HeightEstimate) *float64) []float64 {
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

func hubs(e *openapi.Estimate) []float64 {
	return byHeight(e, func(h *openapi.HeightEstimate) *float64 { return &h.HubHeightM })
}

// ofLife reads a spread of the life of a height's odds.
func ofLife(read func(p *openapi.PeriodSpread) *openapi.Spread, end func(s *openapi.Spread) *float64) func(h *openapi.HeightEstimate) *float64 {
	return func(h *openapi.HeightEstimate) *float64 {
		if h.Odds == nil {
			return nil
		}
		s := read(&h.Odds.Life)
		if s == nil {
			return nil
		}
		return end(s)
	}
}

func lowEnd(s *openapi.Spread) *float64  { return s.Symmetric95.Low }
func highEnd(s *openapi.Spread) *float64 { return s.Symmetric95.High }

func energyByHeight(e *openapi.Estimate, _ *openapi.HeightEstimate) chart.Chart {
	energy := func(p *openapi.PeriodSpread) *openapi.Spread { return p.EnergyKWh }
	return chart.EnergyByHeight(chart.EnergyHeights{HubHeightM: hubs(e), NetKWh: byHeight(e, func(h *openapi.HeightEstimate) *float64 { return h.Energy.NetKWh }),
		LowKWh: byHeight(e, ofLife(energy, lowEnd)), HighKWh: byHeight(e, ofLife(energy, highEnd)), RangeWords: Text("result.range"),
		BestM: orNaN(e.BestHubHeightM), Units: units(e)})
}

func costByHeight(e *openapi.Estimate, _ *openapi.HeightEstimate) chart.Chart {
	cost := func(p *openapi.PeriodSpread) *openapi.Spread { return p.CostPerKWh }
	return chart.CostByHeight(chart.HeightCosts{HubHeightM: hubs(e), PerKWh: byHeight(e, func(h *openapi.HeightEstimate) *float64 { return h.Cost.PerKWh }),
		LowPerKWh: byHeight(e, ofLife(cost, lowEnd)), HighPerKWh: byHeight(e, ofLife(cost, highEnd)), RangeWords: Text("result.range"),
		SolarPerKWh: byHeight(e, func(h *openapi.HeightEstimate) *float64 { return h.Solar.PerKWh }),
		PricePerKWh: orNaN(e.Request.Money.PricePerKWh), BestM: orNaN(e.BestHubHeightM), Units: units(e)})
}

func months(_ *openapi.Estimate, best *openapi.HeightEstimate) chart.Chart {
	return chart.Months(chart.MonthEnergy{WindKWh: best.Energy.MonthlyKWh, SolarKWh: best.Solar.MonthlyKWh})
}

func windRose(e *openapi.Estimate, best *openapi.HeightEstimate) chart.Chart {
	rose := chart.Rose{CalmShare: orNaN(best.Wind.CalmShare), Units: units(e)}
	for i := range best.Wind.Sectors {
		rose.Shares = append(rose.Shares, []float64{orNaN(best.Wind.Sectors[i].Share)})
	}
	return chart.WindRose(rose)
}

// powerInWind is the turbine's curve over the fitted distribution at the best height.
func powerInWind(e *openapi.Estimate, best *openapi.HeightEstimate) chart.Chart {
	d := chart.CurveInWind{Units: units(e)}
	shape, scale := best.Wind.Weibull.Shape, best.Wind.Weibull.ScaleMS
	curve := e.Request.Turbine.PowerCurve
	if curve == nil || shape == nil || scale == nil {
		return chart.EnergyBySpeed(d)
	}
	points := make([]yield.Point, 0, len(curve.Points))
	top := 0.0
	for _, p := range curve.Points {
		if len(p) == 2 {
			points = append(points, yield.Point{SpeedMS: p[0], PowerW: p[1]})
			d.SpeedMS, d.PowerW = append(d.SpeedMS, p[0]), append(d.PowerW, p[1])
			top = math.Max(top, p[0])
		}
	}
	const standardAir = 1.225
	density := standardAir
	if v := curve.AirDensityKgM3; v != nil {
		density = *v
	}
	made, err := yield.NewCurve(points, density)
	if err != nil {
		return chart.EnergyBySpeed(chart.CurveInWind{})
	}
	d.EdgesMS, d.TimeShares, d.EnergyKWh = chart.WindBins(made, resource.Weibull{Shape: *shape, Scale: *scale}, orZero(best.Wind.CalmShare), 1, math.Min(top, 25))
	return chart.EnergyBySpeed(d)
}

func losses(_ *openapi.Estimate, best *openapi.HeightEstimate) chart.Chart {
	d := chart.LossChain{GrossKWh: orNaN(best.Energy.GrossKWh), NetKWh: orNaN(best.Energy.NetKWh)}
	for _, l := range best.Energy.Losses {
		d.Names, d.LossKWh = append(d.Names, l.Name), append(d.LossKWh, orNaN(l.KWh))
	}
	return chart.LossWaterfall(d)
}

// mostSensitivities is how many bars a tornado has: the longest.
const mostSensitivities = 10

func sensitivities(e *openapi.Estimate, best *openapi.HeightEstimate) chart.Chart {
	d := chart.Sensitivities{Result: Text("result.cost_kwh"), Unit: units(e).Currency + "/kWh", Base: orNaN(best.Cost.PerKWh)}
	if best.Odds == nil {
		return chart.Tornado(d)
	}
	for i := range best.Odds.Swings {
		w := &best.Odds.Swings[i]
		low, high := orNaN(w.Life.CostBelowPerKWh), orNaN(w.Life.CostAbovePerKWh)
		if math.Abs(high-low) > 1e-9 {
			d.Of = append(d.Of, chart.Sensitivity{Name: doubtWords(w.Source), LowWords: Text("result.below"), HighWords: Text("result.above"), AtLow: low, AtHigh: high})
		}
	}
	slices.SortStableFunc(d.Of, func(a, b chart.Sensitivity) int {
		switch x, y := math.Abs(a.AtHigh-a.AtLow), math.Abs(b.AtHigh-b.AtLow); {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	d.Of = d.Of[:min(len(d.Of), mostSensitivities)]
	return chart.Tornado(d)
}

func cash(e *openapi.Estimate, _ *openapi.HeightEstimate) chart.Chart {
	d := chart.CashFlow{Discounted: true, Units: units(e)}
	if c := e.Decision.Cash; c != nil {
		for _, y := range c.Years {
			d.Turbine = append(d.Turbine, y.CumulativeDiscounted)
		}
	}
	return chart.CashOverLife(d)
}

func sitePlan(e *openapi.Estimate, best *openapi.HeightEstimate) chart.Chart {
	d := chart.Plan{Units: units(e)}
	breaks := map[string]bool{}
	for _, rule := range best.Siting {
		for _, name := range rule.By {
			breaks[name] = true
		}
	}
	if all := e.Request.Site.Obstacles; all != nil {
		for i := range *all {
			o := &(*all)[i]
			p := chart.PlanObstacle{BearingDeg: o.BearingDeg, DistanceM: o.DistanceM, HeightM: o.HeightM, WidthM: o.WidthM}
			if o.Name != nil {
				p.Name, p.BreaksRule = *o.Name, breaks[*o.Name]
			}
			d.Obstacles = append(d.Obstacles, p)
		}
	}
	if len(d.Obstacles) > 0 {
		fall := best.HubHeightM
		if v := e.Request.Turbine.RotorDiameterM; v != nil {
			fall += *v / 2
		}
		const share = 1.5 // of the tip's height, as the caution has it
		d.Circles = append(d.Circles, chart.PlanCircle{RadiusM: share * fall, Words: Text("result.fall_zone")})
	}
	return chart.SitePlan(d)
}

func orZero(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

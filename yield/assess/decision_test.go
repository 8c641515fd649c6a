package assess

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"mastworth/resource/shelter"
)

// priced is the garden with both rivals, and towers that cost what a rule says.
func priced() Request {
	r := garden()
	r.Solar.YieldKWhPerKW = 900
	r.Site.Ground = Ground{RoughnessM: 0.1, DisplacementM: 0}
	r.Towers = nil
	r.TowerRule = &TowerRule{FromM: 12, ToM: 24, StepM: 6, FixedCost: 300, CostPerM: 20, CostPerM2: 2}
	return r
}

func breakEven(t *testing.T, e *Estimate, name string, rival Rival) BreakEven {
	t.Helper()
	for _, b := range e.Decision.BreakEvens {
		if b.Name == name && b.Rival == rival {
			return b
		}
	}
	t.Fatalf("no break-even of %s with %s", name, rival)
	return BreakEven{}
}

// A break-even put back into the request must make the two costs meet: the question solved is the estimate's own.
func TestBreakEvensMeet(t *testing.T) {
	e := mustRun(t, priced())
	at := func(e *Estimate, h *Height, rival Rival) (wind, other float64) {
		if rival == RivalSolar {
			return h.Cost.PerKWh, h.Solar.PerKWh
		}
		return h.Cost.PerKWh, e.Request.Money.PricePerKWh
	}
	put := map[string]func(r *Request, v float64){
		"turbine_cost":      func(r *Request, v float64) { r.Money.TurbineCost = v },
		"price_per_kwh":     func(r *Request, v float64) { r.Money.PricePerKWh = v },
		"solar_cost_per_kw": func(r *Request, v float64) { r.Solar.CostPerKW = v },
		"mean_wind":         func(r *Request, v float64) { r.Wind.Weibull.ScaleMS *= v / e.Heights[best(e.Heights)].Wind.MeanSpeedMS },
	}
	tried := map[string]bool{}
	for _, b := range e.Decision.BreakEvens {
		if b.Value != b.Value || put[b.Name] == nil {
			continue
		}
		r := priced()
		r.Towers, r.TowerRule = []Tower{{HubHeightM: e.BestHubHeightM, Cost: r.TowerRule.cost(e.BestHubHeightM)}}, nil
		put[b.Name](&r, b.Value)
		changed := mustRun(t, r)
		wind, other := at(&changed, &changed.Heights[0], b.Rival)
		near(t, b.Name+" beside "+string(b.Rival), wind, other, 2e-4)
		tried[b.Name] = true
	}
	for name := range put {
		if !tried[name] {
			t.Errorf("no break-even of %s was found: %+v", name, e.Decision.BreakEvens)
		}
	}
}

// The energy that a rival's price asks for is yearly cost over price, a definition; with a decline it is that of the first year.
func TestBreakEvenEnergy(t *testing.T) {
	r := priced()
	r.Money.OutputDecline = 1e-12
	e := mustRun(t, r)
	h := &e.Heights[best(e.Heights)]
	b := breakEven(t, &e, "annual_energy", RivalPrice)
	near(t, "energy", b.Value, h.Cost.YearlyEquivalent/0.28, 1e-6)
	if !b.Cheaper || b.Now != h.Energy.NetKWh {
		t.Errorf("%+v", b)
	}
}

// A height that breaks even does so when the tower is there: between the towers, and above the highest.
func TestBreakEvenHeight(t *testing.T) {
	for _, price := range []float64{0.165, 0.178, 0.19} {
		r := priced()
		r.TowerRule = &TowerRule{FromM: 12, ToM: 24, StepM: 6, FixedCost: 300, CostPerM: 10, CostPerM2: 0}
		r.Money.PricePerKWh, r.Solar.CostPerKW = price, 60000
		e := mustRun(t, r)
		b := breakEven(t, &e, "hub_height", RivalPrice)
		if b.Value != b.Value {
			t.Errorf("at %g no height breaks even: %s", price, b.Words)
			continue
		}
		rule := *r.TowerRule
		r.Towers, r.TowerRule = []Tower{{HubHeightM: b.Value, Cost: rule.cost(b.Value)}}, nil
		near(t, "cost at the height", mustRun(t, r).Heights[0].Cost.PerKWh, price, 2e-3)
	}
}

// The tower's height lies within what is asked about even where no lower one can stand, whatever the number: the logarithm of a
// height and back again is not always the same.
func TestBreakEvenHeightAtTheLowest(t *testing.T) {
	for h := 3.0; h <= 60; h++ {
		r := priced()
		r.Towers, r.TowerRule = []Tower{{HubHeightM: h, Cost: 500}}, nil
		r.Site.Ground.DisplacementM, r.Wind.MeasuredOver = h-0.2, &Ground{RoughnessM: 0.03} // no lower hub can stand
		e := mustRun(t, r)
		if b := breakEven(t, &e, "hub_height", RivalPrice); b.Lowest != h || !(b.Highest > h) {
			t.Errorf("a tower of %g m: asked about from %v to %v", h, b.Lowest, b.Highest)
		}
	}
}

// What no number within reason brings about is said so, with the range.
func TestNothingWithinReason(t *testing.T) {
	r := priced()
	r.Wind.Weibull.ScaleMS = 2.6
	e := mustRun(t, r)
	b := breakEven(t, &e, "turbine_cost", RivalSolar)
	if b.Value == b.Value || b.Cheaper || b.Words != "no turbine cost within reason (0 to "+withUnit(b.Highest, "EUR")+") brings wind's kWh down to the array's" {
		t.Errorf("%+v", b)
	}
}

func TestBreakEvensWithoutAPrice(t *testing.T) {
	r := priced()
	r.Money.PricePerKWh = nan
	e := mustRun(t, r)
	for _, b := range e.Decision.BreakEvens {
		if b.Rival == RivalPrice && b.Name != "price_per_kwh" {
			t.Errorf("%s is compared with a price nobody gave", b.Name)
		}
	}
	b := breakEven(t, &e, "price_per_kwh", RivalPrice)
	near(t, "price that pays", b.Value, e.Heights[best(e.Heights)].Cost.PerKWh, 1e-6)
	if b.Now == b.Now {
		t.Error("a price now was invented")
	}
}

// Marginal cost by hand: extra yearly cost over extra energy, evenly over the life.
func TestSteps(t *testing.T) {
	e := mustRun(t, priced())
	d := &e.Decision
	if len(d.Steps) != 3 || d.Steps[0].ExtraKWh == d.Steps[0].ExtraKWh {
		t.Fatalf("%+v", d.Steps)
	}
	low, high := &e.Heights[0], &e.Heights[1]
	even := e.Request.Money.plan(0).EvenEnergy(1)
	near(t, "extra cost", d.Steps[1].ExtraCost, high.Cost.YearlyEquivalent-low.Cost.YearlyEquivalent, 1e-12)
	near(t, "extra energy", d.Steps[1].ExtraKWh, even*(high.Energy.NetKWh-low.Energy.NetKWh), 1e-12)
	near(t, "marginal", d.Steps[1].MarginalPerKWh, d.Steps[1].ExtraCost/d.Steps[1].ExtraKWh, 1e-12)
	bestValue := slices.MaxFunc(e.Heights, func(a, b Height) int {
		if a.Cost.NPV < b.Cost.NPV {
			return -1
		}
		return 1
	})
	if d.BestValueHubM != bestValue.HubHeightM {
		t.Errorf("best value at %g m, want %g m", d.BestValueHubM, bestValue.HubHeightM)
	}
}

// The first tower that clears a rule is the lowest at or above the rule's own height.
func TestFirstClear(t *testing.T) {
	r := priced()
	r.Site.Obstacles = []shelter.Obstacle{{Name: "a row of trees", BearingDeg: 220, DistanceM: 60, HeightM: 8, WidthM: 40, Porosity: 0.4}}
	r.TowerRule.FromM, r.TowerRule.StepM = 9, 3
	e := mustRun(t, r)
	if len(e.Decision.Clear) == 0 {
		t.Fatal("no rule was judged")
	}
	for _, c := range e.Decision.Clear {
		want := nan
		for _, h := range e.Heights {
			if h.HubHeightM >= c.LowestHubM {
				want = h.HubHeightM
				break
			}
		}
		if c.HubHeightM != want && (want == want || c.HubHeightM == c.HubHeightM) {
			t.Errorf("%s: cleared by %g m, want %g m (lowest %g m)", c.Rule, c.HubHeightM, want, c.LowestHubM)
		}
	}
}

// More measuring tells more, and never more than knowing would be worth; where nothing is at stake nobody is sent to measure.
func TestMeasuring(t *testing.T) {
	r := priced()
	r.Solar.CostPerKW = 60000
	e := mustRun(t, r)
	r.Money.PricePerKWh = e.Heights[best(e.Heights)].Cost.PerKWh
	e = mustRun(t, r)
	m := e.Decision.Measuring
	if m == nil || len(m.Campaigns) != len(campaignMonths) {
		t.Fatalf("%+v", m)
	}
	near(t, "chance of being wrong at break-even", m.Today.ChanceWrong, 0.5, 0.1)
	for i, c := range m.Campaigns {
		if c.SpeedSDAfter > m.SpeedSD || c.ValueOfMeasuring > m.Today.ValueOfKnowing || c.FlipChance < 0 || c.FlipChance > 1 {
			t.Errorf("%+v", c)
		}
		if i > 0 && (c.ValueOfMeasuring < m.Campaigns[i-1].ValueOfMeasuring || c.Shrink < m.Campaigns[i-1].Shrink) {
			t.Errorf("%d months tell less than %d", c.Months, m.Campaigns[i-1].Months)
		}
	}
	if s := e.Decision.NextStep; s == nil || s.Code != "measure_months" || s.Months < 1 {
		t.Errorf("at break-even in a wind nobody measured: %+v", s)
	}
	r.Money.MeasuringCost = 1e6
	if s := mustRun(t, r).Decision.NextStep; s.Code == "measure_months" {
		t.Errorf("measuring that costs a million: %+v", s)
	}
	r.Money.MeasuringCost, r.Money.PricePerKWh = 0, 5
	if s := mustRun(t, r).Decision.NextStep; s.Code != "decide_now_build" {
		t.Errorf("with a kWh worth 5: %+v", s)
	}
}

// The expected value of building is a mean over a wind that is lognormal with its estimate for mean (JCGM 101's model, in closed form for the
// wind). Here it is summed by Simpson's rule over estimates of their own, each run in a wind that is so much stronger or weaker.
func TestExpectedValueByQuadrature(t *testing.T) {
	r := priced()
	e := mustRun(t, r)
	b := best(e.Heights)
	m, hubM := e.Decision.Measuring, e.Heights[b].HubHeightM
	tower := Tower{HubHeightM: hubM, Cost: r.TowerRule.cost(hubM)}
	value := func(factor float64) float64 {
		own := priced()
		own.Uncertainty = UnknownUncertainty()
		own.Uncertainty.Draws = NoDraws
		own.Towers, own.TowerRule = []Tower{tower}, nil
		own.Wind.Weibull.ScaleMS *= math.Min(1.6, factor) // beyond which the energy is held
		h := mustRun(t, own).Heights[0]
		return own.Money.plan(tower.Cost).NPV(h.Energy.NetKWh, math.Min(h.Solar.PerKWh, 0.28))
	}
	const steps, reach = 120, 6.0
	sum := 0.0
	for i := range steps + 1 {
		z := reach * (2*float64(i)/steps - 1)
		weight := 2.0 + 2*float64(i%2)
		if i == 0 || i == steps {
			weight = 1
		}
		sum += weight * math.Exp(-z*z/2) * value(math.Exp(m.SpeedSD*(z-m.SpeedSD/2)))
	}
	mean := sum * 2 * reach / steps / 3 / math.Sqrt(2*math.Pi)
	near(t, "expected value", m.Today.ExpectedValue, mean, 2e-3)
}

func TestNextStepOfWeakData(t *testing.T) {
	if s := mustRun(t, at10m(invented(7, 40*24))).Decision.NextStep; s == nil || s.Code != "measure_months" || s.Months != 12 {
		t.Errorf("%+v", s)
	}
	r := priced()
	r.Uncertainty = UnknownUncertainty()
	r.Uncertainty.Draws = NoDraws
	if d := mustRun(t, r).Decision; d.NextStep != nil || d.Measuring != nil || len(d.BreakEvens) > 0 || len(d.Steps) == 0 {
		t.Errorf("%+v", d)
	}
}

// One request, one decision, whatever ran before.
func TestDecisionIsRepeatable(t *testing.T) {
	a, b := mustRun(t, priced()), mustRun(t, priced())
	same := func(x, y any) bool { return fmt.Sprintf("%+v", x) == fmt.Sprintf("%+v", y) } // NaN beside NaN
	if !same(a.Decision.BreakEvens, b.Decision.BreakEvens) || !same(a.Decision.Measuring, b.Decision.Measuring) || !same(a.Decision.NextStep, b.Decision.NextStep) {
		t.Error("the same request gave two decisions")
	}
}

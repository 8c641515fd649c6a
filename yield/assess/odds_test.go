package assess

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"mastworth/yield"
)

// certain is the garden with nothing uncertain but what a test says.
func certain(change func(*Uncertainty)) Request {
	r := garden()
	r.Solar.YieldKWhPerKW = 900
	u := UnknownUncertainty()
	for _, m := range u.members() {
		*m.of = 0
	}
	u.Verdict = DefaultUncertainty.Verdict
	change(&u)
	r.Uncertainty = u
	return r
}

// A linear model with a normal error has a closed form: the level exceeded with 90 % is mean − 1.281552·sd, with 99 %
// mean − 2.326348·sd (normal quantiles, any table). What is drawn must lie within some stated sampling errors of it.
func TestOddsOfANormalErrorAreExact(t *testing.T) {
	for _, draws := range []int{1000, 10_000} {
		r := certain(func(u *Uncertainty) { u.PowerCurve, u.Draws = 0.10, draws })
		h := &mustRun(t, r).Heights[1]
		e := h.Odds.Year.Energy
		for _, c := range []struct {
			what          string
			got, k, error float64
		}{
			{"P50", e.P50.Value, 0, e.P50.SamplingError}, {"P75", e.P75.Value, 0.674490, e.P75.SamplingError},
			{"P90", e.P90.Value, 1.281552, e.P90.SamplingError}, {"P95", e.P95.Value, 1.644854, e.P95.SamplingError},
			{"P99", e.P99.Value, 2.326348, e.P99.SamplingError},
		} {
			want := h.Energy.NetKWh * (1 - 0.10*c.k)
			if off := math.Abs(c.got - want); off > 4*c.error+1e-4*want {
				t.Errorf("%d draws: %s is %g, in closed form %g, and the sampling error is said to be %g", draws, c.what, c.got, want, c.error)
			}
		}
		near(t, "sd", e.SD.Value, 0.10*h.Energy.NetKWh, 0.01)
	}
}

// Two independent factors multiply: (1 + u₁²)(1 + u₂²) − 1 is the square of the product's relative spread (exact for independent
// factors of mean 1).
func TestOddsOfAProduct(t *testing.T) {
	r := certain(func(u *Uncertainty) { u.PowerCurve, u.Losses, u.Draws = 0.12, 0.08, 10_000 })
	h := &mustRun(t, r).Heights[0]
	near(t, "relative spread", h.Odds.Year.Energy.SD.Value/h.Odds.Year.Energy.Mean.Value, math.Sqrt(1.0144*1.0064-1), 0.005)
}

// With nothing uncertain every level is the estimate itself, and every chance is none or all.
func TestOddsWithoutUncertainty(t *testing.T) {
	e := mustRun(t, certain(func(*Uncertainty) {}))
	for i := range e.Heights {
		h := &e.Heights[i]
		near(t, "P50", h.Odds.Year.Energy.P50.Value, h.Energy.NetKWh, 1e-6)
		near(t, "P99", h.Odds.Year.Energy.P99.Value, h.Energy.NetKWh, 1e-6)
		near(t, "cost", h.Odds.Life.CostPerKWh.P90.Value, h.Cost.PerKWh, 1e-6)
		if p := h.Odds.BelowSolar.Share; p != 0 && p != 1 {
			t.Errorf("a chance of %g in a world that is known", p)
		}
	}
}

func TestSameOddsTwice(t *testing.T) {
	r := garden()
	a, b := mustRun(t, r), mustRun(t, r)
	if x, y := fmt.Sprintf("%+v", a.Heights[1].Odds), fmt.Sprintf("%+v", b.Heights[1].Odds); x != y {
		t.Errorf("%s\n%s", x, y)
	}
	r.Seed = a.Seed + 1
	if c := mustRun(t, r); c.Heights[1].Odds.Life.Energy.P90 == a.Heights[1].Odds.Life.Energy.P90 {
		t.Error("another seed gave the same draws")
	}
}

func TestBadUncertainty(t *testing.T) {
	cases := []struct {
		place  string
		change func(*Request)
	}{
		{"uncertainty.measurement", func(r *Request) { r.Uncertainty.Measurement = 1.2 }},
		{"uncertainty.losses", func(r *Request) { r.Uncertainty.Losses = -0.05 }},
		{"uncertainty.price", func(r *Request) { r.Uncertainty.Price = math.Inf(1) }},
		{"uncertainty.draws", func(r *Request) { r.Uncertainty.Draws = 3 }},
		{"uncertainty.draws", func(r *Request) { r.Uncertainty.Draws = MaxDraws + 1 }},
		{"uncertainty.verdict", func(r *Request) { r.Uncertainty.Verdict = Thresholds{WorthIt: 0.3, NotWorthIt: 0.6, CannotSay: nan} }},
		{"uncertainty.verdict.worth_it", func(r *Request) { r.Uncertainty.Verdict.WorthIt = 1.5 }},
		{"uncertainty.verdict.cannot_say", func(r *Request) { r.Uncertainty.Verdict.CannotSay = -1 }},
		{"money.life_years", func(r *Request) { r.Money.LifeYears = -5 }},
		{"money.measuring_cost", func(r *Request) { r.Money.MeasuringCost = -1 }},
	}
	for _, c := range cases {
		r := garden()
		r.Uncertainty = UnknownUncertainty()
		c.change(&r)
		_, err := Run(r)
		var inv *InvalidError
		if !errors.As(err, &inv) || inv.Fields[0].Location != c.place || inv.Fields[0].Detail == "" {
			t.Errorf("%s: %v", c.place, err)
		}
	}
}

// points25 is an invented curve of 25 points.
func points25() []yield.Point {
	out := make([]yield.Point, 25)
	for i := range out {
		v := 2 + float64(i)
		out[i] = yield.Point{SpeedMS: v, PowerW: math.Min(900, 1.1*math.Max(0, v-2.5)*v*v/2)}
	}
	return out
}

// How an estimate's time grows with draws and heights: read the ratios within one run.
func BenchmarkOdds(b *testing.B) {
	for _, heights := range []int{1, 2, 4, 8} {
		for _, draws := range []int{NoDraws, 1000, 10_000} {
			b.Run(fmt.Sprintf("%dheights/%ddraws", heights, max(0, draws)), func(b *testing.B) {
				r := garden()
				r.Solar.YieldKWhPerKW = 900
				r.Turbine.CurvePoints = points25()
				r.Towers = nil
				for i := range heights {
					r.Towers = append(r.Towers, Tower{HubHeightM: 10 + 3*float64(i), Cost: 500 + 120*float64(i)})
				}
				r.Uncertainty = UnknownUncertainty()
				r.Uncertainty.Draws = draws
				b.ReportAllocs()
				for b.Loop() {
					if _, err := Run(r); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

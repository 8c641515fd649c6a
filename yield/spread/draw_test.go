package spread

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The same seed gives the same answer with any number of workers, and another seed another.
func TestSameSeedSameAnswer(t *testing.T) {
	m, sources := garden(t, 3)
	first := mustDraw(t, m, sources, Options{Draws: 1000, Seed: 42, Workers: 1, Keep: true})
	for _, workers := range []int{0, 2, 3, 16} {
		again := mustDraw(t, m, sources, Options{Draws: 1000, Seed: 42, Workers: workers, Keep: true})
		if textOf(first) != textOf(again) {
			t.Errorf("%d workers gave another answer", workers)
		}
	}
	other := mustDraw(t, m, sources, Options{Draws: 1000, Seed: 43})
	if other.Heights[0].Life.Energy.P90 == first.Heights[0].Life.Energy.P90 {
		t.Error("another seed gave the same answer")
	}
	if first.Seed != 42 || first.Draws != 1024 || first.Blocks != 8 {
		t.Errorf("seed %d, %d draws in %d blocks", first.Seed, first.Draws, first.Blocks)
	}
}

// textOf is a result in words, in which NaN equals NaN.
func textOf(r Result) string {
	joint := *r.Joint
	r.Joint = nil
	return fmt.Sprintf("%v %v", r, joint)
}

// Without uncertainty everything is its central value, and the odds are 0 or 1.
func TestNothingUncertain(t *testing.T) {
	m, sources := garden(t, 4)
	for i := range sources {
		sources[i].Standard, sources[i].PerHeight = 0, nil
	}
	r := mustDraw(t, m, sources, Options{Draws: 100})
	best, lowest := 0, math.Inf(1)
	for h := range r.Heights {
		x := &r.Heights[h]
		for _, s := range []*Spread{&x.Year.Energy, &x.Life.Energy, &x.Year.CostPerKWh, &x.Life.CostPerKWh, &x.NPV, &x.Life.CapacityFactor} {
			for _, l := range []Level{s.P50, s.P75, s.P90, s.P95, s.P99, s.Mean} {
				near(t, "level", l.Value, s.Central, 1e-9)
			}
			for _, c := range s.Contributions {
				if c.Share != 0 {
					t.Errorf("%s has a share of %g in nothing", c.Source, c.Share)
				}
			}
		}
		if c := x.Life.CostPerKWh.Central; c < lowest {
			best, lowest = h, c
		}
		near(t, "year", x.Year.Energy.Central, 0.88*m.Heights[h].Energy.At(1), 1e-12)
	}
	for h := range r.Heights {
		want := 0.0
		if h == best {
			want = 1
		}
		if got := r.Heights[h].Cheapest; got.Share != want || got.SamplingError != 0 {
			t.Errorf("height %d is the cheapest with %v", h, got)
		}
	}
	near(t, "array", r.Solar.Life.CostPerKWh.P90.Value, 0.17, 1e-12)
	near(t, "price", r.Price.P90.Value, 0.30, 1e-12)
}

// Levelised cost and net present value by hand: 1000 kWh falling by 10 % each of three years at 5 %, 100 a year.
func TestMoneyOfTheLife(t *testing.T) {
	m := straight(t, 2)
	m.LifeYears, m.Rate, m.Decline, m.Price = 3, 0.05, 0.1, 0.25
	r := mustDraw(t, m, nil, Options{Draws: 100})
	h := &r.Heights[0]
	energy := 1000/1.05 + 900/(1.05*1.05) + 810/(1.05*1.05*1.05)
	payments := 100/1.05 + 100/(1.05*1.05) + 100/(1.05*1.05*1.05)
	near(t, "cost per kWh", h.Life.CostPerKWh.P50.Value, payments/energy, 1e-9)
	near(t, "net present value", h.NPV.P50.Value, 0.25*energy-payments, 1e-9)
	near(t, "central cost", h.Life.CostPerKWh.Central, payments/energy, 1e-9)
	near(t, "central value", h.NPV.Central, 0.25*energy-payments, 1e-9)
	near(t, "mean energy", h.Life.Energy.P50.Value, (1000+900+810)/3.0, 1e-9)
	near(t, "cost of the first year", h.Year.CostPerKWh.P50.Value, 0.1, 1e-9)
}

// With log-normal cost and energy on both sides the odds are in closed form: ln(wind/solar) is normal.
func TestOddsAgainstSolar(t *testing.T) {
	m := straight(t, 2)
	m.Solar = Solar{PerKWh: 0.11, AnnualKWh: 900}
	m.Price = 0.12
	sources := []Source{
		{Name: "wind", Kind: WindSpeed, Standard: 0.08, Distribution: Lognormal},
		{Name: "cost", Kind: Costs, Standard: 0.1, Distribution: Lognormal},
		{Name: "sun", Kind: SolarEnergy, Standard: 0.05, Distribution: Lognormal},
		{Name: "price", Kind: Price, Standard: 0.2, Distribution: Lognormal},
	}
	v := func(u float64) float64 { return math.Log1p(u * u) }
	probability := func(gap, variance float64) float64 { return 0.5 * math.Erfc(-gap/math.Sqrt(2*variance)) }
	// ln wind = ln 0.1 + ln cost − 2 ln speed; the means of ln f are −v/2.
	wind, windVar := math.Log(0.1)-v(0.1)/2+v(0.08), v(0.1)+4*v(0.08)
	solar, solarVar := math.Log(0.11)+v(0.05)/2, v(0.05)
	price, priceVar := math.Log(0.12)-v(0.2)/2, v(0.2)
	r := mustDraw(t, m, sources, Options{Draws: 50000, Seed: 6})
	h := &r.Heights[0]
	near(t, "below solar", h.BelowSolar.Share, probability(solar-wind, windVar+solarVar), 5e-3)
	near(t, "below price", h.BelowPrice.Share, probability(price-wind, windVar+priceVar), 5e-3)
	if h.BelowSolar.SamplingError > 0.003 {
		t.Errorf("sampling error %g", h.BelowSolar.SamplingError)
	}
	near(t, "the solar cost's spread", r.Solar.Life.CostPerKWh.SD.Value, 0.11*0.05, 0.01)
}

// Errors common to all heights cancel in the odds: with the wind's error alike at two heights in a power law, the ratio of
// their costs never changes, so one of them is the cheapest for certain. Errors that grow with height blur it, in closed form.
func TestHeightsShareTheWind(t *testing.T) {
	m := straight(t, 2)
	m.Heights = append(m.Heights, m.Heights[0])
	m.Heights[1].CapitalPerYear = 79
	wind := []Source{{Name: "wind", Kind: WindSpeed, Standard: 0.2, Distribution: Lognormal}}
	r := mustDraw(t, m, wind, Options{Draws: 1000})
	if r.Heights[1].Cheapest.Share != 1 {
		t.Errorf("the second height is the cheapest with %v", r.Heights[1].Cheapest)
	}
	wind[0].PerHeight = []float64{0.02, 0.10}
	r = mustDraw(t, m, wind, Options{Draws: 20000, Seed: 5})
	// Costs are 100 f₀⁻² and 99 f₁⁻², ln fᵢ = sᵢz − sᵢ²/2: the second is cheaper where 2(s₁ − s₀)z > ln 0.99 + s₁² − s₀².
	v0, v1 := math.Log1p(0.02*0.02), math.Log1p(0.10*0.10)
	z := (math.Log(0.99) + v1 - v0) / (2 * (math.Sqrt(v1) - math.Sqrt(v0)))
	near(t, "the second height cheapest", r.Heights[1].Cheapest.Share, 0.5*math.Erfc(z/math.Sqrt2), 1e-3)
}

// Shares of an additive variance are the squares; a source that does not touch an output has none.
func TestContributions(t *testing.T) {
	m := straight(t, 1)
	m.Price = 0.2
	sources := []Source{
		{Name: "curve", Kind: WindEnergy, Standard: 0.04, Distribution: Rectangular},
		{Name: "wind", Kind: WindSpeed, Standard: 0.03, Distribution: Triangular},
		{Name: "costs", Kind: Costs, Standard: 0.05},
		{Name: "price", Kind: Price, Standard: 0.02},
		{Name: "years", Kind: WindSpeed, Standard: 0.06, EveryYear: true},
	}
	r := mustDraw(t, m, sources, Options{Draws: 20000, Seed: 8})
	h := &r.Heights[0]
	check := func(what string, s *Spread, squares ...float64) {
		t.Helper()
		total := 0.0
		for _, q := range squares {
			total += q
		}
		for i, q := range squares {
			if got := s.Contributions[i].Share; math.Abs(got-q/total) > 0.012 {
				t.Errorf("%s: %s has %.4f, want %.4f", what, sources[i].Name, got, q/total)
			}
		}
		if math.Abs(s.Together) > 0.01 {
			t.Errorf("%s: %.4f is left", what, s.Together)
		}
	}
	check("year's energy", &h.Year.Energy, 16, 9, 0, 0, 36)
	check("life's energy", &h.Life.Energy, 16, 9, 0, 0, 36.0/20)
	check("life's cost", &h.Life.CostPerKWh, 16, 9, 25, 0, 36.0/20)
	check("value", &h.NPV, 4*16, 4*9, 25, 4*4, 4*36.0/20)
}

// What is not known stays NaN and nothing else does.
func TestUnknowns(t *testing.T) {
	m := straight(t, 2)
	m.Heights[0].RatedKW = math.NaN()
	r := mustDraw(t, m, []Source{{Name: "wind", Kind: WindSpeed, Standard: 0.1}, {Name: "sun", Kind: SolarEnergy, Standard: 0.1},
		{Name: "price", Kind: Price, Standard: 0.1}}, Options{Draws: 100})
	h := &r.Heights[0]
	for name, v := range map[string]float64{
		"capacity factor": h.Year.CapacityFactor.P50.Value, "value": h.NPV.Mean.Value, "best value": h.BestValue.Share,
		"below solar": h.BelowSolar.Share, "below price": h.BelowPrice.Share, "solar": r.Solar.Life.CostPerKWh.P90.Value,
		"solar energy": r.Solar.Life.Energy.P90.Value, "price": r.Price.P50.Value,
	} {
		if v == v {
			t.Errorf("%s: %g, want NaN", name, v)
		}
	}
	if h.Cheapest.Share != 1 || !(h.Life.Energy.P90.Value < h.Life.Energy.P50.Value) {
		t.Error("energy and cost are known")
	}
}

// A machine that needs more wind than there is makes nothing in many draws: the costs have no end there, and it is said.
func TestWithoutEnergy(t *testing.T) {
	m := straight(t, 1)
	e, err := Tabulate(func(f float64) float64 { return 100 * math.Max(0, f-1) }, Multipliers(45))
	if err != nil {
		t.Fatal(err)
	}
	m.Heights[0].Energy = e
	r := mustDraw(t, m, []Source{{Name: "wind", Kind: WindSpeed, Standard: 0.5}}, Options{Draws: 1000})
	c := &r.Heights[0].Life.CostPerKWh
	if !math.IsInf(c.P75.Value, 1) || !math.IsNaN(c.Mean.Value) || math.Abs(r.Heights[0].Cheapest.Share-0.5) > 0.03 {
		t.Errorf("%v; cheapest %v", c, r.Heights[0].Cheapest)
	}
	codes := map[string]bool{}
	for _, w := range r.Warnings {
		codes[w.Code] = true
	}
	for _, code := range []string{"draws_without_energy", "draws_beyond_table", "draws_clipped"} {
		if !codes[code] {
			t.Errorf("no warning %s in %v", code, r.Warnings)
		}
	}
	// 2.28 % of a normal lie two standard deviations below.
	near(t, "clipped", r.Clipped, 0.02275, 0.05)
}

// Laws that hold whatever the garden: levels fall in their order, odds add up, money has no unit.
func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, sources := garden(t, rapid.IntRange(1, 4).Draw(t, "heights"))
		for i := range sources {
			sources[i].Standard = rapid.Float64Range(0, 0.3).Draw(t, sources[i].Name)
		}
		o := Options{Draws: 300, Seed: rapid.Uint64().Draw(t, "seed")}
		r, err := Draw(m, sources, o)
		if err != nil {
			t.Fatal(err)
		}
		cheapest, value := 0.0, 0.0
		for h := range r.Heights {
			x := &r.Heights[h]
			cheapest, value = cheapest+x.Cheapest.Share, value+x.BestValue.Share
			e, c := levels(&x.Life.Energy), levels(&x.Life.CostPerKWh)
			for i := range e[1:] {
				if e[i+1].Value > e[i].Value || c[i+1].Value < c[i].Value {
					t.Fatalf("levels out of order: %v, %v", e, c)
				}
			}
			if s := x.Life.Energy; s.Shortest.High-s.Shortest.Low > (s.Symmetric.High-s.Symmetric.Low)*1.1+1e-9 {
				t.Fatalf("shortest %v, symmetric %v", s.Shortest, s.Symmetric)
			}
		}
		some := false // draws without energy, in which no height is the cheapest
		for _, w := range r.Warnings {
			some = some || w.Code == "draws_without_energy"
		}
		if cheapest > 1+1e-9 || !some && cheapest < 1-1e-9 || math.Abs(value-1) > 1e-9 {
			t.Fatalf("odds add up to %g and %g", cheapest, value)
		}
		// In another currency, 2⁷ to one, everything but the money is the same.
		other := m
		other.Price *= 128
		other.Solar.PerKWh *= 128
		other.Heights = append([]HeightModel(nil), m.Heights...)
		for h := range other.Heights {
			x := &other.Heights[h]
			x.CapitalPerYear, x.ReplacementsPerYear, x.UpkeepPerYear = 128*x.CapitalPerYear, 128*x.ReplacementsPerYear, 128*x.UpkeepPerYear
		}
		r2, err := Draw(other, sources, o)
		if err != nil {
			t.Fatal(err)
		}
		for h := range r.Heights {
			a, b := &r.Heights[h], &r2.Heights[h]
			if a.Cheapest != b.Cheapest || a.BelowSolar != b.BelowSolar || a.BelowPrice != b.BelowPrice ||
				128*a.Life.CostPerKWh.P90.Value != b.Life.CostPerKWh.P90.Value || 128*a.NPV.P90.Value != b.NPV.P90.Value {
				t.Fatal("the answer depends on the currency")
			}
		}
	})
}

package decide_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"mastworth/yield/cost"
	"mastworth/yield/decide"
)

// hobby is the worked case of the project's reference sheet: 6000, 5 %, 20 years, 150 a year, 3000 kWh: 0.210485 a kWh.
var hobby = cost.Plan{Capital: 6000, Yearly: 150, LifeYears: 20, Rate: 0.05}

func solve(t testing.TB, q decide.Question) decide.Answer {
	t.Helper()
	a, err := decide.Solve(q)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// The cost of a kWh is straight in the capital and inverse in the energy, so what it takes to reach 0.169627, that of the array
// of equal cost on the same sheet, is known: (0.169627·3000 − 150)/0.080243, with the tabled capital recovery factor.
func TestBreakEvenOfAPlan(t *testing.T) {
	const solar = 0.169627
	capital := solve(t, decide.Question{Name: "turbine cost", Now: 6000, Lowest: 0, Highest: 12000, At: func(x float64) (float64, float64) {
		p := hobby
		p.Capital = x
		return p.PerKWh(3000), solar
	}})
	near(t, "capital", capital.Value, (solar*3000-150)/0.080243, 0.03) // six digits of the factor
	near(t, "capital, exactly", capital.Value, (solar*3000-150)/cost.CapitalRecovery(0.05, 20), 1e-8)
	if !capital.Found || capital.Jump || capital.Holds || capital.Why != "" || capital.Name != "turbine cost" {
		t.Errorf("got %+v", capital)
	}
	energy := solve(t, decide.Question{Now: 3000, Lowest: 300, Highest: 9000, At: func(x float64) (float64, float64) { return hobby.PerKWh(x), solar }})
	near(t, "energy", energy.Value, 3000*0.210485/solar, 0.02)
	near(t, "energy, exactly", energy.Value, hobby.YearlyEquivalent()/solar, 1e-8)
	// A price is reached at the cost of a kWh itself.
	price := solve(t, decide.Question{Now: 0.17, Lowest: 0, Highest: 1, At: func(x float64) (float64, float64) { return hobby.PerKWh(3000), x }})
	near(t, "price", price.Value, 0.210485, 5e-7)
}

func TestNoAnswer(t *testing.T) {
	at := func(f func(x float64) float64) func(x float64) (float64, float64) {
		return func(x float64) (float64, float64) { return f(x), 0 }
	}
	nan := math.NaN()
	for _, c := range []struct {
		name string
		f    func(x float64) float64
		why  decide.Why
	}{
		{"it does already", func(x float64) float64 { return x - 7 }, decide.Already},
		{"just already", func(x float64) float64 { return x - 5 }, decide.Already},
		{"nothing does", func(x float64) float64 { return 1 + x*x }, decide.NotWithin},
		{"without end", func(float64) float64 { return math.Inf(1) }, decide.NotWithin},
		{"not known now", func(x float64) float64 { return math.Sqrt(x - 6) }, decide.NotKnown},
		{"known now alone", func(x float64) float64 {
			if x == 5 {
				return 1
			}
			return nan
		}, decide.NotKnown},
		{"gone where it might turn", func(x float64) float64 {
			if x < 8 {
				return 1
			} else if x < 9 {
				return nan
			}
			return -1
		}, decide.NotWithin},
	} {
		a := solve(t, decide.Question{Now: 5, Lowest: 1, Highest: 10, At: at(c.f)})
		if a.Found || a.Why != c.why || !math.IsNaN(a.Value) {
			t.Errorf("%s: got %+v", c.name, a)
		}
	}
	one := func(float64) (float64, float64) { return 1, 0 }
	for field, q := range map[string]decide.Question{
		"at":      {Now: 5, Lowest: 1, Highest: 10},
		"lowest":  {Now: 5, Lowest: nan, Highest: 10, At: one},
		"highest": {Now: 5, Lowest: 5, Highest: 5, At: one},
		"now":     {Now: 11, Lowest: 1, Highest: 10, At: one},
		"steps":   {Now: 5, Lowest: 1, Highest: 10, At: one, Steps: 1},
	} {
		_, err := decide.Solve(q)
		blames(t, err, field)
	}
}

// Of several changes the nearest counts, on either side; and what holds now can be asked where it ceases to.
func TestNearestChange(t *testing.T) {
	wave := func(x float64) (float64, float64) { return math.Cos(x), 0 } // below 0 from π/2 to 3π/2, and so on
	for _, c := range []struct{ now, want float64 }{{0.5, math.Pi / 2}, {5, 1.5 * math.Pi}, {7, 2.5 * math.Pi}, {6, 1.5 * math.Pi}} {
		near(t, "from dear", solve(t, decide.Question{Now: c.now, Lowest: -20, Highest: 20, Steps: 200, At: wave}).Value, c.want, 1e-12)
	}
	a, err := decide.Turn(decide.Question{Now: 3.5, Lowest: -20, Highest: 20, Steps: 200, At: wave})
	if err != nil || !a.Holds || !a.Found {
		t.Fatalf("%+v, %v", a, err)
	}
	near(t, "from cheap", a.Value, 1.5*math.Pi, 1e-12)
	// No energy below a height, so a kWh has no price there.
	step := solve(t, decide.Question{Now: 20, Lowest: 6, Highest: 60, At: func(x float64) (float64, float64) {
		if x < 34.5 {
			return math.Inf(1), 0.2
		}
		return 0.1, 0.2
	}})
	near(t, "a jump", step.Value, 34.5, 1e-10)
	if !step.Jump {
		t.Errorf("got %+v, want a jump", step)
	}
}

// Whatever the range and the steepness, the answer costs no more, and a hair before it does.
func TestAnswersHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.Float64Range(-50, 50).Draw(t, "at")
		power := rapid.SampledFrom([]float64{1, 3, 5, 1.0 / 3}).Draw(t, "power")
		scale := math.Pow(10, rapid.Float64Range(-9, 9).Draw(t, "scale"))
		now := rapid.Float64Range(-60, at-1e-3).Draw(t, "now")
		f := func(x float64) (float64, float64) {
			d := at - x
			return scale * math.Copysign(math.Pow(math.Abs(d), power), d), 0
		}
		a, err := decide.Solve(decide.Question{Now: now, Lowest: -60, Highest: 60, At: f})
		if err != nil {
			t.Fatal(err)
		}
		if c, _ := f(a.Value); !a.Found || c > 0 || a.Jump || math.Abs(a.Value-at) > 1e-12*(1+math.Abs(at)) {
			t.Fatalf("got %+v for %g: costs %g", a, at, c)
		}
	})
}

func BenchmarkSolve(b *testing.B) {
	q := decide.Question{Now: 6000, Lowest: 100, Highest: 12000, At: func(x float64) (float64, float64) {
		p := hobby
		p.Capital = x
		return p.PerKWh(3000), 0.17
	}}
	for b.Loop() {
		if _, err := decide.Solve(q); err != nil {
			b.Fatal(err)
		}
	}
}

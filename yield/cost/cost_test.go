package cost

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// near fails unless got is within tol of want, relative to want (absolute where want is 0).
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	scale := math.Abs(want)
	if want == 0 {
		scale = 1
	}
	if !(math.Abs(got-want) <= tol*scale) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tol)
	}
}

// (A/P, i, n) of the engineering-economics tables. 7 % over 25 and 15 years were read in print as 0.0858 and 0.1098; the
// others were computed with NumPy to the digits given.
func TestCapitalRecovery(t *testing.T) {
	for _, c := range []struct {
		rate  float64
		years int
		want  float64
		tol   float64
	}{
		{0.05, 20, 0.080243, 5e-7}, {0.06, 20, 0.087185, 5e-7}, {0.07, 20, 0.094393, 5e-7}, {0.08, 20, 0.101852, 5e-7},
		{0.08, 25, 0.093679, 5e-7}, {0.10, 20, 0.117460, 5e-7}, {0.07, 25, 0.0858, 5e-5}, {0.07, 15, 0.1098, 5e-5},
		{0, 20, 0.05, 1e-15}, {1e-12, 20, 0.05, 1e-9},
	} {
		if got := CapitalRecovery(c.rate, c.years); math.Abs(got-c.want) > c.tol {
			t.Errorf("(A/P, %g, %d) = %.7f, want %.7f", c.rate, c.years, got, c.want)
		}
	}
	near(t, "(P/A, 5 %, 20)", PresentWorth(0.05, 20), 12.462210, 5e-7)
	// 7 % nominal at 2.5 % inflation; computed.
	near(t, "real rate", RealRate(0.07, 0.025), 0.0439024, 1e-6)
}

// A hobby machine of 6000 at 5 % over 20 years, 150 a year, 3000 kWh a year. Computed apart, with NumPy.
func TestWorkedCase(t *testing.T) {
	p := Plan{Capital: 6000, Yearly: 150, LifeYears: 20, Rate: 0.05}
	near(t, "cost per kWh", p.PerKWh(3000), 0.210485, 3e-6)
	near(t, "net present value", p.NPV(3000, 0.17), -1513.60, 5e-6)
	near(t, "simple payback", p.SimplePayback(3000, 0.17), 16.667, 3e-5)
	p.Decline = 0.005
	near(t, "cost per kWh, output falling 0.5 % a year", p.PerKWh(3000), 0.2189, 2.5e-4)

	// The solar array of equal cost: 6000 at 2.68 a watt, 1200 kWh a kW and year, 25 years, 30 a year.
	pv := Plan{Capital: 6000, Yearly: 30, LifeYears: 25, Rate: 0.05}
	near(t, "equal-cost array", pv.PerKWh(6000/2680.0*1200), 0.169627, 3e-6)
}

// Published levelised costs (NREL, Cost of Wind Energy Review, several editions; the inputs from memory), which spread the
// capital by a fixed charge rate. A life of one year at rate FCR − 1 recovers exactly FCR times the capital.
func TestPublishedLevelisedCosts(t *testing.T) {
	for _, c := range []struct {
		name                         string
		capital, charge, yearly, mwh float64 // per kW or kW and year; MWh per MW and year
		want                         float64 // per MWh
	}{
		{"20 kW residential", 5675, 0.0588, 35, 2580, 143},
		{"100 kW commercial", 4300, 0.0588, 35, 2846, 101},
		{"land-based 2021", 1501, 0.0588, 40, 3775, 34},
		{"land-based 2016", 1590, 0.079, 52, 3633, 49},
	} {
		p := Plan{Capital: c.capital, Yearly: c.yearly, LifeYears: 1, Rate: c.charge - 1}
		near(t, c.name, 1000*p.PerKWh(c.mwh), c.want, 0.01)
	}
}

func TestReplacements(t *testing.T) {
	p := Plan{Capital: 1000, LifeYears: 20, Rate: 0.04, Replacements: []Replacement{{Year: 10, Cost: 350}, {Year: 20, Cost: 500}}}
	// 350 in ten years at 4 %: (P/F, 4 %, 10) = 0.6756 of the tables.
	near(t, "present cost", p.YearlyEquivalent()/CapitalRecovery(0.04, 20), 1000+350*0.6756, 1e-4)
	if got := p.IgnoredReplacements(); len(got) != 1 || got[0].Year != 20 {
		t.Errorf("ignored %v, want the one at the end of the life", got)
	}
}

func TestNothingToSell(t *testing.T) {
	p := Plan{Capital: 1000, Yearly: 50, LifeYears: 20, Rate: 0.04}
	for name, v := range map[string]float64{
		"cost per kWh without energy": p.PerKWh(0), "with NaN": p.PerKWh(math.NaN()),
		"payback that never comes": p.SimplePayback(100, 0.1), "rate of −1": PresentWorth(-1, 5),
	} {
		if v == v {
			t.Errorf("%s: %g, want NaN", name, v)
		}
	}
}

func TestValidate(t *testing.T) {
	good := Plan{Capital: 1, LifeYears: 1}
	if err := good.Validate(); err != nil {
		t.Error(err)
	}
	for field, change := range map[string]func(*Plan){
		"capital": func(p *Plan) { p.Capital = -1 }, "yearly": func(p *Plan) { p.Yearly = math.Inf(1) },
		"life_years": func(p *Plan) { p.LifeYears = 0 }, "rate": func(p *Plan) { p.Rate = math.NaN() },
		"decline":              func(p *Plan) { p.Decline = 1 },
		"replacements[0].year": func(p *Plan) { p.Replacements = []Replacement{{Year: 0}} },
		"replacements[0].cost": func(p *Plan) { p.Replacements = []Replacement{{Year: 1, Cost: -2}} },
	} {
		p := good
		change(&p)
		var fe *FieldError
		if err := p.Validate(); !errors.As(err, &fe) || fe.Field != field {
			t.Errorf("%s: got %v", field, err)
		}
	}
}

// At the cost per kWh, the net present value is nothing: the definition of levelised cost.
func TestPriceOfTheCostBreaksEven(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Plan{
			Capital:   rapid.Float64Range(1, 1e5).Draw(t, "capital"),
			Yearly:    rapid.Float64Range(0, 1e3).Draw(t, "yearly"),
			LifeYears: rapid.IntRange(1, 40).Draw(t, "life"),
			Rate:      rapid.Float64Range(-0.03, 0.2).Draw(t, "rate"),
			Decline:   rapid.Float64Range(0, 0.05).Draw(t, "decline"),
			Replacements: []Replacement{{Year: rapid.IntRange(1, 50).Draw(t, "year"),
				Cost: rapid.Float64Range(0, 1e4).Draw(t, "replacement")}},
		}
		kWh := rapid.Float64Range(1, 1e5).Draw(t, "kWh")
		npv := p.NPV(kWh, p.PerKWh(kWh))
		if math.Abs(npv) > 1e-9*(p.Capital+p.Yearly*100+1e4) {
			t.Fatalf("net present value %g", npv)
		}
	})
}

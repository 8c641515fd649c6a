package cost

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The hobby machine of TestWorkedCase, its numbers computed apart with NumPy: the table must end where the formulas do.
func TestCashOfTheWorkedCase(t *testing.T) {
	p := Plan{Capital: 6000, Yearly: 150, LifeYears: 20, Rate: 0.05}
	f, err := p.Cash(3000, Tariff{PricePerKWh: 0.17, SelfUsedShare: 1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "net present value", f.NPV, -1513.60, 5e-6)
	near(t, "simple payback", f.PaybackYears, 16.667, 3e-5)
	if len(f.Years) != 21 || math.Abs(f.Years[20].Net-360) > 1e-9 || f.Years[0].Net != -6000 {
		t.Errorf("%d rows, the last %+v", len(f.Years), f.Years[20])
	}
	if !math.IsNaN(f.DiscountedPaybackYears) || len(f.Warnings) != 1 || f.Warnings[0].Code != "never_pays_back" {
		t.Errorf("discounted payback %g, warnings %v", f.DiscountedPaybackYears, f.Warnings)
	}
	// (P/A, i, 20) = 6000/360 = 16.6667 lies between the tables' 18.0456 at 1 % and 16.3514 at 2 % (from memory).
	if !(f.IRR > 0.01 && f.IRR < 0.02) {
		t.Errorf("internal rate %g, want 1 to 2 %%", f.IRR)
	}
	near(t, "its present worth factor", PresentWorth(f.IRR, 20), 6000.0/360, 1e-9)
}

// (P/A, i, n) of the engineering-economics tables, printed to four places (from memory): paid now for 1 at the end of each
// of n years, it earns the table's rate.
func TestInternalRateOfEvenStreams(t *testing.T) {
	for _, c := range []struct {
		factor float64
		years  int
		rate   float64
	}{
		{4.3295, 5, 0.05}, {4.2124, 5, 0.06}, {7.7217, 10, 0.05}, {6.1446, 10, 0.10}, {12.4622, 20, 0.05}, {8.5136, 20, 0.10}, {5.6502, 10, 0.12},
	} {
		stream := []float64{-c.factor}
		for range c.years {
			stream = append(stream, 1)
		}
		got := InternalRates(stream)
		if len(got) != 1 || math.Abs(got[0]-c.rate) > 5e-5 {
			t.Errorf("(P/A, i, %d) = %g: rates %v, want %g", c.years, c.factor, got, c.rate)
		}
	}
}

// Streams whose polynomial factors, so that the rates are known by hand.
func TestInternalRatesByHand(t *testing.T) {
	for name, c := range map[string]struct{ stream, want []float64 }{
		"one year":                     {[]float64{-100, 110}, []float64{0.1}},
		"two years":                    {[]float64{-100, 0, 121}, []float64{0.1}},
		"a loss":                       {[]float64{-100, 50}, []float64{-0.5}},
		"two rates, (y−1.1)(y−1.2)":    {[]float64{1, -2.3, 1.32}, []float64{0.1, 0.2}},
		"pump, 25 % and 400 %":         {[]float64{-1600, 10000, -10000}, []float64{0.25, 4}}, // Lorie & Savage 1955, from memory
		"three, (y−1)(y−2)(y−3)":       {[]float64{-1, 6, -11, 6}, []float64{0, 1, 2}},
		"three changes, one, (y−2)(…)": {[]float64{-1, 3, -3, 2}, []float64{1}}, // (y−2)(y²−y+1)
		"two changes, none, y²−2y+2":   {[]float64{1, -2, 2}, nil},
		"only received":                {[]float64{0, 1, 2}, nil},
		"nothing":                      {nil, nil},
		"not known":                    {[]float64{-1, math.NaN(), 2}, nil},
		"starts late":                  {[]float64{0, 0, -100, 110}, []float64{0.1}},
		"beyond the highest":           {[]float64{-1, 1000}, nil},
	} {
		got := InternalRates(c.stream)
		ok := len(got) == len(c.want)
		for i := range c.want {
			ok = ok && math.Abs(got[i]-c.want[i]) < 1e-9
		}
		if !ok {
			t.Errorf("%s: rates %v, want %v", name, got, c.want)
		}
	}
}

// Rates put in come out again: a stream is made by multiplying out (y − y1)(y − y2)…, y = 1 + rate.
func TestInternalRatesFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 4).Draw(t, "rates")
		var want []float64
		at := rapid.Float64Range(-0.5, 0.2).Draw(t, "first")
		stream := []float64{-1}
		for range n {
			want = append(want, at)
			next := make([]float64, len(stream)+1)
			for i, v := range stream {
				next[i] += v
				next[i+1] -= v * (1 + at)
			}
			stream = next
			at += rapid.Float64Range(0.1, 0.5).Draw(t, "step")
		}
		got := InternalRates(stream)
		if len(got) != n {
			t.Fatalf("rates %v, want %v", got, want)
		}
		for i := range got {
			if math.Abs(got[i]-want[i]) > 1e-6 {
				t.Fatalf("rates %v, want %v", got, want)
			}
		}
	})
}

func drawCash(t *rapid.T) (Plan, float64, Tariff) {
	p := Plan{
		Capital: rapid.Float64Range(1, 1e5).Draw(t, "capital"), Yearly: rapid.Float64Range(0, 1e3).Draw(t, "yearly"),
		LifeYears: rapid.IntRange(1, 60).Draw(t, "life"), Rate: rapid.Float64Range(-0.03, 0.2).Draw(t, "rate"),
		Decline:      rapid.Float64Range(0, 0.05).Draw(t, "decline"),
		Replacements: []Replacement{{Year: rapid.IntRange(1, 70).Draw(t, "year"), Cost: rapid.Float64Range(0, 1e4).Draw(t, "replacement")}},
	}
	price := rapid.Float64Range(0.01, 1).Draw(t, "price")
	return p, rapid.Float64Range(0, 1e5).Draw(t, "kWh"), Tariff{PricePerKWh: price, FeedInPerKWh: price * rapid.Float64Range(0, 1).Draw(t, "feed-in"),
		SelfUsedShare: rapid.Float64Range(0, 1).Draw(t, "share"), Escalation: rapid.Float64Range(-0.1, 0.1).Draw(t, "escalation"),
		FeedInEscalation: rapid.Float64Range(-0.1, 0.1).Draw(t, "feed-in escalation")}
}

// At each internal rate the stream is worth nothing; with everything used at home at a fixed price the table ends at
// Plan.NPV; a payback is the time at which the sum is nothing.
func TestCashLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, kWh, tariff := drawCash(t)
		f, err := p.Cash(kWh, tariff)
		if err != nil {
			t.Fatal(err)
		}
		for _, rate := range f.IRRs {
			sum, size := 0.0, 0.0
			for i, y := range f.Years {
				v := y.Net * math.Pow(1+rate, -float64(i))
				sum, size = sum+v, size+math.Abs(v)
			}
			if math.Abs(sum) > 1e-9*size {
				t.Fatalf("at the internal rate %g the worth is %g of %g", rate, sum, size)
			}
		}
		if math.IsNaN(f.IRR) == (len(f.IRRs) == 1) {
			t.Fatalf("internal rate %g of %v", f.IRR, f.IRRs)
		}
		simple := Tariff{PricePerKWh: tariff.PricePerKWh, SelfUsedShare: 1}
		g, err := p.Cash(kWh, simple)
		if err != nil {
			t.Fatal(err)
		}
		if want := p.NPV(kWh, tariff.PricePerKWh); math.Abs(g.NPV-want) > 1e-9*(math.Abs(want)+p.Capital+1e6) {
			t.Fatalf("net present value %g, by formula %g", g.NPV, want)
		}
		if d := f.DiscountedPaybackYears; d == d {
			i := int(math.Min(math.Floor(d), float64(p.LifeYears-1)))
			a, b := f.Years[i].CumulativeDiscounted, f.Years[i+1].CumulativeDiscounted
			if at := a + (b-a)*(d-float64(i)); math.Abs(at) > 1e-6*(1+math.Abs(a)+math.Abs(b)) {
				t.Fatalf("at the payback %g the sum is %g", d, at)
			}
		}
	})
}

// More of what is good never makes the net present value worse: energy, price, feed-in, its share used at home where the
// price is above the feed-in, escalation.
func TestCashIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, kWh, tariff := drawCash(t)
		f, err := p.Cash(kWh, tariff)
		if err != nil {
			t.Fatal(err)
		}
		better, more := tariff, rapid.Float64Range(0, 0.05).Draw(t, "more")
		switch rapid.IntRange(0, 4).Draw(t, "what") {
		case 0:
			kWh *= 1 + more
		case 1:
			better.PricePerKWh += more
		case 2:
			better.FeedInPerKWh += more
		case 3:
			better.Escalation += more
		case 4:
			tariff.Escalation = tariff.FeedInEscalation
			if f, err = p.Cash(kWh, tariff); err != nil {
				t.Fatal(err)
			}
			better.Escalation = tariff.Escalation
			better.SelfUsedShare += more * (1 - tariff.SelfUsedShare)
		}
		g, err := p.Cash(kWh, better)
		if err != nil {
			t.Fatal(err)
		}
		if g.NPV < f.NPV-1e-9*(math.Abs(f.NPV)+1e6) {
			t.Fatalf("%g with %+v, %g with %+v", f.NPV, tariff, g.NPV, better)
		}
	})
}

// The present worth of a payment that grows by g a year is (1 − ((1+g)/(1+i))^n)/(i − g), the geometric gradient series of
// engineering economics; energy that declines grows by (1+e)(1−d) − 1.
func TestEscalationIsAGeometricSeries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Plan{LifeYears: rapid.IntRange(1, 40).Draw(t, "life"), Rate: rapid.Float64Range(0.03, 0.1).Draw(t, "rate"),
			Decline: rapid.Float64Range(0, 0.03).Draw(t, "decline")}
		tariff := Tariff{PricePerKWh: 0.3, FeedInPerKWh: 0.1, SelfUsedShare: 0.4, Escalation: rapid.Float64Range(-0.05, 0.02).Draw(t, "escalation"),
			FeedInEscalation: rapid.Float64Range(-0.05, 0.02).Draw(t, "feed-in escalation")}
		f, err := p.Cash(1000, tariff)
		if err != nil {
			t.Fatal(err)
		}
		series := func(e float64) float64 {
			g := (1+e)*(1-p.Decline) - 1
			return (1 - math.Pow((1+g)/(1+p.Rate), float64(p.LifeYears))) / (p.Rate - g)
		}
		if want := 400*0.3*series(tariff.Escalation) + 600*0.1*series(tariff.FeedInEscalation); math.Abs(f.NPV-want) > 1e-9*want {
			t.Fatalf("net present value %g, by the series %g", f.NPV, want)
		}
	})
}

func TestCashWarnings(t *testing.T) {
	tariff := Tariff{PricePerKWh: 1, FeedInPerKWh: 2, SelfUsedShare: 0.5}
	for code, c := range map[string]struct {
		p   Plan
		kWh float64
		t   Tariff
	}{
		"feed_in_above_price": {Plan{Capital: 10, LifeYears: 5}, 100, tariff},
		"replacement_ignored": {Plan{Capital: 10, LifeYears: 5, Replacements: []Replacement{{Year: 5, Cost: 1}}}, 100, tariff},
		"irr_none":            {Plan{Capital: 10, LifeYears: 5}, 0, tariff},
		"never_pays_back":     {Plan{Capital: 10, LifeYears: 5}, 0, tariff},
		// −1600, 10000, −10000 by a replacement: 25 and 400 %.
		"irr_not_unique": {Plan{Capital: 1600, LifeYears: 3, Decline: 0.999999, Replacements: []Replacement{{Year: 2, Cost: 10000}}}, 10000,
			Tariff{PricePerKWh: 1, SelfUsedShare: 1}},
		"irr_sign_changes": {Plan{Capital: 100, LifeYears: 5, Replacements: []Replacement{{Year: 3, Cost: 60}}}, 50, Tariff{PricePerKWh: 1, SelfUsedShare: 1}},
	} {
		f, err := c.p.Cash(c.kWh, c.t)
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, w := range f.Warnings {
			found = found || w.Code == code
		}
		if !found {
			t.Errorf("%s: warnings %v, rates %v", code, f.Warnings, f.IRRs)
		}
	}
	if f, err := (Plan{Capital: 10, LifeYears: 5, Currency: "EUR"}).Cash(0, tariff); err != nil || !strings.Contains(fmt.Sprint(f.Warnings), "after 5 years 10 EUR of the money is still out") {
		t.Errorf("%v: warnings %v", err, f.Warnings)
	}
	// Paid back after 2 years, thrown back by the replacement in year 3 (sums −100, −50, 0, −10, 40, 90): for good in 3.2.
	f, err := Plan{Capital: 100, LifeYears: 5, Replacements: []Replacement{{Year: 3, Cost: 60}}}.Cash(50, Tariff{PricePerKWh: 1, SelfUsedShare: 1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "payback for good", f.PaybackYears, 3.2, 1e-12)
}

func TestCashFaults(t *testing.T) {
	for field, change := range map[string]func(*Plan, *float64, *Tariff){
		"life_years":         func(p *Plan, _ *float64, _ *Tariff) { p.LifeYears = 0 },
		"first_year_kwh":     func(_ *Plan, k *float64, _ *Tariff) { *k = math.NaN() },
		"price_per_kwh":      func(_ *Plan, _ *float64, t *Tariff) { t.PricePerKWh = -1 },
		"feed_in_per_kwh":    func(_ *Plan, _ *float64, t *Tariff) { t.FeedInPerKWh = math.Inf(1) },
		"self_used_share":    func(_ *Plan, _ *float64, t *Tariff) { t.SelfUsedShare = 1.01 },
		"escalation":         func(_ *Plan, _ *float64, t *Tariff) { t.Escalation = -1 },
		"feed_in_escalation": func(_ *Plan, _ *float64, t *Tariff) { t.FeedInEscalation = math.NaN() },
	} {
		p, kWh, tariff := Plan{LifeYears: 20, Rate: 0.05}, 1000.0, Tariff{}
		change(&p, &kWh, &tariff)
		var f *Fault
		if _, err := p.Cash(kWh, tariff); !errors.As(err, &f) || f.Field != field {
			t.Errorf("%s: got %v", field, err)
		}
	}
	for _, p := range []Plan{{LifeYears: 201}, {LifeYears: 200, Rate: -0.9999}} {
		if _, err := p.Cash(1000, Tariff{PricePerKWh: 1, SelfUsedShare: 1, Escalation: 1e3}); err == nil {
			t.Errorf("%+v: no error", p)
		}
	}
}

// A mast of 6000 whose energy is used at home by seven tenths, with a new set of blades after ten years.
func ExamplePlan_Cash() {
	p := Plan{Capital: 6000, Yearly: 150, LifeYears: 20, Rate: 0.02, Replacements: []Replacement{{Year: 10, Cost: 600, What: "blades"}}}
	f, err := p.Cash(3000, Tariff{PricePerKWh: 0.30, FeedInPerKWh: 0.08, SelfUsedShare: 0.7})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("first year %.0f, value today %.0f, paid back after %.1f years\n", f.Years[1].Net, f.NPV, f.PaybackYears)
	// 3000 × (0.7 × 0.30 + 0.3 × 0.08) − 150 = 552; 552 × 16.3514 − 6000 − 600 × 0.8203 = 2534; (6000 + 600)/552 = 12.0.
	// Output: first year 552, value today 2534, paid back after 12.0 years
}

func BenchmarkCash(b *testing.B) {
	p := Plan{Capital: 6000, Yearly: 150, LifeYears: 25, Rate: 0.05, Decline: 0.005, Replacements: []Replacement{{Year: 12, Cost: 3000}}}
	t := Tariff{PricePerKWh: 0.3, FeedInPerKWh: 0.08, SelfUsedShare: 0.6, Escalation: 0.01}
	for b.Loop() {
		if _, err := p.Cash(3000, t); err != nil {
			b.Fatal(err)
		}
	}
}

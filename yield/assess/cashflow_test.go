package assess

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"mastworth/yield/cost"
)

// tariffOf is the hobby machine's money of the published figures, with what a kWh is worth by a test.
func tariffOf(price, feedIn, share float64) Money {
	return Money{Currency: "EUR", TurbineCost: 6000, YearlyCost: 150, LifeYears: 20, DiscountRate: 0.05, PricePerKWh: price,
		FeedInPerKWh: feedIn, SelfUsedShare: share}
}

// cashOf is the yearly table of a year's energy under a request's money.
func cashOf(t interface{ Fatal(...any) }, m Money, netKWh float64) *cost.Flow {
	a := assessment{r: Request{Money: m, Towers: []Tower{{HubHeightM: 12}}}}
	flow, err := a.cash(&Height{Energy: Energy{NetKWh: netKWh}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	return flow
}

// A hobby machine of 6000 at 5 % over 20 years, 150 a year, 3000 kWh a year, 0.17 a kWh: 0.210485 a kWh, a net present value of
// −1513.60, paid back after 16.667 years, (P/A, 5 %, 20) = 12.462210; with half a per cent less each year 0.2189 a kWh. Computed
// apart from the textbook formulas, to the digits given.
func TestMoneyOfTheHobbyMachine(t *testing.T) {
	m := tariffOf(0.17, nan, 1)
	c := m.costOf(0, 3000)
	near(t, "per kWh", c.PerKWh, 0.210485, 2.5e-6)
	near(t, "npv", c.NPV, -1513.60, 5e-6)
	near(t, "payback", c.SimplePaybackYears, 16.667, 3e-5)
	near(t, "yearly", c.YearlyEquivalent, 6000/12.462210+150, 1e-7)
	flow := cashOf(t, m, 3000)
	near(t, "cash npv", flow.NPV, -1513.60, 5e-6)
	near(t, "cash payback", flow.PaybackYears, 16.667, 3e-5)
	m.OutputDecline = 0.005
	near(t, "per kWh, declining", m.costOf(0, 3000).PerKWh, 0.2189, 2.3e-4)
}

// A stream of even payments earns the rate of its (P/A, i, n). From the engineering-economics tables (from memory): (P/A, 8 %, 10)
// 6.7101, (P/A, 5 %, 8) 6.4632, (P/A, 5 %, 9) 7.1078, (P/A, 5 %, 10) 7.7217. So 6710.10 for 1000 a year over ten years earn 8 %, are
// worth 7721.70 − 6710.10 at 5 %, and come back with interest after 8 + (6.7101 − 6.4632)/(7.1078 − 6.4632) years.
func TestInternalRateAndPaybackByTable(t *testing.T) {
	m := tariffOf(0.25, nan, 1)
	m.TurbineCost, m.YearlyCost, m.LifeYears = 6710.10, 0, 10
	flow := cashOf(t, m, 4000)
	near(t, "irr", flow.IRR, 0.08, 1e-4)
	near(t, "npv", flow.NPV, 7721.70-6710.10, 1e-4)
	near(t, "payback", flow.PaybackYears, 6.7101, 1e-6)
	near(t, "discounted payback", flow.DiscountedPaybackYears, 8+(6.7101-6.4632)/(7.1078-6.4632), 2e-5)
	if len(flow.Years) != 11 {
		t.Errorf("%d rows for a start and ten years", len(flow.Years))
	}
}

// Two years by hand. Half of the energy saves 0.40 a kWh, which rises by a fifth; the rest is sold at 0.16, which stays. At 25 % a
// year and a fifth less energy, the kWh of the first year weighs 0.8 and that of the second 0.64 · 0.8 = 0.512:
//
//	year 1   0.5·0.40 + 0.5·0.16 = 0.28   · 0.8   = 0.22400
//	year 2   0.5·0.48 + 0.5·0.16 = 0.32   · 0.512 = 0.16384
//	                                        1.312   0.38784, which is 0.295610 a kWh
//
// A machine of 300 with 10 a year that makes 1000 kWh at first then brings 387.84 − 10·(0.8 + 0.64) − 300 = 73.44.
func TestWorthByHand(t *testing.T) {
	m := Money{TurbineCost: 300, YearlyCost: 10, LifeYears: 2, DiscountRate: 0.25, OutputDecline: 0.2, PricePerKWh: 0.40, PriceEscalation: 0.2,
		FeedInPerKWh: 0.16, SelfUsedShare: 0.5}
	first, even := m.worth()
	near(t, "first year", first, 0.28, 1e-14)
	near(t, "even", even, 0.38784/1.312, 1e-14)
	c := m.costOf(0, 1000)
	near(t, "npv", c.NPV, 73.44, 1e-12)
	near(t, "payback", c.SimplePaybackYears, 300.0/270, 1e-14)
	flow := cashOf(t, m, 1000)
	near(t, "cash npv", flow.NPV, 73.44, 1e-12)
	for year, want := range []struct{ energy, used, sold, income, net, sum float64 }{
		{0, 0, 0, 0, -300, -300}, {1000, 500, 500, 280, 270, -30}, {800, 400, 400, 256, 246, 216},
	} {
		y := &flow.Years[year]
		for name, pair := range map[string][2]float64{"energy": {y.EnergyKWh, want.energy}, "used": {y.SelfUsedKWh, want.used}, "sold": {y.SoldKWh, want.sold},
			"income": {y.Income, want.income}, "net": {y.Net, want.net}, "sum": {y.Cumulative, want.sum}} {
			near(t, fmt.Sprint(name, " of year ", year), pair[0], pair[1], 1e-12)
		}
	}
	near(t, "cash payback", flow.PaybackYears, 1+30.0/246, 1e-12)
	near(t, "discounted payback", flow.DiscountedPaybackYears, 1+84/157.44, 1e-12) // 216 of 300 back; 246·0.64 in the second year
}

// What is certain of a kWh's worth without any sum: sold, saved, mixed, or not known.
func TestWorthOfATariff(t *testing.T) {
	for _, c := range []struct{ price, feedIn, share, want float64 }{
		{0.3, nan, 1, 0.3},
		{0.3, nan, nan, 0.3}, // all replaces bought energy where nothing is said of sold energy
		{0.3, 0.1, 0.6, 0.22},
		{0.3, 0, 0.6, 0.18},
		{0.3, 0.1, 0, 0.1},
		{nan, 0.1, 0, 0.1}, // nothing is saved, so that the price does not matter
		{nan, 0.1, 0.5, nan},
		{0.3, 0.1, nan, nan},
		{nan, nan, 1, nan},
		{nan, nan, 0, nan},
	} {
		m := tariffOf(c.price, c.feedIn, c.share)
		first, even := m.worth()
		priced := m.costOf(0, 3000)
		flow := cashOf(t, m, 3000)
		if c.want != c.want {
			if first == first || even == even || priced.NPV == priced.NPV || priced.SimplePaybackYears == priced.SimplePaybackYears || flow != nil {
				t.Errorf("%+v: a worth of %g, a present value of %g and a table %v of what is not known", c, even, priced.NPV, flow)
			}
			continue
		}
		near(t, fmt.Sprintf("%+v", c), first, c.want, 1e-14)
		near(t, fmt.Sprintf("%+v, even", c), even, c.want, 1e-14)
		near(t, fmt.Sprintf("%+v, npv", c), priced.NPV, (3000*c.want-150)*12.462210-6000, 1e-6)
	}
}

// The words tell no more than is known of, and name what differs.
func TestWordsOfAWorth(t *testing.T) {
	for want, m := range map[string]Money{
		"a bought kWh costs 0.30 EUR":                    tariffOf(0.3, nan, 1),
		"a kWh is sold for 0.10 EUR":                     tariffOf(nan, 0.1, 0),
		"with 60 % used at home, one made is worth 0.22": tariffOf(0.3, 0.1, 0.6),
		"a sold one brings 0.10":                         tariffOf(0.3, 0.1, 0.6),
	} {
		if got := m.worthWords(); !strings.Contains(got, want) || strings.Contains(got, "on average") {
			t.Errorf("%q does not say %q", got, want)
		}
	}
	rising := tariffOf(0.3, nan, 1)
	rising.PriceEscalation = 0.02
	if got := rising.worthWords(); !strings.Contains(got, "costs 0.30 EUR, and 0.35 on average over the life") {
		t.Errorf("%q", got) // (1 − (1.02/1.05)^20)/0.03 / 12.462210 = 1.1768 times as much (geometric gradient series)
	}
}

func drawMoney(t *rapid.T) Money {
	f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	return Money{
		TurbineCost: f("turbine", 1, 20_000), OtherCost: f("other", 0, 3000), YearlyCost: f("yearly", 0, 400), LifeYears: rapid.IntRange(1, 60).Draw(t, "life"),
		DiscountRate: f("rate", -0.05, 0.5), OutputDecline: f("decline", 0, 0.2), PricePerKWh: f("price", 0, 1), FeedInPerKWh: f("feed-in", 0, 1),
		SelfUsedShare: f("share", 0, 1), PriceEscalation: f("escalation", -0.2, 0.2), FeedInEscalation: f("feed-in escalation", -0.2, 0.2),
		Replacements: []cost.Replacement{{Year: rapid.IntRange(1, 60).Draw(t, "year"), Cost: f("part", 0, 2000)}},
	}
}

// The present worth of a payment that grows by g a year is (1 − ((1+g)/(1+i))^n)/(i − g), the geometric gradient series of
// engineering economics (from memory). A kWh's energy grows by −d, its income by (1+e)(1−d) − 1: the worth is one over the other. And
// the headline's net present value is the yearly table's, whatever the money.
func TestWorthIsTwoGeometricSeries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMoney(t)
		series := func(g float64) float64 {
			if math.Abs(m.DiscountRate-g) < 1e-4 {
				t.Skip("the closed form loses its digits where rate and growth meet")
			}
			return (1 - math.Pow((1+g)/(1+m.DiscountRate), float64(m.LifeYears))) / (m.DiscountRate - g)
		}
		grown := func(e float64) float64 { return series((1+e)*(1-m.OutputDecline)-1) / series(-m.OutputDecline) }
		_, even := m.worth()
		want := m.SelfUsedShare*m.PricePerKWh*grown(m.PriceEscalation) + (1-m.SelfUsedShare)*m.FeedInPerKWh*grown(m.FeedInEscalation)
		if math.Abs(even-want) > 1e-9*(1+want) {
			t.Fatalf("a kWh is worth %.12g, by the series %.12g", even, want)
		}
		kWh := rapid.Float64Range(0, 10_000).Draw(t, "kWh")
		headline, flow := m.costOf(500, kWh), cashOf(t, m, kWh)
		// The table is of a tower that costs nothing; the tower is paid at the start.
		if table := flow.NPV - 500; math.Abs(headline.NPV-table) > 1e-9*(1e4+math.Abs(table)+math.Abs(flow.Years[m.LifeYears].Cumulative)) {
			t.Fatalf("the headline is worth %.9g today, the table %.9g", headline.NPV, table)
		}
	})
}

// At the cost per kWh as the price, nothing is won and nothing lost (the definition of levelised cost); the internal rate is then the
// discount rate.
func TestPriceOfTheCostEarnsTheRate(t *testing.T) {
	m := tariffOf(0.17, nan, 1)
	m.OutputDecline, m.Replacements = 0.01, []cost.Replacement{{Year: 10, Cost: 500}}
	m.PricePerKWh = m.costOf(0, 3000).PerKWh
	flow := cashOf(t, m, 3000)
	near(t, "npv", flow.NPV, 0, 1e-8)
	near(t, "irr", flow.IRR, 0.05, 1e-10)
}

func TestCompleteTariff(t *testing.T) {
	for name, c := range map[string]struct {
		price, feedIn, share, wantFeedIn, wantShare float64
		assumed                                     bool
	}{
		"nothing said":         {0.3, nan, nan, nan, 1, false},
		"all used":             {0.3, nan, 1, nan, 1, false},
		"a part used":          {0.3, nan, 0.6, 0, 0.6, true},
		"a part, no price":     {nan, nan, 0.6, nan, 0.6, false},
		"all given":            {0.3, 0.1, 0.6, 0.1, 0.6, false},
		"left to a household":  {0.3, 0.1, nan, 0.1, nan, false},
		"no share, as a fault": {0.3, nan, 1.5, nan, 1.5, false},
	} {
		m := tariffOf(c.price, c.feedIn, c.share)
		var done completion
		completeTariff(&m, &done)
		same := func(a, b float64) bool { return a == b || a != a && b != b }
		if !same(m.FeedInPerKWh, c.wantFeedIn) || !same(m.SelfUsedShare, c.wantShare) {
			t.Errorf("%s: feed-in %g, share %g", name, m.FeedInPerKWh, m.SelfUsedShare)
		}
		if !c.assumed {
			if len(done.warnings) > 0 {
				t.Errorf("%s: %v", name, done.warnings)
			}
			continue
		}
		if d := warningOf(t, done.warnings, "feed_in_assumed"); !strings.Contains(d, "40 %") || !strings.Contains(d, "money.feed_in_per_kwh") {
			t.Errorf("%s: %q tells neither the share nor the remedy", name, d)
		}
	}
}

// Every fault of a tariff names its place, and in words what would mend it.
func TestTariffFaults(t *testing.T) {
	inf := math.Inf(1)
	home := func(r *Request) { r.Household = &Household{YearlyKWh: 3000, BatteryCost: nan} }
	for name, c := range map[string]struct {
		change      func(r *Request)
		place, says string
	}{
		"decline in per cent":      {func(r *Request) { r.Money.OutputDecline = 0.5 }, "money.output_decline", "not per cent"},
		"decline below nothing":    {func(r *Request) { r.Money.OutputDecline = -0.01 }, "money.output_decline", "from 0 to 0.2"},
		"escalation in per cent":   {func(r *Request) { r.Money.PriceEscalation = 2 }, "money.price_escalation", "not per cent"},
		"endless escalation":       {func(r *Request) { r.Money.PriceEscalation = -inf }, "money.price_escalation", "from -0.2 to 0.2"},
		"feed-in in per cent":      {func(r *Request) { r.Money.FeedInEscalation = -1 }, "money.feed_in_escalation", "not per cent"},
		"share in per cent":        {func(r *Request) { r.Money.SelfUsedShare = 60 }, "money.self_used_share", "not per cent"},
		"share below nothing":      {func(r *Request) { r.Money.SelfUsedShare = -0.1 }, "money.self_used_share", "from 0 to 1"},
		"endless share":            {func(r *Request) { r.Money.SelfUsedShare = inf }, "money.self_used_share", "from 0 to 1"},
		"feed-in below nothing":    {func(r *Request) { r.Money.FeedInPerKWh, r.Money.SelfUsedShare = -0.1, 1 }, "money.feed_in_per_kwh", "from 0 to 1000"},
		"endless feed-in":          {func(r *Request) { r.Money.FeedInPerKWh, r.Money.SelfUsedShare = inf, 1 }, "money.feed_in_per_kwh", "from 0 to 1000"},
		"price below nothing":      {func(r *Request) { r.Money.PricePerKWh = -0.1 }, "money.price_per_kwh", "from 0 to 1000"},
		"feed-in without a price":  {func(r *Request) { r.Money.PricePerKWh, r.Money.FeedInPerKWh, r.Money.SelfUsedShare = nan, 0.1, 0.6 }, "money.price_per_kwh", "say self_used_share 0"},
		"feed-in alone":            {func(r *Request) { r.Money.PricePerKWh, r.Money.FeedInPerKWh = nan, 0.1 }, "money.price_per_kwh", "say self_used_share 0"},
		"nothing used, none paid":  {func(r *Request) { r.Money.FeedInPerKWh, r.Money.SelfUsedShare = 0, 0 }, "money.self_used_share", "leave both out"},
		"nothing used, none said":  {func(r *Request) { r.Money.SelfUsedShare = 0 }, "money.self_used_share", "leave both out"},
		"nothing used, no price":   {func(r *Request) { r.Money.PricePerKWh, r.Money.SelfUsedShare = nan, 0 }, "money.self_used_share", "leave both out"},
		"feed-in, nobody's share":  {func(r *Request) { r.Money.FeedInPerKWh = 0.1 }, "money.self_used_share", "describe the household"},
		"a household, no record":   {func(r *Request) { r.Money.FeedInPerKWh = 0.1; home(r) }, "money.self_used_share", "without a record"},
		"a life that ends at once": {func(r *Request) { r.Money.LifeYears = -1 }, "money.life_years", "from 1 to 60"},
		"a life beyond reason":     {func(r *Request) { r.Money.LifeYears = 61 }, "money.life_years", "from 1 to 60"},
	} {
		r := garden()
		c.change(&r)
		_, err := Run(r)
		var inv *InvalidError
		if !errors.As(err, &inv) {
			t.Errorf("%s: got %v, want a fault", name, err)
			continue
		}
		said := ""
		for _, f := range inv.Fields {
			if f.Location == c.place {
				said += f.Detail + "\n"
			}
		}
		if !strings.Contains(said, c.says) {
			t.Errorf("%s: %q does not say %q at %s", name, inv, c.says, c.place)
		}
	}
}

// Where all is sold, nobody needs to know what a bought kWh costs.
func TestAllIsSold(t *testing.T) {
	r := garden()
	r.Money.PricePerKWh, r.Money.FeedInPerKWh, r.Money.SelfUsedShare = nan, 0.12, 0
	e := mustRun(t, r)
	h := &e.Heights[best(e.Heights)]
	near(t, "npv", h.Cost.NPV, (0.12*h.Energy.NetKWh-80)/0.073582-h.Cost.Capital, 1e-5) // (A/P, 4 %, 20), engineering-economics tables
	near(t, "table", e.Decision.Cash.NPV, h.Cost.NPV, 1e-9)
	near(t, "sold", e.Decision.Cash.Years[20].SoldKWh, h.Energy.NetKWh, 1e-12)
}

// A life of 0 years is one that was not given: the answer says which was taken.
func TestLifeThatIsNotGiven(t *testing.T) {
	r := garden()
	r.Money.LifeYears = 0
	e := mustRun(t, r)
	if e.Request.Money.LifeYears != DefaultLifeYears {
		t.Errorf("a life of %d years", e.Request.Money.LifeYears)
	}
	for _, p := range e.Provenance {
		if p.What == "money.life_years" {
			return
		}
	}
	t.Error("nothing says that the life was assumed")
}

// 5 kW at 1000 a kW, 10 a kW and year, 1000 kWh a kW at 0.17: an array's table is that of its own plan, (P/A, 5 %, 20) = 12.462210. So
// 5·(12.462210·(0.17·1000 − 10) − 1000) = 4969.77.
func TestCashOfTheArray(t *testing.T) {
	m := tariffOf(0.17, nan, 1)
	a := assessment{r: Request{Money: m, Solar: Solar{CostPerKW: 1000, YearlyCostPerKW: 10, LifeYears: 20}}}
	array := &SolarArray{ArrayKW: 5, AnnualKWh: 5000}
	near(t, "npv", a.solarCash(array, nil).NPV, 4969.77, 1e-6)
	if flow := a.solarCash(&SolarArray{}, nil); flow != nil {
		t.Error("no array has a table")
	}
	a.r.Money.Currency = "EUR"
	if w := fmt.Sprint(a.solarCash(&SolarArray{ArrayKW: 5, AnnualKWh: 1}, nil).Warnings); !strings.Contains(w, " EUR of the money is still out") {
		t.Errorf("money without its currency: %s", w)
	}
	// The household followed beside the wind uses all of it, beside the sun half: the rest is sold for nothing.
	a.r.Money.FeedInPerKWh, a.shareFollowed = 0, true
	home := &Split{Home: &Home{}}
	home.Home.Solar.SolarKWh, home.Home.Solar.SolarUsedKWh = 5000, 2500
	near(t, "income", a.solarCash(array, home).Years[1].Income, 425, 1e-12)
	a.r.Money.PriceEscalation, a.r.Solar.LifeYears = 0.2, 100_000
	if flow := a.solarCash(array, nil); flow != nil || len(a.warnings) != 1 || a.warnings[0].Code != "solar_cash_missing" {
		t.Errorf("%v, %v", flow, a.warnings)
	}
}

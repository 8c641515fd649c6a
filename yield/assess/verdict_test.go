package assess

import (
	"slices"
	"testing"

	"mastworth/resource"
	"mastworth/yield"
)

// verdictCase is a place and a machine whose verdict a hand count foretells. In all of them a kWh of wind costs
// (the capital's annuity + upkeep) ÷ energy: 4000 over 20 years at 4 % are 294 a year (annuity 0.07358, engineering-economics
// tables), with 80 of upkeep 374 for the higher tower; 319 for the lower.
type verdictCase struct {
	name   string
	why    string // the hand count
	change func(*Request)
	want   Answer
	reason string // that must be among those given
}

var verdictCases = []verdictCase{
	{"a gentle inland wind beside cheap solar",
		"3.6 m/s at 10 m make some 700 kWh: 374/700 is above 0.5 a kWh, four times what 1500 a kW at 900 kWh asks (0.12)",
		func(r *Request) { r.Wind.Weibull.ScaleMS, r.Solar.YieldKWhPerKW = 4.1, 900 }, NotWorthIt, "solar_cheaper"},
	{"an ordinary wind, dear mains, cheap solar",
		"2000 kWh cost 0.19 each, below the bought kWh's 0.28 but above the array's 0.12: the array is what it has to beat",
		func(r *Request) { r.Solar.YieldKWhPerKW = 900 }, NotWorthIt, "price_dearer"},
	{"an island of strong wind and dear diesel, hardly any sun",
		"7.5 m/s make over 4000 kWh: below 0.10 a kWh, against 0.60 and an array's 0.34",
		func(r *Request) { r.Wind.Weibull.ScaleMS, r.Money.PricePerKWh, r.Solar.YieldKWhPerKW = 8.5, 0.60, 320 }, WorthIt, "solar_dearer"},
	{"a price just at wind's own cost",
		"0.19 against 0.19: even odds, whatever the spread",
		func(r *Request) {
			r.Solar.CostPerKW = 60000
			e, _ := Run(*r)
			r.Money.PricePerKWh = e.Heights[1].Cost.PerKWh
		}, CloseCall, "price_close"},
	{"the same, for somebody who takes even odds",
		"thresholds of 45 and 30 % call a chance of about a half worth it",
		func(r *Request) {
			r.Solar.CostPerKW = 60000
			e, _ := Run(*r)
			r.Money.PricePerKWh = e.Heights[1].Cost.PerKWh
			r.Uncertainty = UnknownUncertainty()
			r.Uncertainty.Verdict = Thresholds{WorthIt: 0.45, NotWorthIt: 0.30, CannotSay: nan}
		}, WorthIt, "odds"},
	{"a wind that never starts the rotor",
		"no energy at any price",
		func(r *Request) { r.Turbine.CurvePoints = []yield.Point{{SpeedMS: 60}, {SpeedMS: 70, PowerW: 900}} }, NotWorthIt, "no_energy"},
	{"a guess of the wind, 40 % either way",
		"with the energy known to some 70 %, a chance of about a half says nothing",
		func(r *Request) {
			r.Solar.CostPerKW = 60000
			e, _ := Run(*r)
			r.Money.PricePerKWh = e.Heights[1].Cost.PerKWh
			r.Uncertainty = UnknownUncertainty()
			r.Uncertainty.Measurement = 0.40
		}, CannotSay, "spread_too_wide"},
	{"the same guess where even half the wind would do",
		"against 4 a kWh either way wind at 0.19 wins with a twentieth of its energy, which half the wind still makes",
		func(r *Request) {
			r.Solar.CostPerKW, r.Money.PricePerKWh = 60000, 4
			r.Uncertainty = UnknownUncertainty()
			r.Uncertainty.Measurement = 0.35
		}, WorthIt, "odds"},
	{"forty days of anemometer",
		"less than a season, whatever it says",
		func(r *Request) { *r = at10m(invented(7, 40*24)) }, CannotSay, "record_too_short"},
	{"daily means only",
		"the gusty hours that make the energy are averaged away",
		func(r *Request) {
			daily := invented(6, 400)
			daily.Kind, daily.StepS = resource.Daily, 86400
			for i := range daily.Times {
				daily.Times[i] = daily.Times[0] + int64(i)*86400
			}
			*r = at10m(daily)
		}, CannotSay, "daily_means"},
	{"a turbine that was given away, on a cheap pole",
		"50 of upkeep and 600 of pole: 94 a year for 1500 kWh and more is below 0.07, half the array's 0.12",
		func(r *Request) {
			r.Money.TurbineCost, r.Money.OtherCost, r.Money.YearlyCost, r.Solar.YieldKWhPerKW = 0, 0, 50, 900
			r.Towers = []Tower{{HubHeightM: 12, Cost: 600}}
		}, WorthIt, "solar_dearer"},
	{"no odds drawn, costs 10 % apart",
		"within the margin of 15 % neither is called the cheaper",
		func(r *Request) {
			r.Solar.CostPerKW = 60000
			e, _ := Run(*r)
			r.Money.PricePerKWh = e.Heights[1].Cost.PerKWh * 1.1
			r.Uncertainty = UnknownUncertainty()
			r.Uncertainty.Draws = NoDraws
		}, CloseCall, "price_close"},
}

func TestVerdicts(t *testing.T) {
	for _, c := range verdictCases {
		t.Run(c.name, func(t *testing.T) {
			r := garden()
			c.change(&r)
			v := mustRun(t, r).Verdict
			if v.Answer != c.want {
				t.Errorf("got %s, want %s (%s): %v", v.Answer, c.want, c.why, v.Reasons)
			}
			if !slices.ContainsFunc(v.Reasons, func(r Reason) bool { return r.Code == c.reason }) {
				t.Errorf("no reason %q among %v", c.reason, v.Reasons)
			}
		})
	}
}

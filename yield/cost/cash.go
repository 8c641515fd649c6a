package cost

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// CashYear is a row of the yearly table. Money is real, in the money of today; payments fall at the end of the year.
// Year 0 is the start, where nothing but the capital is paid: its Net is below 0.
type CashYear struct {
	Year                             int
	EnergyKWh                        float64
	SelfUsedKWh, SoldKWh             float64 // parts of EnergyKWh
	Income                           float64 // bought energy saved, and energy sold
	Running, Replacement             float64 // paid, 0 or more
	Net                              float64 // Income − Running − Replacement; at the start − Capital
	Discounted                       float64 // Net as it is worth at the start
	Cumulative, CumulativeDiscounted float64 // sums from the start to this year
}

// Flow is the cash over the life of a plan.
type Flow struct {
	Years []CashYear // the start and each year of the life: LifeYears + 1 rows
	NPV   float64    // net present value at the plan's rate
	// IRR is the one real rate a year, as a share, at which the NPV is nothing. NaN where there is none within
	// LowestRate to HighestRate, or more than one; a warning says which, and IRRs holds all of them.
	IRR  float64
	IRRs []float64
	// PaybackYears is the time from which on the cumulative cash never falls below nothing again, years; within a year
	// the cash is taken to come evenly. NaN where that is not within the life. With even cash and no replacements it is
	// Plan.SimplePayback.
	PaybackYears float64
	// DiscountedPaybackYears is the same of the discounted cash.
	DiscountedPaybackYears float64
	Warnings               []resource.Warning
}

// Cash draws up the cash over the life: energy that declines by the plan's Decline, prices that escalate by the tariff,
// yearly costs, replacements. With a fixed price and everything used at home the NPV is Plan.NPV. There is no tax law in
// it: neither what is due on income nor what may be written off, no grants, no value added tax unless it is in the
// prices given, and no loan. Nothing is worth anything, and nothing costs anything, at the end of the life.
//
// Errors are *Fault. Warnings: replacement_ignored, feed_in_above_price, never_pays_back, irr_none, irr_not_unique,
// irr_sign_changes.
func (p Plan) Cash(firstYearKWh float64, t Tariff) (Flow, error) {
	if err := p.validateCash(firstYearKWh, t); err != nil {
		return Flow{}, err
	}
	f := Flow{Years: make([]CashYear, p.LifeYears+1)}
	for _, r := range p.Replacements {
		if p.counts(r) {
			f.Years[r.Year].Replacement += r.Cost
		}
	}
	f.Years[0].Net, f.Years[0].Discounted = -p.Capital, -p.Capital
	f.Years[0].Cumulative, f.Years[0].CumulativeDiscounted = -p.Capital, -p.Capital
	decline, discount, rises := growthOf(-p.Decline), growthOf(p.Rate), t.rises()
	for year := 1; year <= p.LifeYears; year++ {
		y, last := &f.Years[year], &f.Years[year-1]
		y.Year = year
		y.EnergyKWh = firstYearKWh * decline.after(float64(year-1))
		y.SelfUsedKWh = t.SelfUsedShare * y.EnergyKWh
		y.SoldKWh = y.EnergyKWh - y.SelfUsedKWh
		y.Income = t.income(&rises, y.SelfUsedKWh, y.SoldKWh, year)
		y.Running = p.Yearly
		y.Net = y.Income - y.Running - y.Replacement
		y.Discounted = y.Net * discount.after(-float64(year))
		y.Cumulative = last.Cumulative + y.Net
		y.CumulativeDiscounted = last.CumulativeDiscounted + y.Discounted
		if math.IsInf(y.Cumulative, 0) || math.IsNaN(y.Cumulative) || math.IsInf(y.CumulativeDiscounted, 0) || math.IsNaN(y.CumulativeDiscounted) {
			return Flow{}, &Fault{Field: "escalation", Reason: fmt.Sprintf(
				"%g a year over %d years at a rate of %g grows beyond all numbers in year %d", t.Escalation, p.LifeYears, p.Rate, year)}
		}
	}
	f.NPV = f.Years[p.LifeYears].CumulativeDiscounted
	f.PaybackYears = lastCrossing(f.Years, func(y *CashYear) float64 { return y.Cumulative })
	f.DiscountedPaybackYears = lastCrossing(f.Years, func(y *CashYear) float64 { return y.CumulativeDiscounted })
	f.warn(p, t)
	f.rates()
	return f, nil
}

func (p Plan) validateCash(firstYearKWh float64, t Tariff) error {
	if err := p.Validate(); err != nil {
		return err
	}
	if p.LifeYears > LongestLifeYears {
		return &Fault{Field: "life_years", Reason: fmt.Sprintf("must be at most %d, not %d", LongestLifeYears, p.LifeYears)}
	}
	if !(firstYearKWh >= 0) || math.IsInf(firstYearKWh, 1) {
		return &Fault{Field: "first_year_kwh", Reason: fmt.Sprintf("must be a number from 0, not %g", firstYearKWh)}
	}
	return t.Validate()
}

// lastCrossing is when a running sum rises to nothing for good, in years with the year's cash spread evenly; NaN where it
// ends below nothing.
func lastCrossing(years []CashYear, sum func(*CashYear) float64) float64 {
	i := len(years) - 1
	if sum(&years[i]) < 0 {
		return math.NaN()
	}
	for i > 0 && sum(&years[i-1]) >= 0 {
		i--
	}
	if i == 0 {
		return 0
	}
	before := sum(&years[i-1])
	return float64(i-1) + before/(before-sum(&years[i]))
}

// warn says what in plan and tariff leads to a weak or surprising table.
func (f *Flow) warn(p Plan, t Tariff) {
	for _, r := range p.IgnoredReplacements() {
		f.say("replacement_ignored", "a replacement of %s in year %d is not paid: the life ends after %d years", p.money("%g", r.Cost), r.Year, p.LifeYears)
	}
	if t.SelfUsedShare < 1 && t.FeedInPerKWh > t.PricePerKWh {
		f.say("feed_in_above_price", "a sold kWh brings %s and a bought one costs %s: check that the two are not swapped",
			p.money("%g", t.FeedInPerKWh), p.money("%g", t.PricePerKWh))
	}
	switch end := f.Years[len(f.Years)-1]; {
	case math.IsNaN(f.PaybackYears):
		f.say("never_pays_back", "after %d years %s of the money is still out, without counting interest", p.LifeYears, p.money("%.0f", -end.Cumulative))
	case math.IsNaN(f.DiscountedPaybackYears):
		f.say("never_pays_back", "the money comes back after %.1f years, but not with interest of %g %% a year: %s of the money is still missing after %d years",
			f.PaybackYears, 100*p.Rate, p.money("%.0f", -end.CumulativeDiscounted), p.LifeYears)
	}
}

// rates finds the internal rate and says where it means little.
func (f *Flow) rates() {
	stream := make([]float64, len(f.Years))
	for i := range f.Years {
		stream[i] = f.Years[i].Net
	}
	f.IRR, f.IRRs = math.NaN(), InternalRates(stream)
	changes := signChanges(stream)
	switch {
	case changes == 0:
		f.say("irr_none", "there is no internal rate of return: the cash never changes sign, so that no rate makes it worth nothing")
	case len(f.IRRs) == 0:
		f.say("irr_none", "there is no internal rate of return from %g %% to %g %% a year", 100.0*LowestRate, 100.0*HighestRate)
	case len(f.IRRs) > 1:
		f.say("irr_not_unique", "the cash changes sign %d times and is worth nothing at %d rates, from %.2f %% to %.2f %% a year: none of them is "+
			"the return; judge by the net present value", changes, len(f.IRRs), 100*f.IRRs[0], 100*f.IRRs[len(f.IRRs)-1])
	default:
		f.IRR = f.IRRs[0]
		if changes > 1 {
			f.say("irr_sign_changes", "the cash changes sign %d times, yet %.2f %% a year is the only rate at which it is worth nothing",
				changes, 100*f.IRR)
		}
	}
}

func (f *Flow) say(code, format string, args ...any) {
	f.Warnings = append(f.Warnings, resource.Warning{Code: code, Detail: fmt.Sprintf(format, args...)})
}

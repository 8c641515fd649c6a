package cost

import (
	"fmt"
	"math"
)

// Replacement is a part that is paid for again during the life.
type Replacement struct {
	Year int     // at the end of which it is paid; the first is 1
	Cost float64 // in the money of today
	What string
}

// Plan is what a machine costs over its life.
type Plan struct {
	Capital      float64 // at the start
	Yearly       float64 // at the end of every year
	Replacements []Replacement
	LifeYears    int
	Rate         float64 // real discount rate a year, as a share
	// Decline is the share of its output the machine loses from each year to the next; 0 for none.
	Decline float64
	// Currency is what money is called in warnings; it may be empty.
	Currency string
}

// money is an amount in words.
func (p *Plan) money(format string, v float64) string {
	words := fmt.Sprintf(format, v)
	if p.Currency != "" {
		words += " " + p.Currency
	}
	return words
}

// FieldError says which part of a plan cannot be, and why.
type FieldError struct {
	Field  string // such as "replacements[0].year"
	Reason string
}

func (e *FieldError) Error() string { return "cost: " + e.Field + ": " + e.Reason }

// Validate returns the first thing that cannot be as a *FieldError, or nil.
func (p Plan) Validate() error {
	bad := func(field, format string, args ...any) error {
		return &FieldError{Field: field, Reason: fmt.Sprintf(format, args...)}
	}
	money := func(v float64) bool { return v >= 0 && !math.IsInf(v, 1) }
	switch {
	case !money(p.Capital):
		return bad("capital", "must be a number from 0, not %g", p.Capital)
	case !money(p.Yearly):
		return bad("yearly", "must be a number from 0, not %g", p.Yearly)
	case p.LifeYears < 1:
		return bad("life_years", "must be at least a year, not %d", p.LifeYears)
	case !(p.Rate > -1) || math.IsInf(p.Rate, 1):
		return bad("rate", "must be above -1, not %g", p.Rate)
	case !(p.Decline >= 0 && p.Decline < 1):
		return bad("decline", "must be a share from 0 to below 1, not %g", p.Decline)
	}
	for i, r := range p.Replacements {
		switch {
		case r.Year < 1:
			return bad(fmt.Sprintf("replacements[%d].year", i), "must be 1 or later, not %d", r.Year)
		case !money(r.Cost):
			return bad(fmt.Sprintf("replacements[%d].cost", i), "must be a number from 0, not %g", r.Cost)
		}
	}
	return nil
}

// counts reports whether a replacement is paid: one at the end of the life or later would serve a machine that is gone.
func (p Plan) counts(r Replacement) bool { return r.Year < p.LifeYears }

// IgnoredReplacements are those that fall at the end of the life or later, and so cost nothing here.
func (p Plan) IgnoredReplacements() []Replacement {
	var out []Replacement
	for _, r := range p.Replacements {
		if !p.counts(r) {
			out = append(out, r)
		}
	}
	return out
}

// presentCost is what capital and replacements are worth at the start.
func (p Plan) presentCost() float64 {
	sum := p.Capital
	for _, r := range p.Replacements {
		if p.counts(r) {
			sum += r.Cost * presentOf(p.Rate, r.Year)
		}
	}
	return sum
}

// YearlyEquivalent is the even yearly payment that pays for everything: capital and replacements through the capital
// recovery factor, and the yearly cost.
func (p Plan) YearlyEquivalent() float64 {
	w := p.Worth()
	return w.YearlyEquivalent()
}

// EvenEnergy is the even yearly energy that is worth as much over the life, discounted, as a first year's energy that
// declines from then on. Without a decline it is the first year's.
func (p Plan) EvenEnergy(firstYearKWh float64) float64 {
	w := p.Worth()
	return w.EvenEnergy(firstYearKWh)
}

// PerKWh is the levelised cost of a kWh: the yearly equivalent over the even yearly energy. NaN without energy.
func (p Plan) PerKWh(firstYearKWh float64) float64 {
	w := p.Worth()
	return w.PerKWh(firstYearKWh)
}

// NPV is the net present value of making the energy, each kWh saving a price, over all that is paid.
func (p Plan) NPV(firstYearKWh, pricePerKWh float64) float64 {
	w := p.Worth()
	return w.NPV(firstYearKWh, pricePerKWh)
}

// SimplePayback is the years until the savings of the first year's energy, less the yearly cost, have paid the capital
// back: no interest, no replacements. It may be longer than the life. NaN where the savings do not even pay the yearly cost.
func (p Plan) SimplePayback(firstYearKWh, pricePerKWh float64) float64 {
	saved := firstYearKWh*pricePerKWh - p.Yearly
	if !(saved > 0) {
		return math.NaN()
	}
	return p.Capital / saved
}

// YearlyParts are the even yearly payments that pay for the capital and for the replacements; with the yearly cost they are
// YearlyEquivalent.
func (p Plan) YearlyParts() (capital, replacements float64) {
	recovery := CapitalRecovery(p.Rate, p.LifeYears)
	return p.Capital * recovery, (p.presentCost() - p.Capital) * recovery
}

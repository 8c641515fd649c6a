package cost

import (
	"fmt"
	"math"
)

// Fault says which part of a plan or a tariff cannot be, and why. It is the same as FieldError.
type Fault = FieldError

// LongestLifeYears is the longest life a cash table is drawn up for: beyond it a life is a slip of the pen.
const LongestLifeYears = 200

// Tariff is what a kWh is worth: one used at home replaces a bought one, the rest is fed in and sold. Prices are of the
// first year, in the money of today.
type Tariff struct {
	PricePerKWh  float64 // paid now for a bought kWh, 0 or more
	FeedInPerKWh float64 // received for a sold kWh, 0 or more; usually below the price
	// SelfUsedShare is the share of the energy that replaces bought energy, 0 to 1. The zero value sells everything.
	SelfUsedShare float64
	// Escalation is the real change of the price from each year to the next, as a share: 0.02 for two per cent above
	// inflation. Above −1.
	Escalation float64
	// FeedInEscalation is the same for what a sold kWh brings. A price fixed by contract falls behind inflation:
	// 1/(1+inflation) − 1.
	FeedInEscalation float64
}

// Validate returns the first thing that cannot be as a *Fault, or nil.
func (t Tariff) Validate() error {
	bad := func(field, format string, args ...any) error {
		return &Fault{Field: field, Reason: fmt.Sprintf(format, args...)}
	}
	money := func(v float64) bool { return v >= 0 && !math.IsInf(v, 1) }
	change := func(v float64) bool { return v > -1 && !math.IsInf(v, 1) }
	const escalation = "must be a share above -1 (a fall of 100 %% a year), not %g; two per cent is 0.02"
	switch {
	case !money(t.PricePerKWh):
		return bad("price_per_kwh", "must be a number from 0, not %g", t.PricePerKWh)
	case !money(t.FeedInPerKWh):
		return bad("feed_in_per_kwh", "must be a number from 0, not %g", t.FeedInPerKWh)
	case !(t.SelfUsedShare >= 0 && t.SelfUsedShare <= 1):
		return bad("self_used_share", "must be a share from 0 to 1, not %g", t.SelfUsedShare)
	case !change(t.Escalation):
		return bad("escalation", escalation, t.Escalation)
	case !change(t.FeedInEscalation):
		return bad("feed_in_escalation", escalation, t.FeedInEscalation)
	}
	return nil
}

// rises is how the prices of a tariff go on from those of the first year.
type rises struct{ price, feedIn growth }

func (t *Tariff) rises() rises { return rises{growthOf(t.Escalation), growthOf(t.FeedInEscalation)} }

// income is what a year's energy brings, the first year being 1.
func (t *Tariff) income(r *rises, selfUsedKWh, soldKWh float64, year int) float64 {
	n := float64(year - 1)
	return selfUsedKWh*t.PricePerKWh*r.price.after(n) + soldKWh*t.FeedInPerKWh*r.feedIn.after(n)
}

package assess

import (
	"errors"
	"fmt"

	"mastworth/yield/cost"
)

// completeTariff fills in the share of the energy that replaces bought energy, as far as that needs no simulation. Without a word
// on sold energy it is all of it; where a share is named and not what the rest brings, the rest brings nothing, with a warning.
func completeTariff(m *Money, c *completion) {
	if m.FeedInPerKWh == m.FeedInPerKWh {
		return
	}
	if fill(&m.SelfUsedShare, 1) || !(m.SelfUsedShare < 1) || m.PricePerKWh != m.PricePerKWh {
		return
	}
	m.FeedInPerKWh = 0
	c.warn("feed_in_assumed", "%.0f %% of the energy is not used at home, and what a sold kWh brings is not given: it is taken as worth nothing; "+
		"say money.feed_in_per_kwh if it is paid for", 100*(1-m.SelfUsedShare))
}

// validateTariff checks what a kWh is worth.
func validateTariff(m *Money, f *faults) {
	f.within("money.output_decline", m.OutputDecline, 0, 0.2, "(a share a year, not per cent)")
	f.within("money.price_escalation", m.PriceEscalation, -0.2, 0.2, "(a share a year, not per cent)")
	f.within("money.feed_in_escalation", m.FeedInEscalation, -0.2, 0.2, "(a share a year, not per cent)")
	if v := m.SelfUsedShare; v == v {
		f.within("money.self_used_share", v, 0, 1, "(a share, not per cent)")
	}
	if v := m.FeedInPerKWh; v == v {
		f.within("money.feed_in_per_kwh", v, 0, 1000, "")
		if m.PricePerKWh != m.PricePerKWh && m.SelfUsedShare != 0 {
			f.add("money.price_per_kwh", "is needed with feed_in_per_kwh: a kWh used at home saves a bought one; if all is sold, say self_used_share 0")
		}
	}
	if paid := m.FeedInPerKWh == m.FeedInPerKWh && m.FeedInPerKWh != 0; m.SelfUsedShare == 0 && !paid {
		f.add("money.self_used_share", "with nothing used at home and nothing paid for what is fed in, no kWh is worth anything; leave both out where "+
			"every kWh replaces a bought one")
	}
}

// validateSelfUse asks for the share used at home where neither the request nor a household followed by the hour can tell it.
func validateSelfUse(r *Request, f *faults) {
	m := &r.Money
	if m.FeedInPerKWh != m.FeedInPerKWh || m.SelfUsedShare == m.SelfUsedShare {
		return
	}
	const say = "say self_used_share with feed_in_per_kwh (0 to 1, how much of the energy replaces bought energy)"
	switch {
	case r.Household == nil:
		f.add("money.self_used_share", "%s, or describe the household beside an hourly record", say)
	case r.Wind.Record == nil:
		f.add("money.self_used_share", "%s: the household cannot be followed hour by hour without a record of the wind", say)
	}
}

// tariff is what a kWh is worth; false where that is not known.
func (m *Money) tariff() (cost.Tariff, bool) {
	t := cost.Tariff{PricePerKWh: m.PricePerKWh, FeedInPerKWh: m.FeedInPerKWh, SelfUsedShare: m.SelfUsedShare,
		Escalation: m.PriceEscalation, FeedInEscalation: m.FeedInEscalation}
	switch {
	case t.FeedInPerKWh != t.FeedInPerKWh:
		t.FeedInPerKWh, t.SelfUsedShare = 0, 1
	case t.SelfUsedShare == 0:
		fill(&t.PricePerKWh, 0)
	}
	return t, t.PricePerKWh == t.PricePerKWh && t.SelfUsedShare == t.SelfUsedShare
}

// worth is what a kWh brings in the first year, and evenly over the life: its discounted income over its discounted energy. Both
// are the price where every kWh replaces a bought one and prices stay; NaN where they are not known.
func (m *Money) worth() (firstYear, even float64) {
	t, known := m.tariff()
	if !known {
		return nan, nan
	}
	used, sold := t.SelfUsedShare*t.PricePerKWh, (1-t.SelfUsedShare)*t.FeedInPerKWh
	return used + sold, used*m.risen(t.Escalation) + sold*m.risen(t.FeedInEscalation)
}

// worthPerKWh is what a kWh is worth over the life; NaN where it is not known.
func (m *Money) worthPerKWh() float64 {
	_, even := m.worth()
	return even
}

// risen is the mean over the life of a price that starts at 1 and escalates, weighed by the discounted energy it is paid for.
func (m *Money) risen(escalation float64) float64 {
	if escalation == 0 {
		return 1
	}
	plan := m.plan(0)
	of := plan
	of.Decline = 1 - (1-plan.Decline)*(1+escalation) // income falls with the energy and rises with the price
	return of.EvenEnergy(1) / plan.EvenEnergy(1)
}

// worthWords tell what a kWh is worth, for a verdict that sets its cost against that.
func (m *Money) worthWords() string {
	t, _ := m.tariff()
	first, even := m.worth()
	words := fmt.Sprintf("a bought kWh costs %.2f %s", t.PricePerKWh, m.Currency)
	switch t.SelfUsedShare {
	case 1:
	case 0:
		words = fmt.Sprintf("a kWh is sold for %.2f %s", t.FeedInPerKWh, m.Currency)
	default:
		words += fmt.Sprintf(" and a sold one brings %.2f; with %.0f %% used at home, one made is worth %.2f", t.FeedInPerKWh, 100*t.SelfUsedShare, first)
	}
	if even != first {
		words += fmt.Sprintf(", and %.2f on average over the life", even)
	}
	return words
}

// settleTariff finds the share used at home by following the household, where the request leaves it to that, and prices the
// heights anew.
func (a *assessment) settleTariff(heights []Height, b int) error {
	m := &a.r.Money
	if m.FeedInPerKWh != m.FeedInPerKWh || m.SelfUsedShare == m.SelfUsedShare || b < 0 {
		return nil
	}
	home, why := a.followed(heights)
	if home == nil {
		return invalid("money.self_used_share", "say self_used_share with feed_in_per_kwh: the household cannot be followed hour by hour, as %s", why)
	}
	wind, err := home.simulate(home.windW(a, &heights[b], b), 1, 0)
	if err != nil {
		return err
	}
	m.SelfUsedShare = min(1, wind.SelfUsedShare()) // sums round
	a.shareFollowed = true
	a.sources = append(a.sources, Provenance{"money.self_used_share", fmt.Sprintf("the household followed beside the wind machine at %s m alone: "+
		"it uses %.0f %% of what is made", metres(heights[b].HubHeightM), 100*m.SelfUsedShare), "household of the request"})
	for i := range heights {
		heights[i].Cost = m.costOf(a.r.Towers[i].Cost, heights[i].Energy.NetKWh)
	}
	return nil
}

// solarCash is the yearly table of the array of equal cost; nil where it is not known what a kWh is worth. Its energy is worth what
// the turbine's is; where the household was followed to find how much of that is used at home, the array has its own share.
func (a *assessment) solarCash(array *SolarArray, split *Split) *cost.Flow {
	tariff, known := a.r.Money.tariff()
	if !known || !(array.ArrayKW > 0) {
		return nil
	}
	share := "the same prices and share used at home as the turbine's"
	if a.shareFollowed && split != nil && split.Home != nil {
		tariff.SelfUsedShare = min(1, split.Home.Solar.SelfUsedShare()) // sums round
		share = "the same prices, and the share used at home that the household comes to with the array alone"
	}
	plan := a.r.Solar.planPerKW(a.r.Money.DiscountRate)
	plan.Currency = a.r.Money.Currency
	plan.Capital, plan.Yearly = plan.Capital*array.ArrayKW, plan.Yearly*array.ArrayKW
	flow, err := plan.Cash(array.AnnualKWh, tariff)
	if err != nil { // the turbine's own table was drawn up: only the array's longer life can be in the way, and no verdict rests on it
		a.warn("solar_cash_missing", "there is no yearly table of the array: %s", err)
		return nil
	}
	a.sources = append(a.sources, Provenance{"decision.solar_cash", "yearly table of the array of equal yearly cost over its own life: " + share,
		"engineering-economics tables"})
	return &flow
}

// cash is the yearly table of the tower at i; nil where it is not known what a kWh is worth.
func (a *assessment) cash(h *Height, i int) (*cost.Flow, error) {
	tariff, known := a.r.Money.tariff()
	if !known {
		return nil, nil
	}
	flow, err := a.r.Money.plan(a.r.Towers[i].Cost).Cash(h.Energy.NetKWh, tariff)
	var fault *cost.Fault
	switch {
	case errors.As(err, &fault):
		return nil, invalid("money."+fault.Field, "%s", fault.Reason)
	case err != nil:
		return nil, invalid("money", "%s", err)
	}
	a.sources = append(a.sources, Provenance{"decision.cash", "yearly table of the best height: energy that declines, prices that escalate, payments at " +
		"the ends of years; no tax, grant or loan", "engineering-economics tables"})
	return &flow, nil
}

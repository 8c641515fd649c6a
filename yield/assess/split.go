package assess

import (
	"fmt"
	"math"
	"slices"

	"mastworth/yield"
	"mastworth/yield/household"
)

// money fills in what the best height's money is split into and what comes back over the life. Without any energy there is
// nothing to split.
func (a *assessment) money(heights []Height, b int, d *Decision) error {
	a.warnHousehold(heights)
	if b < 0 {
		return nil
	}
	var err error
	if d.Cash, err = a.cash(&heights[b], b); err != nil {
		return err
	}
	if d.Split, err = a.split(heights, b); err != nil {
		return err
	}
	d.SolarCash = a.solarCash(&heights[b].Solar, d.Split)
	return nil
}

// warnHousehold says why a household that is described is not followed, and what following it says of the tariff.
func (a *assessment) warnHousehold(heights []Height) {
	if a.r.Household == nil {
		return
	}
	h, why := a.followed(heights)
	if h == nil {
		a.warn("household_needs_hours", "the household is not followed hour by hour: %s; give an hourly record with wind and irradiance, such as a "+
			"typical year", why)
		return
	}
	if h.frame.averaged {
		a.warn("household_averaged", "the household is followed by the hour, not by the record's steps of %d s: a little more is used at once than "+
			"would be", h.record.series.StepS)
	}
	if h.frame.years > 1 {
		a.warn("household_thinned", "the household is followed through one year in %d of the record", h.frame.years)
	}
	a.sources = append(a.sources, Provenance{"household", h.loadSource, household.BatteryRule})
}

// splitting is one split on its way.
type splitting struct {
	a       *assessment
	heights []Height
	best    int
	offered []int // of heights, by the index of wind
	wind    []household.Offer
	solar   household.Offer
	// Whether the months of wind and of solar are known.
	windMonths, solarMonths bool
}

// split splits a year's money of the best height; nil where it costs nothing.
func (a *assessment) split(heights []Height, b int) (*Split, error) {
	budget := heights[b].Cost.YearlyEquivalent
	if !(budget > 0 && a.sun.yearlyPerKW > 0) {
		return nil, nil
	}
	s := newSplitting(a, heights, b)
	out := Split{BudgetPerYear: budget, Towers: make([]float64, len(heights))}
	for i := range heights {
		out.Towers[i] = heights[i].HubHeightM
	}
	if s.windMonths && s.solarMonths {
		c := household.Complements(monthsOf(heights[b].Energy.MonthlyKWh, 0), s.solar.MonthlyKWh)
		out.Complement = &c
	}
	a.sources = append(a.sources, Provenance{"decision.split", "the best height's yearly equivalent cost, set aside for wind and for solar in twentieths",
		"definition"})
	var options household.Options
	h, _ := a.followed(heights)
	if h != nil {
		// Only of machines that some share buys is every hour needed.
		bought, err := s.table(budget, options)
		if err != nil {
			return nil, err
		}
		s.keep(bought.Rows)
		options = s.hourly(h)
	}
	var err error
	if out.SplitTable, err = s.table(budget, options); err != nil {
		return nil, err
	}
	options.Fraction = true
	if out.AnySize, err = s.table(budget, options); err != nil {
		return nil, err
	}
	if h != nil {
		if out.Home, err = s.home(h, &out.SplitTable); err != nil {
			return nil, err
		}
	}
	unknown := s.monthsUnknown()
	s.finish(&out.SplitTable, unknown)
	s.finish(&out.AnySize, unknown)
	return &out, nil
}

// newSplitting offers every tower on which the machine makes energy, and one kW of array.
func newSplitting(a *assessment, heights []Height, b int) *splitting {
	s := &splitting{a: a, heights: heights, best: b, windMonths: true, solarMonths: a.sun.monthlyPerKW != nil,
		offered: make([]int, 0, len(heights)), wind: make([]household.Offer, 0, len(heights))}
	evenShare := a.r.Money.plan(0).EvenEnergy(1)
	for i := range heights {
		h := &heights[i]
		if !(h.Energy.NetKWh > 0 && h.Cost.YearlyEquivalent > 0) {
			continue // never bought
		}
		s.offered = append(s.offered, i)
		s.windMonths = s.windMonths && h.Energy.MonthlyKWh != nil
		s.wind = append(s.wind, household.Offer{YearlyCost: h.Cost.YearlyEquivalent, EvenShare: evenShare,
			MonthlyKWh: monthsOf(h.Energy.MonthlyKWh, h.Energy.NetKWh)})
	}
	s.solar = household.Offer{YearlyCost: a.sun.yearlyPerKW, EvenShare: a.r.Solar.planPerKW(a.r.Money.DiscountRate).EvenEnergy(1),
		MonthlyKWh: monthsOf(a.sun.monthlyPerKW, a.sun.yield.KWhPerKW)}
	return s
}

// monthsOf are twelve months' energies; where they are not known, the year's spread evenly over its days, which the answer does
// not tell.
func monthsOf(months []float64, year float64) (out [12]float64) {
	if copy(out[:], months) == len(out) {
		return out
	}
	for m, days := range yield.DaysInMonth {
		out[m] = year * float64(days) / 365
	}
	return out
}

func (s *splitting) table(budget float64, o household.Options) (household.SplitTable, error) {
	t, err := household.Split(budget, s.wind, &s.solar, o)
	if err != nil {
		return t, fmt.Errorf("assess: a split of money that was looked through was refused: %w", err)
	}
	return t, nil
}

// keep drops the towers that no row buys. The best stays: of two that cost and make the same, the rows buy the other.
func (s *splitting) keep(rows []household.SplitRow) {
	bought := make([]bool, len(s.wind))
	for i := range rows {
		if w := rows[i].Wind; w >= 0 {
			bought[w] = true
		}
	}
	bought[slices.Index(s.offered, s.best)] = true
	wind, offered := s.wind[:0], s.offered[:0]
	for i, is := range bought {
		if is {
			wind, offered = append(wind, s.wind[i]), append(offered, s.offered[i])
		}
	}
	s.wind, s.offered = wind, offered
}

// hourly gives the offers their power at each step, and the table a home.
func (s *splitting) hourly(h *home) household.Options {
	for k, i := range s.offered {
		s.wind[k].PowerW = h.windW(s.a, &s.heights[i], i)
	}
	s.solar.PowerW = h.sunW
	return household.Options{
		Home:    &household.Input{LoadW: h.load, Months: h.months, StepS: h.frame.stepS},
		Battery: h.battery, BatteryYearlyCost: s.a.r.batteryYearlyCost(),
	}
}

// home follows the household with wind alone, with sun alone, and with the best mixture; a row's Wind is still the offer's.
func (s *splitting) home(h *home, t *household.SplitTable) (*Home, error) {
	out := Home{YearlyKWh: h.yearlyKWh, LoadSource: h.loadSource, StepS: h.frame.stepS, BatteryPerYear: s.a.r.batteryYearlyCost(), MixedRow: -1}
	for _, l := range h.load {
		if l == l {
			out.Steps++
		}
	}
	for i := range t.Rows {
		if r := &t.Rows[i]; r.Wind >= 0 && r.SolarCost > 1e-9*r.WindCost && // a rounding's worth of array is none
			(out.MixedRow < 0 || r.CostPerUsedKWh < t.Rows[out.MixedRow].CostPerUsedKWh) {
			out.MixedRow = i
		}
	}
	var err error
	if out.Wind, err = h.simulate(s.powerOf(s.best), 1, 0); err != nil {
		return nil, err
	}
	if out.Solar, err = h.simulate(nil, 1, s.heights[s.best].Solar.ArrayKW); err != nil {
		return nil, err
	}
	s.a.warnSelfUse(&out.Wind)
	if out.MixedRow < 0 {
		return &out, nil
	}
	r := &t.Rows[out.MixedRow]
	mixed, err := h.simulate(s.wind[r.Wind].PowerW, r.Machines, r.SolarUnits)
	out.Mixed = &mixed
	return &out, err
}

// powerOf is the machine's power on a tower that is offered; the best is, as the whole budget buys it.
func (s *splitting) powerOf(height int) []float64 {
	return s.wind[slices.Index(s.offered, height)].PowerW
}

// finish turns offers into towers, and takes out the evenness of what has no months, with a warning.
func (s *splitting) finish(t *household.SplitTable, unknown []Warning) {
	for i := range t.Rows {
		r := &t.Rows[i]
		if r.Wind >= 0 && !s.windMonths || r.SolarUnits > 0 && !s.solarMonths {
			r.Evenness = nan
		}
		if r.Wind >= 0 {
			r.Wind = s.offered[r.Wind]
		}
	}
	if len(unknown) > 0 {
		t.MostEven = -1
		t.Warnings = append(t.Warnings, unknown...)
	}
}

// monthsUnknown warns of energies that are known for the year alone; of none, nothing.
func (s *splitting) monthsUnknown() []Warning {
	const (
		wind  = "a record of the wind over all months"
		array = "solar.monthly_irradiation_kwh_m2"
	)
	var which, remedy string
	switch {
	case s.windMonths && s.solarMonths:
		return nil
	case s.solarMonths:
		which, remedy = "wind", wind
	case s.windMonths:
		which, remedy = "array", array
	default:
		which, remedy = "wind and of the array", wind+" and "+array
	}
	return []Warning{{Code: "months_unknown", Detail: "the energy of the " + which + " is known for the year alone, so nothing is said of even months; give " +
		remedy}}
}

// warnSelfUse says where the money counts with another share used at home than the household comes to with the wind machine alone.
func (a *assessment) warnSelfUse(wind *household.Result) {
	const much = 0.1 // of the energy
	t, known := a.r.Money.tariff()
	found := wind.SelfUsedShare()
	if !known || !(math.Abs(found-t.SelfUsedShare) > much) {
		return
	}
	remedy := "leave money.self_used_share out, and the household's is taken"
	if a.r.Money.FeedInPerKWh != a.r.Money.FeedInPerKWh {
		remedy = "say money.feed_in_per_kwh, 0 where a kWh fed in brings nothing"
	}
	a.warn("self_used_share_differs", "the money counts %.0f %% of the energy as bought kWh saved, but the household uses %.0f %% of what the wind machine "+
		"alone makes: %s", 100*t.SelfUsedShare, 100*found, remedy)
}

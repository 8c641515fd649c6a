package assess

import "mastworth/yield/spread"

// Uncertainty is how well each input is known: relative standard uncertainties, shares from 0 to 1. NaN: not given; then it is
// DefaultUncertainty's, or worked out from the request where that has NaN too.
type Uncertainty struct {
	Draws int // of the Monte Carlo method; 0: not given, NoDraws: none, and then neither spread nor odds

	// Of every wind speed at the hub.
	Measurement  float64 // the sensor, or whoever gave the mean
	Place        float64 // another place's wind standing for this one's
	LongTerm     float64 // the time measured standing for the long run
	YearToYear   float64 // of one year's mean about the long run
	Vertical     float64 // the step from where it was measured to the hub, the same at all heights
	Surroundings float64 // obstacles, relief and changes of ground, the same at all heights

	// Of the machine's energy.
	PowerCurve, Losses float64

	TurbineCost, Upkeep, Price float64

	// Of the array.
	Solar, SolarYearToYear, SolarCost float64

	Verdict Thresholds
}

// Thresholds are the odds that a verdict goes by.
type Thresholds struct {
	// WorthIt is the least probability that wind's kWh is the cheapest for worth_it, NotWorthIt the greatest for not_worth_it.
	WorthIt, NotWorthIt float64
	// CannotSay is the relative standard uncertainty of the life's energy from which on odds that are neither close to 0 nor to 1
	// say nothing.
	CannotSay float64
}

// Draws.
const (
	NoDraws      = -1
	DefaultDraws = 1000
	MaxDraws     = 100_000
)

// DefaultUncertainty is what is taken where a request is silent. NaN: worked out from the request, see its sources. Judgement of
// 2026 but for YearToYear, which is the usual figure (from memory; 18 years at six Irish stations gave 5 to 12 %, slow changes
// among it, which LongTerm has).
var DefaultUncertainty = Uncertainty{
	Draws:       DefaultDraws,
	Measurement: nan, Place: nan, LongTerm: nan, YearToYear: 0.06, Vertical: nan, Surroundings: nan,
	PowerCurve: nan, Losses: 0.05,
	TurbineCost: 0.10, Upkeep: 0.30, Price: 0.10,
	Solar: nan, SolarYearToYear: 0.04, SolarCost: nan,
	Verdict: Thresholds{WorthIt: 0.75, NotWorthIt: 0.25, CannotSay: 0.50},
}

// member is one number of an Uncertainty.
type member struct {
	name string // on the wire
	of   *float64
	most float64
}

// members are all of them but the draws.
func (u *Uncertainty) members() [17]member {
	return [...]member{
		{"measurement", &u.Measurement, 1}, {"place", &u.Place, 1}, {"long_term", &u.LongTerm, 1},
		{"year_to_year", &u.YearToYear, 1}, {"vertical", &u.Vertical, 1}, {"surroundings", &u.Surroundings, 1},
		{"power_curve", &u.PowerCurve, 1}, {"losses", &u.Losses, 1},
		{"turbine_cost", &u.TurbineCost, 1}, {"upkeep", &u.Upkeep, 1}, {"price", &u.Price, 1},
		{"solar", &u.Solar, 1}, {"solar_year_to_year", &u.SolarYearToYear, 1}, {"solar_cost", &u.SolarCost, 1},
		{"verdict.worth_it", &u.Verdict.WorthIt, 1}, {"verdict.not_worth_it", &u.Verdict.NotWorthIt, 1}, {"verdict.cannot_say", &u.Verdict.CannotSay, 5},
	}
}

// UnknownUncertainty is an Uncertainty of which nothing is given.
func UnknownUncertainty() Uncertainty {
	var u Uncertainty
	for _, m := range u.members() {
		*m.of = nan
	}
	return u
}

func completeUncertainty(r *Request) {
	u, d := &r.Uncertainty, DefaultUncertainty
	if *u == (Uncertainty{}) { // of a request made by hand
		*u = UnknownUncertainty()
	}
	if u.Draws == 0 {
		u.Draws = d.Draws
	}
	from := d.members()
	for i, m := range u.members() {
		fill(m.of, *from[i].of)
	}
}

func validateUncertainty(u *Uncertainty, towers []Tower, f *faults) {
	const at = "uncertainty."
	if u.Draws != NoDraws && (u.Draws < spread.MinDraws || u.Draws > MaxDraws) {
		f.add(at+"draws", "must be from %d to %d, or 0 for no odds, not %d", spread.MinDraws, MaxDraws, u.Draws)
	}
	if n := u.Draws * len(towers); n > maxDrawsTimesTowers {
		f.add(at+"draws", "%d draws at %d towers are more than fit: their product may be at most %d", u.Draws, len(towers), maxDrawsTimesTowers)
	}
	for _, m := range u.members() {
		v := *m.of
		switch {
		case v != v: // worked out
		case v < 0:
			f.add(at+m.name, "a spread cannot be negative, but it is %g", v)
		case v > m.most:
			f.add(at+m.name, "is %g %%, above %g %%; give a share, such as 0.06 for 6 %%", 100*v, 100*m.most)
		}
	}
	if t := u.Verdict; t.NotWorthIt >= t.WorthIt {
		f.add(at+"verdict", "not_worth_it (%g) must be below worth_it (%g): between the two it is a close call", t.NotWorthIt, t.WorthIt)
	}
}

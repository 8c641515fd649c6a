package assess

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"mastworth/resource"
	"mastworth/resource/longterm"
	"mastworth/yield/solar"
)

// The defaults. Each is used only where the request is silent and is echoed in the answer's request; those that are more
// than nothing are named in its provenance or in a warning. Sizes marked "judgement" are the authors' own, of 2026; replace them with your own figures.
const (
	DefaultCover            = "rough" // hedged gardens and fields: z0 0.25 m; judgement
	DefaultShape            = 2.0     // Rayleigh; IEC 61400-12-1 uses it for its reference energies
	DefaultCurveDensity     = 1.225   // kg/m³; sea level of ISO 2533, the density of IEC 61400-12-1 curves
	DefaultAvailability     = 0.05    // share lost; judgement
	DefaultWiringLoss       = 0.03    // share lost; common practice for a well-sized run
	DefaultConversionLoss   = 0.06    // share lost in controller and inverter; judgement
	DefaultOtherLoss        = 0.03    // turbulence, dirt, ice; judgement
	DefaultLifeYears        = 20      // common practice
	DefaultDiscountRate     = 0.04    // real, a year; judgement
	DefaultYearlyCostShare  = 0.02    // of the turbine's cost, a year; judgement
	DefaultSolarYearlyShare = 0.01    // of the array's cost, a year; judgement
	DefaultSolarLifeYears   = 25      // usual module warranty; common practice
	DefaultSolarLosses      = 0.14    // inverter, wiring, soiling, mismatch; common practice
	DefaultOutputDecline    = 0.005   // share a year: worn blade edges, slack bearings; judgement
	DefaultSolarDecline     = 0.005   // share a year; common practice
	DefaultCurrency         = "EUR"
	defaultMaxShiftS        = 6 * 3600 // clocks of two records are seldom further apart; judgement
)

// defaultSolarCostPerKW is what a kW of home solar costs, where a figure is known for the currency.
var defaultSolarCostPerKW = map[string]struct {
	cost   float64
	source string
}{
	"EUR": {1500, "judgement for a roof array in Europe, 2026"},
	"USD": {2680, "modelled residential market price, first quarter of 2023, NREL/TP-7A40-87303"},
}

// completion collects what Complete did.
type completion struct {
	warnings   []Warning
	provenance []Provenance
}

func (c *completion) warn(code, format string, args ...any) {
	c.warnings = append(c.warnings, Warning{Code: code, Detail: fmt.Sprintf(format, args...)})
}

func (c *completion) assumed(what, source string) {
	c.provenance = append(c.provenance, Provenance{What: what, Method: "default", Source: source})
}

// fill sets *v to d where it is NaN and reports whether it did.
func fill(v *float64, d float64) bool {
	if *v == *v {
		return false
	}
	*v = d
	return true
}

// complete fills every default into r, which the caller owns. What stays NaN afterwards is truly unknown.
func complete(r *Request) completion {
	c := completion{warnings: make([]Warning, 0, 8), provenance: make([]Provenance, 0, 32)} // some, and most of what the whole answer names
	completeSite(r, &c)
	completeWind(r, &c)
	completeTurbine(r, &c)
	completeTowers(r, &c)
	completeLosses(r, &c)
	completeMoney(r, &c)
	completeSolar(r, &c)
	completeHousehold(r, &c)
	completeUncertainty(r)
	return c
}

func completeSite(r *Request, c *completion) {
	if fill(&r.Site.ElevationM, recordElevation(r.Wind.Record)) {
		if fill(&r.Site.ElevationM, 0) {
			c.warn("elevation_assumed", "the site's elevation is not given: sea level is assumed, which makes the air "+
				"about 1 %% too dense for every 100 m the site is higher; add site.elevation_m")
		} else {
			c.assumed("site.elevation_m", "the record's own elevation")
		}
	}
	if !r.Site.Ground.Given() {
		r.Site.Ground.Cover = DefaultCover
		c.warn("ground_assumed", "the ground around the mast is not described: %q (roughness length 0.25 m) is assumed; "+
			"the wind at hub height hangs on it, so describe it in site.ground", DefaultCover)
	}
	completeGround(&r.Site.Ground)
	if g := r.Wind.MeasuredOver; g != nil {
		own := *g
		completeGround(&own)
		r.Wind.MeasuredOver = &own
	}
	r.Site.Obstacles = slices.Clone(r.Site.Obstacles)
	for i := range r.Site.Obstacles {
		fill(&r.Site.Obstacles[i].Porosity, 0)
		fill(&r.Site.Obstacles[i].GrowthMPerYear, 0)
	}
	r.Site.Relief = slices.Clone(r.Site.Relief)
	for i := range r.Site.Relief {
		fill(&r.Site.Relief[i].FromDeg, 0)
		fill(&r.Site.Relief[i].ToDeg, 360)
	}
}

// completeGround turns a cover class into its roughness length and an absent displacement into none. A word it does not
// know is left for validate to refuse.
func completeGround(g *Ground) {
	fill(&g.DisplacementM, 0)
	if class, ok := resource.CoverClass(g.Cover); ok {
		fill(&g.RoughnessM, class.RoughnessM)
	}
	if len(g.Sectors) == 0 {
		return
	}
	g.Sectors = slices.Clone(g.Sectors)
	for i := range g.Sectors {
		s := &g.Sectors[i]
		completeGround(&s.Ground)
		if s.Beyond != nil {
			own := *s.Beyond
			completeGround(&own)
			s.Beyond = &own
		}
	}
}

func recordElevation(rec *Record) float64 {
	if rec == nil || rec.Series == nil || rec.Series.Place == nil {
		return math.NaN()
	}
	return rec.Series.Place.ElevationM
}

func completeWind(r *Request, c *completion) {
	if m := r.Wind.Mean; m != nil {
		own := *m
		r.Wind.Mean = &own
		if fill(&own.Shape, DefaultShape) {
			c.warn("shape_assumed", "only a mean speed is given: a Weibull shape of 2 is assumed; "+
				"between shapes of 1.5 and 2.5 the energy of one mean differs by a third or more")
		}
	}
	if r.Shear.Method == "" {
		r.Shear.Method = ShearAuto
	}
	if l := r.Wind.LongTerm; l != nil {
		own := *l
		r.Wind.LongTerm = &own
		if own.Method == "" {
			own.Method = longterm.VarianceRatio
			c.assumed("wind.long_term.method", "keeps the spread that energy needs; Rogers et al. 2005 (from memory)")
		}
		fill(&own.MaxShiftS, defaultMaxShiftS)
	}
	completeHere(r, c)
	completeMeasuredOver(r, c)
}

// openGroundM is the roughness length, m, of the ground that stations are put up on and reanalyses are smoothed to: WMO-No. 8
// asks for it, and potential wind refers to it.
const openGroundM = 0.03

// completeMeasuredOver gives a station's record the ground that stations stand on. Over rough ground, to take it as measured over
// the site's own would make more wind of it than there is.
func completeMeasuredOver(r *Request, c *completion) {
	w := &r.Wind
	if w.Record == nil || w.Record.Series == nil || w.MeasuredOver != nil || w.MeasuredHere != nil && *w.MeasuredHere {
		return
	}
	kind, ok := stationFormats[w.Record.Series.SourceFormat]
	if !ok {
		return
	}
	w.MeasuredOver = &Ground{RoughnessM: openGroundM, DisplacementM: 0}
	c.warn("measuring_ground_assumed", "the record is %s's, and is taken as measured over open ground (roughness length %g m); if it was not, "+
		"say wind.measured_over", kind, openGroundM)
}

// How far a record's place may be from the site's for its sensors to have stood behind the same trees; coordinates of two
// decimals are good to half a kilometre. Judgement.
const sameplaceKM = 0.5

// completeHere settles whether the sensors stood at the mast's own place, as far as the record tells: a station's did not, and
// one that names its place did or did not. What a record does not tell stays open.
func completeHere(r *Request, c *completion) {
	w := &r.Wind
	if w.Record == nil || w.Record.Series == nil || w.MeasuredHere != nil || w.MeasuredOver != nil {
		return
	}
	s := w.Record.Series
	_, station := stationFormats[s.SourceFormat]
	if !station && s.Place == nil {
		return
	}
	here := !station && resource.DistanceKM(s.Place.Point, r.Site.point()) <= sameplaceKM
	w.MeasuredHere = &here
	if len(r.Site.Obstacles)+len(r.Site.Relief) > 0 {
		what := "elsewhere: the record is a station's, or names another place"
		if here {
			what = "here: the record names the mast's own place"
		}
		c.assumed("wind.measured_here", what)
	}
}

// point is the mast's place.
func (s *Site) point() orb.Point { return orb.Point{s.LongitudeDeg, s.LatitudeDeg} }

func completeTurbine(r *Request, c *completion) {
	t := &r.Turbine
	if fill(&t.CurveDensity, DefaultCurveDensity) {
		c.assumed("turbine.power_curve.air_density_kg_m3", "sea-level density of ISO 2533; IEC 61400-12-1 curves refer to it")
	}
	if t.RatedPowerW != t.RatedPowerW {
		highest := math.NaN()
		for _, p := range t.CurvePoints {
			if !(p.PowerW <= highest) {
				highest = p.PowerW
			}
		}
		if !(highest > 0) {
			return // a machine that makes nothing has no rating
		}
		t.RatedPowerW, t.ratedBy = highest, "it is the highest power of the curve"
		c.assumed("turbine.rated_power_w", "the highest power of the curve")
	}
}

func completeLosses(r *Request, c *completion) {
	l := &r.Losses
	for _, d := range []struct {
		v      *float64
		value  float64
		what   string
		source string
	}{
		{&l.Availability, DefaultAvailability, "losses.availability", "judgement, 2026"},
		{&l.Wiring, DefaultWiringLoss, "losses.wiring", "common practice for a well-sized run"},
		{&l.Conversion, DefaultConversionLoss, "losses.conversion", "judgement, 2026"},
		{&l.Other, DefaultOtherLoss, "losses.other", "judgement, 2026"},
	} {
		if fill(d.v, d.value) {
			c.assumed(d.what, d.source)
		}
	}
}

func completeMoney(r *Request, c *completion) {
	m := &r.Money
	if m.Currency == "" {
		m.Currency = DefaultCurrency
		c.assumed("money.currency", "none given")
	}
	fill(&m.OtherCost, 0)
	if fill(&m.OutputDecline, DefaultOutputDecline) {
		c.assumed("money.output_decline", "judgement, 2026: worn blade edges, slack bearings")
	}
	fill(&m.MeasuringCost, 0)
	fill(&m.PriceEscalation, 0)
	fill(&m.FeedInEscalation, 0)
	completeTariff(m, c)
	if fill(&m.YearlyCost, DefaultYearlyCostShare*m.TurbineCost) {
		c.warn("yearly_cost_assumed", "no yearly cost is given: 2 %% of the turbine's cost a year is assumed; "+
			"grease, brushes, blades and insurance are what it has to pay for")
	}
	if m.LifeYears == 0 {
		m.LifeYears = DefaultLifeYears
		c.assumed("money.life_years", "common practice")
	}
	if fill(&m.DiscountRate, DefaultDiscountRate) {
		c.assumed("money.discount_rate", "judgement, 2026; real, that is above inflation")
	}
}

func completeSolar(r *Request, c *completion) {
	s := &r.Solar
	if s.CostPerKW != s.CostPerKW {
		if d, ok := defaultSolarCostPerKW[r.Money.Currency]; ok {
			s.CostPerKW = d.cost
			c.warn("solar_cost_assumed", "no price of solar is given: %g %s a kW is assumed (%s); "+
				"the comparison hangs on it, so ask for a quote", d.cost, r.Money.Currency, d.source)
		}
	}
	if fill(&s.YearlyCostPerKW, DefaultSolarYearlyShare*s.CostPerKW) {
		c.assumed("solar.yearly_cost_per_kw", "1 % of the array's cost a year; judgement, 2026")
	}
	if s.LifeYears == 0 {
		s.LifeYears = DefaultSolarLifeYears
		c.assumed("solar.life_years", "usual module warranty; common practice")
	}
	if fill(&s.Losses, DefaultSolarLosses) {
		c.assumed("solar.losses", "common practice")
	}
	if fill(&s.OutputDecline, DefaultSolarDecline) {
		c.assumed("solar.output_decline", "common practice")
	}
	if s.TiltDeg != s.TiltDeg {
		s.BestTilt = true
	}
	if fill(&s.AzimuthDeg, solar.TowardsEquator(r.Site.LatitudeDeg)) {
		c.assumed("solar.azimuth_deg", "towards the equator")
	}
}

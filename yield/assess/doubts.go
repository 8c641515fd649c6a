package assess

import (
	"fmt"
	"math"

	"mastworth/resource"
	"mastworth/yield"
	"mastworth/yield/spread"
)

// Doubt is a source of uncertainty as it was drawn: its distribution, how large, and why so large.
type Doubt struct {
	spread.Source
	Origin string
}

// doubts gathers the sources of one estimate, height by height where they grow with it.
type doubts struct {
	a       *assessment
	heights []Height
	out     []Doubt
}

func (d *doubts) add(name string, kind spread.Kind, shape spread.Distribution, standard float64, origin string) {
	d.out = append(d.out, Doubt{spread.Source{Name: name, Kind: kind, Distribution: shape, Standard: standard}, origin})
}

// given adds a source that the request names, or else the one worked out.
func (d *doubts) given(name string, kind spread.Kind, shape spread.Distribution, v float64, otherwise func() (float64, string)) {
	origin := "uncertainty." + name + " of the request"
	if v != v {
		v, origin = otherwise()
	}
	d.add(name, kind, shape, v, origin)
}

// fixed adds a source whose default has one size.
func (d *doubts) fixed(name string, kind spread.Kind, shape spread.Distribution, v, usual float64, why string) {
	origin := "uncertainty." + name + " of the request"
	if v == usual {
		origin = why
	}
	d.add(name, kind, shape, v, origin)
}

// perHeight adds a source that grows with height, unless the request says how large it is.
func (d *doubts) perHeight(name string, v float64, at func(h *Height) float64, why string) {
	if v == v {
		d.add(name, spread.WindSpeed, spread.Normal, v, "uncertainty."+name+" of the request")
		return
	}
	s := Doubt{spread.Source{Name: name, Kind: spread.WindSpeed, Distribution: spread.Normal}, why}
	for i := range d.heights {
		s.PerHeight = append(s.PerHeight, math.Min(1, at(&d.heights[i])))
	}
	d.out = append(d.out, s)
}

// doubts lists every source of uncertainty.
func (a *assessment) doubts(heights []Height) []Doubt {
	d := doubts{a: a, heights: heights}
	u, usual := &a.r.Uncertainty, &DefaultUncertainty
	d.given("measurement", spread.WindSpeed, spread.Normal, u.Measurement, a.measurementDoubt)
	d.given("place", spread.WindSpeed, spread.Normal, u.Place, a.placeDoubt)
	d.given("long_term", spread.WindSpeed, spread.Normal, u.LongTerm, a.longTermDoubt)
	d.fixed("year_to_year", spread.WindSpeed, spread.Normal, u.YearToYear, usual.YearToYear,
		"the usual scatter of yearly means (from memory); 18 years at six Irish stations gave 5 to 12 %, slow changes among it")
	d.out[len(d.out)-1].EveryYear = true
	d.perHeight("vertical", u.Vertical, a.verticalDoubt, a.verticalWords())
	d.perHeight("surroundings", u.Surroundings, a.surroundingsDoubt, a.surroundingsWords())
	d.given("power_curve", spread.WindEnergy, spread.Normal, u.PowerCurve, func() (float64, string) { return a.curveDoubt(heights) })
	d.fixed("losses", spread.WindEnergy, spread.Normal, u.Losses, usual.Losses, "judgement, 2026")
	d.fixed("turbine_cost", spread.Capital, spread.Lognormal, u.TurbineCost, usual.TurbineCost, "judgement, 2026: quotes for machine and tower")
	d.fixed("upkeep", spread.Upkeep, spread.Lognormal, u.Upkeep, usual.Upkeep, "judgement, 2026: repairs of small machines differ most")
	if p := a.r.Money.worthPerKWh(); p == p {
		d.fixed("price", spread.Price, spread.Lognormal, u.Price, usual.Price, "judgement, 2026: the real price over the life")
	}
	d.given("solar", spread.SolarEnergy, spread.Normal, u.Solar, a.solarDoubt)
	d.fixed("solar_year_to_year", spread.SolarEnergy, spread.Normal, u.SolarYearToYear, usual.SolarYearToYear, "common practice")
	d.out[len(d.out)-1].EveryYear = true
	d.given("solar_cost", spread.SolarCost, spread.Lognormal, u.SolarCost, a.solarCostDoubt)
	return d.out
}

// format of the record the wind comes from; empty where it is none.
func (a *assessment) format() string {
	if rec := a.r.Wind.Record; rec != nil {
		return rec.Series.SourceFormat
	}
	return ""
}

func (a *assessment) measurementDoubt() (float64, string) {
	switch _, station := stationFormats[a.format()]; {
	case a.r.Wind.Record == nil:
		return 0.08, "judgement: who measured the mean, and with what, is not told"
	case station:
		return 0.03, "judgement: a weather service's sensor, whole knots or half metres a second"
	default:
		return 0.05, "judgement: a cup on a mast without a calibration; a hand or roof instrument is 5 to 10 % off (from memory)"
	}
}

func (a *assessment) placeDoubt() (float64, string) {
	switch kind, station := stationFormats[a.format()]; {
	case kind == reanalysisCell:
		return 0.18, "judgement: a reanalysis without measurements at the site is 15 to 25 % off (from memory)"
	case a.farKM() > farRecordKM:
		return 0.20, fmt.Sprintf("judgement: a record from %.0f km away", a.farKM())
	case station:
		return 0.10, "judgement: a station's wind, carried to a place some way off"
	case a.around.place == elsewhere:
		return 0.05, "judgement: measured at another place"
	case a.around.place == unknownHere:
		return 0.05, "judgement: it is not said whether the wind was measured at the mast's own place"
	default:
		return 0, "measured at the site"
	}
}

// farKM is how far from the site the record was taken, km; 0 where that is not known.
func (a *assessment) farKM() float64 {
	w := a.r.Wind.Record
	if w == nil || w.Series == nil || w.Series.Place == nil {
		return 0
	}
	return resource.DistanceKM(w.Series.Place.Point, a.r.Site.point())
}

func (a *assessment) longTermDoubt() (float64, string) {
	year := a.r.Uncertainty.YearToYear
	if long, ok := a.source.(*recordWind); ok {
		c := long.judged()
		if long.before != nil {
			return long.uncertainty, "of the long-run relation: see long_term"
		}
		if long.series.Kind == resource.TypicalYear {
			return 0.05, "judgement: a typical year's months were picked for their weather at large"
		}
		change := slowChange
		if stationFormats[a.format()] == reanalysisCell {
			change = 0 // one model throughout, which has no sensors and no trees
		}
		return standsFor(&c.stats, long.series.StepS, year, change)
	}
	return math.Hypot(year, slowChange), "as of one year measured" + changeWords
}

// What makes a record stand badly for the long run, beside the scatter of yearly means: slow changes that leave years in a row alike
// and that no length of a record shows, as sensors wear and are moved and trees grow; the weather of a month whose usual wind is
// known; the scatter of the months' usual winds about the year's. All are relative standard deviations of the mean speed.
//
// slowChange is of six stations in Ireland, 1961 to 1978 (Haslett & Raftery 1989), records of 1 to 9 years against the other years:
// what three of the stations ask for so that their P90 holds, 0.055 on the mean of the twenty ways, or by root mean square, 0.067.
// monthScatter is of the Irish stations and of ten years of a reanalysis in the monsoon. seasonScatter is what P90 asks for over
// seven regions together, records of 1 to 9 months; their own are from 0.07 in Colorado to 0.3 in a monsoon and 0.38 in a strait in
// Washington, where it is too small, and 0.11 in Ireland, where it is ample.
const (
	slowChange    = 0.06
	monthScatter  = 0.17
	seasonScatter = 0.14
	mostLongTerm  = 0.5
)

const changeWords = ", with 6 % for slow changes of sensors and surroundings (six stations over 18 years)" // slowChange

// standsFor is how well the time measured stands for the long run. With y for year_to_year, d for slow change, m months measured in
// all, at most 12 in the second part, and c the share of the calendar they cover,
//
//	u² = y²/max(1, m/12) + d² + monthScatter²·(1/m − 1/12) + seasonScatter²·(sin πc / πc)²
//
// The last part is what is missed of a season that is a sine wave, root mean square over when the record begins (closed form); two
// winters miss as much of it as one.
func standsFor(s *resource.Statistics, stepS int64, year, change float64) (float64, string) {
	days := float64(s.N) * float64(stepS) / 86400
	years, covered := days/365.25, 0.0
	for m, length := range yield.DaysInMonth {
		if float64(s.Months[m].N)*float64(stepS) >= fewestDaysAMonth*86400 {
			covered += float64(length) / 365
		}
	}
	season := seasonScatter
	if x := math.Pi * covered; x > 0 {
		season *= math.Abs(math.Sin(x) / x)
	}
	month := monthScatter * math.Sqrt(math.Max(0, 1/(12*years)-1.0/12))
	weather := year / math.Sqrt(math.Max(1, years))
	missed := math.Hypot(month, season)

	words := "year_to_year"
	if years > 1.05 {
		words = fmt.Sprintf("year_to_year over the root of %.1f years measured", years)
	}
	if change > 0 {
		words += changeWords
	}
	if missed > 0.01 {
		words += fmt.Sprintf("; %.0f %% more for the %.0f %% of the calendar that was not measured and the weather of single months", 100*missed, 100*(1-covered))
	}
	return math.Min(mostLongTerm, math.Hypot(math.Hypot(weather, change), missed)), words
}

// How uncertain a step in height is: of ln(hub height over measuring height), for a profile assumed by the ground's class, for one
// by an assumed class, and for a measured one, which may bend above its sensors. Judgement, so that a doubling of the height is
// good to some 5 %, as tables of shear classes are (5 to 10 %, from memory).
const (
	classDoubt        = 0.07
	assumedClassDoubt = 0.12
	measuredDoubt     = 0.02
	transferDoubt     = 0.05 // from one ground to another, through the wind aloft
)

// verticalDoubt is that of the step from the sensor to a hub: the class's own, and what the other profile would make of it.
func (a *assessment) verticalDoubt(h *Height) float64 {
	p, from := &a.profile, h.Wind.MeasuredAtM
	site := p.site.Everywhere
	ratio := math.Abs(math.Log((h.HubHeightM - site.DisplacementM) / (from - p.over.Everywhere.DisplacementM)))
	per := classDoubt
	switch {
	case p.method == ShearMeasured:
		per = measuredDoubt
		if se := p.table.OverallClass().StandardError; se == se {
			per = math.Hypot(per, se)
		}
	case !a.groundGiven:
		per = assumedClassDoubt
	}
	own := per * ratio
	if p.elsewhere {
		own = math.Hypot(own, transferDoubt)
	}
	return math.Hypot(own, p.spreadOfMethods(from, h.HubHeightM))
}

// spreadOfMethods is the standard uncertainty of a step that two profiles make differently, the truth lying anywhere between the
// one and as far on the other side.
func (p *profile) spreadOfMethods(fromM, toM float64) float64 {
	site, over := p.site.Everywhere, p.over.Everywhere
	exponent := resource.CounihanExponent(site.RoughnessM)
	if p.method != ShearLog {
		exponent = p.exponent
	}
	rough := site
	if p.method == ShearMeasured {
		rough = resource.Ground{RoughnessM: p.table.OverallClass().RoughnessM}
	}
	power, errPower := resource.PowerFactor(exponent, fromM-over.DisplacementM, toM-site.DisplacementM)
	log, errLog := resource.LogFactor(rough, fromM, toM)
	if errPower != nil || errLog != nil || !(log > 0) {
		return 0
	}
	return spread.RectangularStandard(math.Abs(power-log) / log)
}

func (a *assessment) verticalWords() string {
	if a.profile.method == ShearMeasured {
		return fmt.Sprintf("the measured exponent's standard error and %g of the logarithm of the height ratio (judgement), with what a logarithmic "+
			"profile makes of the same two heights", measuredDoubt)
	}
	per := classDoubt
	if !a.groundGiven {
		per = assumedClassDoubt
	}
	return fmt.Sprintf("%g of the logarithm of the height ratio (judgement; tables of shear classes are good to 5 to 10 %%, from memory), with what "+
		"the other of logarithmic and power law makes of it", per)
}

// What is not known of the surroundings. Judgement: obstacle formulas are good to 10 to 20 % of the wind behind them (from memory).
const (
	unknownObstacles  = 0.10
	obstaclesMeasured = 0.03 // the sensors stood behind them too
)

func (a *assessment) surroundingsDoubt(h *Height) float64 {
	out := 0.0
	if s := h.Surroundings; s != nil && h.Wind.MeanSpeedMS > 0 {
		out = (s.SpeedHighMS - s.SpeedLowMS) / 2 / h.Wind.MeanSpeedMS
	}
	if a.r.Site.Obstacles == nil {
		if a.around.place == here {
			return math.Hypot(out, obstaclesMeasured)
		}
		return math.Hypot(out, unknownObstacles)
	}
	return out
}

func (a *assessment) surroundingsWords() string {
	words := "half the range of the formulas' stated errors, at each height"
	if a.r.Site.Obstacles == nil {
		return words + "; obstacles are not described (judgement: 10 % of the wind, 3 % where it was measured among them)"
	}
	return words
}

// sketchDoubt is that of a curve from too short a log. Judgement.
const sketchDoubt = 0.20

// curveDoubt is that of the energy at one wind, by what the curve rests on.
func (a *assessment) curveDoubt(heights []Height) (float64, string) {
	m, kept := a.machine, a.r.Turbine.Kept
	switch {
	case m == nil && kept != nil && kept.Origin == FromTestLog && kept.Sketch:
		return sketchDoubt, "judgement: the log of the kept curve is too short for a curve of its own"
	case m == nil && kept != nil && kept.Origin == FromTestLog:
		return 0.08, "judgement: a curve kept from the machine's own log by the method of bins"
	case m == nil:
		return 0.10, "judgement: a power table whose making is not told"
	case m.Design != nil:
		return 0.15, "judgement: a curve worked out from a design, before anything was measured"
	}
	mean := heights[max(best(heights), 0)].Wind.MeanSpeedMS
	off, away := math.NaN(), math.Inf(1)
	for _, e := range m.Measured.AEP {
		if d := math.Abs(e.MeanSpeedMS - mean); d < away && e.MeasuredKWh > 0 {
			off, away = e.UncertaintyKWh/e.MeasuredKWh, d
		}
	}
	if off != off {
		return sketchDoubt, "judgement: the log is too short for a curve of its own"
	}
	const between = 0.03 // one place's turbulence and another's
	return math.Min(1, math.Hypot(off, between)), "the log's categories A and B by IEC 61400-12-1, and 3 % for another place's turbulence (judgement)"
}

// solarDoubts are those of a year's energy, by what it was made from. Judgement.
var solarDoubts = map[string]float64{
	"hourly_irradiance": 0.06, "monthly_irradiation": 0.06, "yearly_irradiation": 0.08, "specific_yield": 0.08, "latitude": 0.20,
}

func (a *assessment) solarDoubt() (float64, string) {
	basis := a.sun.yield.Basis
	return solarDoubts[basis], fmt.Sprintf("judgement, for a yield by %s", basis)
}

func (a *assessment) solarCostDoubt() (float64, string) {
	if a.solarCostAssumed {
		return 0.20, "judgement: no price of solar was given"
	}
	return 0.10, "judgement: a price that was given"
}

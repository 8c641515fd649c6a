package assess

import (
	"fmt"
	"math"
	"strings"
	"time"

	"mastworth/resource"
	"mastworth/resource/shelter"
	"mastworth/resource/terrain"
)

var nan = math.NaN()

// The walls of good sense: a figure beyond one is not wrong, but wants a second look. Common practice unless noted.
const (
	highPowerCoefficient   = 0.45 // electrical, of a small machine
	highCapacityFactor     = 0.25 // in a Rayleigh wind of 5 m/s
	referenceMeanSpeed     = 5    // m/s, the wind of a small-turbine label's yearly energy
	farthestExtrapolation  = 3    // hub height over measuring height
	canopyOfDisplacement   = 0.7  // displacement height over canopy height; handbook rule, from memory
	roughnessOfCanopy      = 0.1  // roughness length over canopy height; handbook rule, from memory
	lowestShape            = 1.2
	highestShape           = 3.5
	farRecordKM            = 50    // a record from further off stands for another place's wind; judgement
	tooFarRecordKM         = 300   // from further off nothing is said of the site: other weather, other hills; judgement
	unequalElevationM      = 150   // between record and site; judgement
	shareBeyondCurve       = 0.005 // of time above the curve's last point
	goodCompleteness       = 0.9   // WMO-No. 8's usual demand of a record, from memory
	wholeYearDays          = 350
	curveAboveRatedAllowed = 1.1
)

// The ground from which it matters that wind measured elsewhere is taken as measured over the site's own: rougher than the
// open ground that stations stand on. m; judgement.
const rougherThanStations = 0.05

// stationFormats are records of stations and of reanalysis, which stand on other ground than a garden's.
var stationFormats = map[string]string{
	"epw": "a weather station", "tmy3": "a weather station", "isd_lite": "a weather station", "isd": "a weather station",
	"isd_csv": "a weather station", "ghcn_hourly": "a weather station", "airport_reports": "an airport",
	"nasa_power_csv": reanalysisCell, "nasa_power_json": reanalysisCell, "open_meteo_json": reanalysisCell, "open_meteo_csv": reanalysisCell,
}

const reanalysisCell = "a reanalysis cell"

// warnMeasuringGround tells of wind that is taken as measured over the site's own ground because nothing else is said. Over
// rough ground that makes the wind aloft stronger than it is.
func (a *assessment) warnMeasuringGround() {
	w := &a.r.Wind
	if w.MeasuredOver != nil || a.profile.roughest.RoughnessM < rougherThanStations {
		return
	}
	const remedy = "if it was measured over open ground, as at an airport, say wind.measured_over: {cover: open}, or the wind at the " +
		"hub comes out too strong"
	if w.Record == nil {
		a.warn("measuring_ground_assumed", "the wind is taken as measured over the site's own ground; %s", remedy)
	}
}

// warnRecord looks at the record as evidence for this site.
func (a *assessment) warnRecord(w *recordWind) {
	s, c := w.series, w.judged()
	a.warnings = append(a.warnings, w.rec.Notes...)
	if doubt := w.unitDoubt(); doubt != "" {
		a.warn("unit_doubtful", "%s", doubt)
	}
	switch s.Kind {
	case resource.TypicalYear:
		a.warn("typical_year", "the record is a typical year, months picked from different years: it says nothing of windy and "+
			"calm years, and was picked for its sunshine and temperature more than for its wind")
	case resource.Daily:
		a.warn("daily_means", "the record holds daily means: they hide the gusty hours, so the energy comes out too low")
	}
	if stationFormats[s.SourceFormat] == reanalysisCell {
		a.warn("reanalysis_cell", "the record is a reanalysis: the wind of a cell tens of kilometres wide, over its own smooth ground, not of "+
			"one place; without measurements at the site expect the mean to be off by 15 to 25 %%")
	}
	days := float64(c.stats.N) * float64(s.StepS) / 86400
	if days < wholeYearDays && s.Kind != resource.TypicalYear {
		a.warn("short_record", "the record holds %.0f days of usable wind; no year is like another, and months that are "+
			"missing are taken to be like the ones that are there", days)
	}
	if n := c.stats.MonthsCounted; n > 0 && n < 12 {
		verb := "have"
		if n == 1 {
			verb = "has"
		}
		a.warn("months_missing", "only %d of the twelve months %s enough wind to speak for themselves: if the windy or the calm "+
			"season is missing, the year is wrong by that much", n, verb)
	}
	if h := w.rec.HeightM; h == h && c.heightM != h {
		a.warn("height_not_used", "wind.record.height_m says %g m, but the file says %g m for %q, and the file is followed", h,
			c.heightM, s.Channels[c.index].Name)
	}
	if c.stats.Completeness < goodCompleteness {
		a.warn("record_gaps", "only %.0f %% of the record's time has a usable speed; look at the gaps with the import report",
			100*c.stats.Completeness)
	}
	if c.stats.Flagged > 0 {
		a.warn("values_left_out", "%d speeds were flagged by screening and left out", c.stats.Flagged)
	}
	a.warnPlace(w)
}

// warnPlace looks at how far the record was taken from the site.
func (a *assessment) warnPlace(w *recordWind) {
	p := w.series.Place
	if p == nil {
		return
	}
	site := &a.r.Site
	if km := resource.DistanceKM(p.Point, site.point()); km > farRecordKM {
		a.warn("record_far", "the record was taken %.0f km from the site: its wind is another place's", km)
	}
	if dz := p.ElevationM - site.ElevationM; math.Abs(dz) > unequalElevationM {
		a.warn("record_elevation", "the record was taken %.0f m %s than the site; wind changes with the lie of the land",
			math.Abs(dz), map[bool]string{true: "higher", false: "lower"}[dz > 0])
	}
}

// placeTooFar says why no verdict may rest on the record's wind, or nil.
func (a *assessment) placeTooFar() *Reason {
	if km := a.farKM(); km > tooFarRecordKM {
		return &Reason{"record_too_far", fmt.Sprintf("the record was taken %.0f km from the site, where other weather passes: find one within %d km", km, farRecordKM)}
	}
	return nil
}

// provenance names the record and the time it covers.
func (w *recordWind) provenance() Provenance {
	s := w.series
	day := func(unix int64) string { return time.Unix(unix+s.UTCOffsetS, 0).UTC().Format("2006-01-02") }
	what := fmt.Sprintf("record %s (%s)", w.rec.Ref, s.SourceFormat)
	if s.Kind != resource.TypicalYear {
		what += fmt.Sprintf(", %s to %s", day(s.Times[0]), day(s.Times[s.Len()-1]))
	}
	if s.Attribution != "" {
		what += "; " + s.Attribution
	}
	return Provenance{What: "wind", Method: "the record's own samples; Weibull by maximum likelihood beside them", Source: what}
}

// warnHeight looks at one tower's answer.
func (a *assessment) warnHeight(fromM float64, h *Height, at *hub) {
	warn := func(code, format string, args ...any) {
		h.Warnings = append(h.Warnings, Warning{Code: code, Detail: fmt.Sprintf(format, args...)})
	}
	if ratio := h.HubHeightM / a.source.highestM(); ratio > farthestExtrapolation {
		warn("extrapolated_far", "the hub is %.1f times as high as the wind was measured; beyond three times the step is a guess", ratio)
	} else if ratio := h.HubHeightM / fromM; ratio < 1.0/farthestExtrapolation {
		warn("extrapolated_far", "the wind was measured %.1f times as high as the hub; down among what stands on the ground it is weaker "+
			"and less even than a profile says", 1/ratio)
	}
	if canopy := coverOf(a.profile.roughest); h.HubHeightM < 2*canopy {
		warn("hub_near_canopy", "the hub is lower than twice what stands around (about %.0f m high, by its roughness): the wind there "+
			"is weaker and rougher than any formula says", canopy)
	}
	if bottom := h.HubHeightM - a.r.Turbine.RotorDiameterM/2; bottom <= a.profile.highestCover {
		warn("rotor_in_canopy", "the blades reach down to %.1f m, into what covers the ground", bottom)
	}
	a.warnSurroundings(h, warn)
	if k := h.Wind.Weibull.Shape; k < lowestShape || k > highestShape {
		warn("shape_unusual", "a Weibull shape of %.2f is unusual for hourly wind (%.1f to %.1f): look at the data", k,
			lowestShape, highestShape)
	}
	last := a.curve.Last()
	if beyond := at.beyond(last.SpeedMS); last.PowerW > 0 && beyond > shareBeyondCurve {
		warn("curve_ends_early", "the curve ends at %g m/s, still making power; the %.1f %% of time above it count as nothing: "+
			"give the curve up to where the machine stops", last.SpeedMS, 100*beyond)
	}
	if e := &h.Energy; e.Basis != "weibull" && e.GrossKWh > 0 {
		if off := e.WeibullGrossKWh/e.GrossKWh - 1; math.Abs(off) > 0.1 {
			warn("weibull_misfit", "a Weibull distribution would make it %+.0f %%: it does not fit this wind; the data's own "+
				"distribution is used", 100*off)
		}
	}
}

// Where the obstacles' effect is worth a word. Judgement.
const (
	muchShelter    = 0.1  // of the mean speed
	muchTurbulence = 0.05 // turbulence intensity added
)

// warnSurroundings looks at what obstacles, relief and siting rules say of one tower.
func (a *assessment) warnSurroundings(h *Height, warn warner) {
	if s := h.Surroundings; s != nil {
		if s.ObstacleLossShare > muchShelter {
			warn("sheltered", "obstacles take %.0f %% of the mean speed here, give or take a third of that: the formula is for a long fence, "+
				"and what stands around a garden is none", 100*s.ObstacleLossShare)
		}
		if s.AddedTurbulence > muchTurbulence {
			warn("turbulent", "obstacles add %.2f to the turbulence intensity: the machine wears faster, and a curve measured in smooth "+
				"wind does not hold", s.AddedTurbulence)
		}
	}
	var reached []string
	for i, o := range a.r.Site.Obstacles {
		if shelter.Recirculates(o, h.HubHeightM, a.r.Turbine.RotorDiameterM/2, 0) {
			reached = appendName(reached, a.r.Site.Obstacles, i)
		}
	}
	if len(reached) > 0 {
		warn("rotor_in_eddy", "the lower blades reach into the eddy behind %s: they will be shaken once a turn whenever the wind comes "+
			"from there", strings.Join(reached, " and "))
	}
	broken, needed := 0, 0.0
	for _, s := range h.Siting {
		if s.Broken {
			broken++
			needed = max(needed, s.LowestHubM)
		}
	}
	if broken > 0 {
		warn("siting_rules_broken", "this tower breaks %d of the %d published rules for obstacles; a hub at %g m would satisfy them all",
			broken, len(h.Siting), math.Ceil(needed*10)/10)
	}
}

// warnGround looks at how the ground by sector, the rose and the record's directions go together.
func (a *assessment) warnGround() {
	r := &a.r
	for _, g := range []struct {
		at     string
		ground terrain.Grounds
	}{{"site.ground.sectors", a.profile.site}, {"wind.measured_over.sectors", a.profile.over}} {
		if len(g.ground.Patches) == 0 || a.profile.byDirection == nil || g.at != "site.ground.sectors" && !a.profile.elsewhere {
			continue
		}
		var open []string
		for _, gap := range g.ground.Gaps() {
			open = append(open, fmt.Sprintf("%g to %g", gap[0], gap[1]))
		}
		if len(open) > 0 {
			a.warn("ground_sectors_gap", "%s leave %s degrees open: there the ground given for all round is taken; add sectors where it is "+
				"another", g.at, strings.Join(open, " and "))
		}
	}
	if !a.directionsMatter() || r.Wind.Rose != nil {
		return
	}
	if w, ok := a.source.(*recordWind); ok && w.table {
		return
	}
	a.warn("directions_unknown", "what stands around the mast matters by direction, and the wind given has none: wind from all directions "+
		"is taken as equally likely; give wind.rose")
}

// directionsMatter reports whether what stands around differs by direction.
func (a *assessment) directionsMatter() bool {
	r := &a.r
	patches := len(r.Site.Ground.Sectors)
	if g := r.Wind.MeasuredOver; g != nil {
		patches += len(g.Sectors)
	}
	return len(r.Site.Obstacles)+len(r.Site.Relief)+patches > 0
}

// muchUndirected is the share of a record without direction that is worth a word. Judgement.
const muchUndirected = 0.1

// warnDirections looks at how many of a record's speeds have a direction, and at a rose that is not needed.
func (a *assessment) warnDirections(w *recordWind) {
	if w.table && a.r.Wind.Rose != nil {
		a.warn("rose_not_used", "the record has directions of its own, so wind.rose is not used; drop it")
	}
	if w.table && w.undirected > muchUndirected && a.directionsMatter() {
		a.warn("directions_missing", "%.0f %% of the record's time has no direction: it is dealt out like the rest", 100*w.undirected)
	}
	for _, c := range w.columns {
		left := 0
		for _, f := range w.series.Channels[c.index].Flags {
			if f&resource.FlagShadow != 0 {
				left++
			}
		}
		if left > 0 {
			a.warn("shadow_left_out", "%d speeds of %q are left out because they stand in the shadow of the mast, and no sensor beside it has them: "+
				"whole directions are missing from its mean", left, w.series.Channels[c.index].Name)
		}
	}
}

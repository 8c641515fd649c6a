package assess

import (
	"cmp"
	"errors"
	"fmt"

	"mastworth/resource"
	"mastworth/resource/longterm"
	"mastworth/yield"
	"mastworth/yield/spread"
)

// assessment is one request on its way to an estimate.
type assessment struct {
	r       Request
	curve   *yield.Curve
	profile profile
	around  surroundings
	source  source
	machine *Machine
	hubs    []hub // one a tower
	// sheltered is what the surroundings add to a measured exponent, by direction; nil where none was measured.
	sheltered *directions
	// stretched are the results of the long run, by the measuring height, m.
	stretched                     map[float64]*longterm.Result
	sun                           sunshine
	groundGiven, solarCostAssumed bool // what the request said before defaults were filled in
	warnings                      []Warning
	sources                       []Provenance
	tables                        []*spread.EnergyTable // one a tower, made when asked for
	// home is the household ready to be followed, once somebody asked; where it cannot be, noHome says why.
	home   *home
	noHome string
	// shareFollowed is whether the share used at home was found by following it.
	shareFollowed bool
}

// Run answers a request. A record it names must be loaded and screened (resource.Screen): Run reads the series and never
// changes it, so one series may serve many calls at once. Bad input is an *InvalidError that names every fault found.
// The same request gives the same estimate.
func Run(r Request) (Estimate, error) {
	a, err := begin(r)
	if err != nil {
		return Estimate{}, err
	}
	heights, err := a.sweep()
	if err != nil {
		return Estimate{}, err
	}
	a.tellOverRating(heights)
	if err := a.tryOthers(heights); err != nil {
		return Estimate{}, err
	}
	b := best(heights)
	if err := a.settleTariff(heights, b); err != nil {
		return Estimate{}, err
	}
	odds, err := a.drawOdds(heights)
	if err != nil {
		return Estimate{}, err
	}
	verdict := judge(&a.r, heights, b, cmp.Or(a.placeTooFar(), a.source.tooWeak(), a.curveTooWeak()))
	decision, err := a.decide(heights, b, odds, verdict.Answer)
	if err != nil {
		return Estimate{}, err
	}
	return a.estimate(heights, odds, verdict, decision), nil
}

// begin takes a request as far as its heights.
func begin(r Request) (*assessment, error) {
	a := &assessment{r: r, groundGiven: r.Site.Ground.Given(), solarCostAssumed: r.Solar.CostPerKW != r.Solar.CostPerKW}
	made, doubts, err := curveOf(&a.r, true)
	if err != nil {
		return nil, err
	}
	done := complete(&a.r)
	if a.curve, err = validate(&a.r); err != nil {
		return nil, err
	}
	a.machine, a.warnings = made, append(done.warnings, doubts...)
	a.sources = append(append(done.provenance, a.r.Turbine.Kept.provenance()...), made.Provenance()...)
	return a, a.prepare()
}

// Check completes and validates a request without computing anything. A record need not be loaded.
func Check(r Request) error {
	if rec := r.Wind.Record; rec != nil && rec.Series == nil {
		r.Wind.Record = rec.unread()
	}
	if long := r.Wind.LongTerm; long != nil && long.Reference != nil && long.Reference.Series == nil {
		own := *long
		own.Reference = own.Reference.unread()
		r.Wind.LongTerm = &own
	}
	return check(r)
}

// check is Check with records in place.
func check(r Request) error {
	if t := &r.Turbine; t.TestLog != nil { // its curve comes with the log
		t.standIn()
	}
	var design faults
	if t := &r.Turbine; t.Design != nil {
		for _, fault := range t.Design.Faults() {
			design.add("turbine.design."+fault.Field, "%s", fault.Reason)
		}
		t.RotorDiameterM = t.Design.Rotor.DiameterM
		if len(design) > 0 {
			t.RotorDiameterM = leastRotorM // which no tower is too low for: what follows from the design's faults is not told
		}
		t.standIn()
	}
	complete(&r)
	_, err := validate(&r)
	var rest *InvalidError
	if errors.As(err, &rest) {
		return append(design, rest.Fields...).err()
	}
	return cmp.Or(design.err(), err)
}

// unread is the record as if it had been loaded, to check a request without it.
func (r *Record) unread() *Record {
	own := *r
	own.Series = new(resource.Series)
	return &own
}

func (a *assessment) warn(code, format string, args ...any) {
	a.warnings = append(a.warnings, Warning{Code: code, Detail: fmt.Sprintf(format, args...)})
}

// prepare settles everything that is the same at all heights.
func (a *assessment) prepare() error {
	r := &a.r
	var err error
	if a.source, err = a.newSource(); err != nil {
		return err
	}
	if a.profile, err = newProfile(r, a.groundGiven, a.warn); err != nil {
		return err
	}
	a.profile.warnStep(a.source.highestM(), a.warn)
	if cover := r.Site.Ground.Cover; cover != "" {
		a.sources = append(a.sources, Provenance{What: "site.ground.roughness_m", Method: fmt.Sprintf("%g m, of the cover class %q",
			r.Site.Ground.RoughnessM, cover), Source: "Davenport–Wieringa classes, Wieringa 1992"})
	}
	a.sources = append(a.sources, Provenance{What: "height_factor", Method: string(a.profile.method), Source: a.profile.source})
	a.around = newSurroundings(r, &a.profile, a.warn)
	a.sources = append(a.sources, a.around.provenance()...)
	if t := a.profile.table; t != nil {
		if a.sheltered, err = a.around.sheltered(t.LowM, t.HighM); err != nil {
			return err
		}
	}
	a.warnMeasuringGround()
	a.warnGround()
	if a.sun, err = newSunshine(r); err != nil {
		return err
	}
	a.sources = append(a.sources, a.sun.provenance...)
	a.warnings = append(a.warnings, a.sun.yield.Warnings...)
	a.warnTurbine()
	r.Money.warnReplacements(a.warn)
	return nil
}

func (a *assessment) newSource() (source, error) {
	w := &a.r.Wind
	switch {
	case w.Record != nil:
		return a.recordSource()
	case w.Frequency != nil:
		a.sources = append(a.sources, Provenance{"wind", "frequency table; Weibull by maximum likelihood beside it",
			"wind.frequency of the request; Seguro & Lambert 2000"})
		return newTable(w.Frequency, w.Rose, a.warn)
	default:
		a.sources = append(a.sources, Provenance{"wind", "Weibull distribution", "wind of the request"})
		return newGiven(w), nil
	}
}

// recordSource is the record, stretched to the long run where the request asks for it.
func (a *assessment) recordSource() (source, error) {
	w := &a.r.Wind
	series, filled := resource.FillShadow(w.Record.Series)
	rw, err := newRecordWind(w.Record, series, w.Rose)
	if err != nil {
		return nil, err
	}
	for _, f := range filled {
		a.warn("shadow_filled", "%d speeds of %q in the shadow of the mast were taken from %q beside it", f.N, series.Channels[f.Channel].Name,
			series.Channels[f.From].Name)
	}
	a.warnRecord(rw)
	a.warnDirections(rw)
	a.sources = append(a.sources, rw.provenance())
	if w.LongTerm == nil {
		return rw, nil
	}
	return a.stretch(rw)
}

// height answers for one tower, and keeps the wind at its hub.
func (a *assessment) height(i int, out *Height) error {
	r := &a.r
	tower := r.Towers[i]
	from := a.source.heightFor(tower.HubHeightM)
	l, ground, err := a.profile.lift(from, tower.HubHeightM, a.sheltered)
	if err != nil {
		return liftError(err, i, from)
	}
	around, err := a.around.at(i, from, tower.HubHeightM, ground)
	if err != nil {
		return err
	}
	if around != nil {
		l.scale(&around.step)
	}
	rho, airSource := a.source.air(r.Site, tower.HubHeightM)
	if len(a.hubs) == 0 {
		a.sources = append(a.sources, airSource)
	}
	wind, err := a.source.at(from, tower.HubHeightM, l, rho)
	if err != nil {
		return invalid("wind", "at %g m: %s", tower.HubHeightM, err)
	}
	a.hubs = append(a.hubs, wind)
	at := &a.hubs[len(a.hubs)-1]
	at.wind.MeasuredAtM = from
	at.curve = a.curve.AtDensity(rho, r.Turbine.Regulation)
	out.HubHeightM, out.Wind, out.Siting = tower.HubHeightM, at.wind, a.judgeSiting(tower.HubHeightM)
	out.Energy = a.energy(at)
	out.Cost = r.Money.costOf(tower.Cost, out.Energy.NetKWh)
	out.Solar = a.sun.equalCost(out.Cost.YearlyEquivalent)
	if around != nil {
		out.Surroundings = a.around.answer(around, at.wind.MeanSpeedMS, at.weights)
		out.Warnings = around.warnings
	}
	a.warnHeight(from, out, at)
	return nil
}

// energy is a year's energy of the hub's curve in the wind there.
func (a *assessment) energy(at *hub) Energy {
	watts, monthlyWatts := at.power.meanPower(at.curve)
	weibull := watts
	if b, is := at.power.(*blend); !is || at.basis != "weibull" || len(b.parts) > 1 {
		weibull, _ = weibullPower{
			w:    resource.Weibull{Shape: at.wind.Weibull.Shape, Scale: at.wind.Weibull.ScaleMS},
			calm: at.wind.CalmShare,
		}.meanPower(at.curve)
	}

	e := Energy{
		GrossKWh:        yield.AnnualKWh(watts),
		WeibullGrossKWh: yield.AnnualKWh(weibull),
		Basis:           at.basis,
	}
	net, steps := a.r.Losses.Apply(e.GrossKWh)
	e.NetKWh = net
	e.CapacityFactor = yield.CapacityFactor(net, a.r.Turbine.RatedPowerW)
	e.Losses = make([]Loss, len(steps))
	for i, s := range steps {
		e.Losses[i] = Loss(s)
	}
	if monthlyWatts != nil {
		kept := 1.0
		if e.GrossKWh > 0 {
			kept = net / e.GrossKWh
		}
		e.MonthlyKWh = make([]float64, 12)
		for m, w := range monthlyWatts {
			e.MonthlyKWh[m] = kept * yield.MonthKWh(w, m)
		}
	}
	return e
}

// basisWords say what the headline energy is summed over.
var basisWords = map[string]string{
	"series": "the record's own samples", "histogram": "the frequency table", "weibull": "the Weibull distribution",
}

// estimate puts the answer together.
func (a *assessment) estimate(heights []Height, odds *Odds, verdict Verdict, decision Decision) Estimate {
	b := best(heights)
	a.sources = append(a.sources,
		Provenance{"gross_kwh", "power curve, straight between its points, at the hub's air density, over " +
			basisWords[heights[0].Energy.Basis], "IEC 61400-12-1 for density; closed form by the incomplete gamma function over Weibull"},
		Provenance{"cost", "yearly equivalent cost, replacements in their year", "engineering-economics tables"},
	)
	e := Estimate{
		Request:        a.r,
		BestHubHeightM: nan,
		Heights:        heights,
		Machine:        a.machine,
		Profile:        a.profile.answer(),
		LongTerm:       a.stretched[heights[max(b, 0)].Wind.MeasuredAtM],
		Verdict:        verdict,
		Odds:           odds,
		Decision:       decision,
		Warnings:       a.warnings,
		Cautions:       cautions,
		Seed:           a.r.Seed,
	}
	if b >= 0 {
		e.BestHubHeightM = heights[b].HubHeightM
	}
	a.addExtreme(&e, max(b, 0))
	e.SpeedBins = a.speedBins(&heights[max(b, 0)], max(b, 0))
	e.Provenance = a.sources
	return e
}

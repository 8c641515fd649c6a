package document

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/yield"
	"mastworth/yield/harvest"
)

// HarvestInput is what an estimate is held against.
type HarvestInput struct {
	Readings   []harvest.Reading
	HubHeightM float64          // of the mast that was built, one of the estimate's; NaN: the best
	Record     *resource.Series // which tells how windy the time was, screened; nil: none
	RecordRef  string           // its id or file
	RecordName string           // what its owner calls it; nothing for its id or file
	// Powers is what the machine makes of Record at a hub, step by step, W, where it is the very record that the estimate is made of; nil
	// where it is another.
	Powers     func(hubM float64) ([]float64, error)
	UTCOffsetS int64 // local standard time less UTC
	// Turbine is the estimate's, with a kept curve in the place of its id; nil where its request names none.
	Turbine *openapi.TurbineInput
}

// own reports whether the record is the one that the estimate is made of.
func (in *HarvestInput) own() bool { return in.Powers != nil }

// called is how the record is called in words.
func (in *HarvestInput) called() string {
	if in.RecordName != "" {
		return in.RecordName
	}
	return in.RecordRef
}

// NoSuchHeightError says that an estimate has no mast of a height.
type NoSuchHeightError struct {
	HubHeightM float64
	Heights    []float64
}

func (e *NoSuchHeightError) Error() string {
	have := make([]string, len(e.Heights))
	for i, h := range e.Heights {
		have[i] = fmt.Sprintf("%g", h)
	}
	return fmt.Sprintf("must be one of the estimate's heights, %s m, not %g", strings.Join(have, ", "), e.HubHeightM)
}

// HarvestOf holds readings against an estimate. The error is a *NoSuchHeightError, or of an estimate that is none.
func HarvestOf(e *openapi.Estimate, in *HarvestInput) (openapi.Harvest, error) {
	h, err := heightOf(e, in.HubHeightM)
	if err != nil {
		return openapi.Harvest{}, err
	}
	curve, err := curveAt(e, h, in.Turbine)
	if err != nil {
		return openapi.Harvest{}, fmt.Errorf("the estimate's curve: %w", err)
	}
	out := openapi.Harvest{HubHeightM: h.HubHeightM}
	o := harvest.Options{
		Promise: harvest.Promise{YearKWh: value(h.Energy.NetKWh, nan), MonthKWh: h.Energy.MonthlyKWh, UTCOffsetS: in.UTCOffsetS},
		MaxW:    curve.MaxPower(), Doubts: doubtsOf(e, h), Measured: in.own() && value(e.Request.Wind.MeasuredHere, false),
	}
	o.Doubts.OwnRecord = in.own()
	wind := harvestWind{e: e, h: h, in: in, curve: curve}
	o.Wind, err = wind.windiness()
	if err != nil {
		out.Warnings = append(out.Warnings, openapi.Warning{Code: "record_unused", Detail: fmt.Sprintf("the record %q cannot tell how windy the time was: %s", in.called(), err)})
	}
	c := harvest.Compare(in.Readings, o)
	if o.Wind != nil {
		out.RecordID = &in.RecordRef
		out.Warnings = append(out.Warnings, wind.weak(o.Wind, &c)...)
	}
	fillHarvest(&out, &c, in.UTCOffsetS)
	out.Provenance = harvestProvenance(o.Wind != nil, h.Energy.MonthlyKWh != nil, in)
	return out, nil
}

// heightOf is the mast of a height; the best for NaN, or the first where none makes anything.
func heightOf(e *openapi.Estimate, hubM float64) (*openapi.HeightEstimate, error) {
	if len(e.Heights) == 0 {
		return nil, errors.New("the estimate has no height")
	}
	if hubM != hubM {
		hubM = value(e.BestHubHeightM, e.Heights[0].HubHeightM)
	}
	none := &NoSuchHeightError{HubHeightM: hubM}
	for i := range e.Heights {
		if e.Heights[i].HubHeightM == hubM {
			return &e.Heights[i], nil
		}
		none.Heights = append(none.Heights, e.Heights[i].HubHeightM)
	}
	return nil, none
}

// curveAt is the curve an estimate used at a hub. whole is its turbine where the request names a kept curve alone.
func curveAt(e *openapi.Estimate, h *openapi.HeightEstimate, whole *openapi.TurbineInput) (*yield.Curve, error) {
	const standard = 1.225 // kg/m³, what a curve stands for that does not say (IEC 61400-12-1)
	t := &e.Request.Turbine
	if whole != nil {
		t = whole
	}
	rho := value(h.Wind.AirDensityKgM3, standard)
	pairs, density := [][]float64(nil), standard
	switch {
	case t.PowerCurve != nil:
		pairs, density = t.PowerCurve.Points, value(t.PowerCurve.AirDensityKgM3, standard)
	case e.Machine != nil:
		pairs = e.Machine.Curve
		if e.Machine.Design != nil { // worked out in the site's air
			density = rho
		}
	}
	points := make([]yield.Point, len(pairs))
	for i, p := range pairs {
		points[i] = yield.Point{SpeedMS: p[0], PowerW: p[1]}
	}
	curve, err := yield.NewCurve(points, density)
	if err != nil {
		return nil, err
	}
	regulation := yield.Unregulated
	if t.Regulation != nil {
		regulation, _ = yield.ParseRegulation(string(*t.Regulation))
	}
	return curve.AtDensity(rho, regulation), nil
}

// What is assumed where an estimate was made without draws. Judgement, as large as those of a usual estimate.
const (
	usualEstimateDoubt = 0.25
	usualCurveDoubt    = 0.10
	usualYearDoubt     = 0.12
)

// doubtsOf are the estimate's own doubts of its energy: of wind speed by the law of propagation (JCGM 100:2008, 5.1.2), with the energy's
// sensitivity to it.
func doubtsOf(e *openapi.Estimate, h *openapi.HeightEstimate) harvest.Doubts {
	d := harvest.Doubts{Estimate: usualEstimateDoubt, PowerCurve: usualCurveDoubt, YearToYear: usualYearDoubt, Meter: harvest.UsualMeter}
	if e.Odds == nil || h.Odds == nil {
		return d
	}
	at := 0
	for i := range e.Heights {
		if &e.Heights[i] == h {
			at = i
		}
	}
	d.Estimate, d.PowerCurve, d.YearToYear = 0, 0, 0
	for _, s := range e.Odds.Sources {
		u := value(s.StandardUncertainty, nan)
		if u != u && at < len(s.ByHeight) {
			u = s.ByHeight[at]
		}
		switch s.Quantity {
		case openapi.UncertaintySourceQuantityWindSpeed:
			u *= value(h.Odds.Sensitivity, 2)
		case openapi.UncertaintySourceQuantityWindEnergy:
		default:
			continue
		}
		switch {
		case u != u:
		case s.EveryYear:
			d.YearToYear = u
		case s.Name == "long_term":
			d.LongTerm = u
		case s.Name == "power_curve":
			d.PowerCurve = u
		default:
			d.Estimate = math.Hypot(d.Estimate, u)
		}
	}
	return d
}

// fillHarvest puts a comparison on the wire.
func fillHarvest(out *openapi.Harvest, c *harvest.Comparison, utcOffsetS int64) {
	out.Answer, out.Vague, out.Words, out.ByWind = openapi.HarvestAnswer(c.Answer), c.Vague(), c.Words(), c.ByWind
	out.Promised, out.Corrected = fromHarvestTotal(&c.Promised), fromHarvestTotal(&c.Corrected)
	out.CurveFactor, out.CurveStandardUncertainty = OrNull(rounded(c.CurveFactor)), OrNull(rounded(c.CurveStandard))
	out.Periods, out.Months = make([]openapi.HarvestPeriod, len(c.Periods)), make([]openapi.HarvestPeriod, len(c.Months))
	for i := range c.Periods {
		out.Periods[i] = fromHarvestPeriod(&c.Periods[i], periodName(&c.Periods[i], utcOffsetS))
	}
	for i := range c.Months {
		out.Months[i] = fromHarvestPeriod(&c.Months[i], harvest.MonthName(&c.Months[i], utcOffsetS))
	}
	for _, w := range c.Warnings {
		out.Warnings = append(out.Warnings, openapi.Warning(w))
	}
	if out.Warnings == nil {
		out.Warnings = openapi.Warnings{}
	}
}

// periodName is the days of a period, by local standard time.
func periodName(p *harvest.Period, utcOffsetS int64) string {
	clock := time.FixedZone("", int(utcOffsetS))
	from, to := time.Unix(p.FromUnix, 0).In(clock), time.Unix(p.ToUnix, 0).In(clock)
	last := time.Unix(p.ToUnix-1, 0).In(clock)
	switch a, b := from.Format(time.DateOnly), last.Format(time.DateOnly); {
	case a == b && p.ToUnix-p.FromUnix < 86400:
		return a + " " + from.Format("15:04") + "–" + to.Format("15:04")
	case a == b:
		return a
	default:
		return a + " – " + b
	}
}

func fromHarvestPeriod(p *harvest.Period, name string) openapi.HarvestPeriod {
	out := openapi.HarvestPeriod{From: Time(p.FromUnix), To: Time(p.ToUnix), Name: name, MeasuredKWh: rounded(p.KWh), PromisedKWh: rounded(p.PromisedKWh),
		Windiness: OrNull(rounded(p.Windiness)), CoveredShare: rounded(p.CoveredShare), CorrectedKWh: OrNull(rounded(p.CorrectedKWh))}
	if p.LeftOut != "" {
		out.LeftOut = &p.LeftOut
	}
	return out
}

func fromHarvestTotal(t *harvest.Total) openapi.HarvestTotal {
	low, high := t.Allowed()
	out := openapi.HarvestTotal{Days: rounded(t.Days), MeasuredKWh: rounded(t.MeasuredKWh), ExpectedKWh: rounded(t.ExpectedKWh), Ratio: OrNull(rounded(t.Ratio)),
		StandardUncertainty: OrNull(rounded(t.Standard)), AllowedLow: OrNull(rounded(low)), AllowedHigh: OrNull(rounded(high)),
		Parts: make([]openapi.HarvestPart, len(t.Parts))}
	for i, p := range t.Parts {
		out.Parts[i] = openapi.HarvestPart{Name: openapi.HarvestPartName(p.Name), StandardUncertainty: rounded(p.Standard)}
	}
	return out
}

// harvestProvenance says where the figures come from.
func harvestProvenance(wind, months bool, in *HarvestInput) []openapi.Provenance {
	promise := "the estimate's yearly net energy, spread evenly over 365 days"
	if months {
		promise = "the estimate's monthly net energies, spread evenly over their days"
	}
	out := []openapi.Provenance{
		{What: "promised", Method: promise, Source: "the site's estimate"},
		{What: "answer", Method: fmt.Sprintf("two standard uncertainties, at least %d days read", harvest.FewestDays), Source: "JCGM 100:2008, 6.3.3; judgement"},
		{What: "curve_factor", Method: "two normal estimates of one quantity, weighed by their precisions", Source: "JCGM 100:2008, 5.1; conjugate normal"},
	}
	if wind {
		against := "the record's own mean of all its time"
		switch {
		case in.own():
			against = "the estimate's"
		case months:
			against = "the record's own mean of the same months"
		}
		out = append(out, openapi.Provenance{What: "corrected", Method: "the estimate's curve over the record's wind at the hub: energy in that time over " + against,
			Source: "record " + in.RecordRef})
	}
	return out
}

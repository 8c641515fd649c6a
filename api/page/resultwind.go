package page

import (
	"math"
	"strings"

	"mastworth/api/chart"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/yield"
)

// plainName is a name on the wire as words.
func plainName(name string) string { return strings.ReplaceAll(name, "_", " ") }

// roseEnds are where the classes of speed of the rose end, in m/s, at whole numbers of the unit that is shown; the last is open.
func roseEnds(u chart.Units) []float64 {
	if u.FeetAndMph {
		return []float64{5 * mphInMS, 10 * mphInMS, 15 * mphInMS, 20 * mphInMS, 25 * mphInMS}
	}
	return []float64{2, 4, 6, 8, 10}
}

// weibullOf is a fit as a distribution; ok is false where there is none.
func weibullOf(f *openapi.WeibullFit) (w resource.Weibull, ok bool) {
	if f == nil || f.Shape == nil || f.ScaleMS == nil || !(*f.Shape > 0) || !(*f.ScaleMS > 0) {
		return w, false
	}
	return resource.Weibull{Shape: *f.Shape, Scale: *f.ScaleMS}, true
}

// sectorWind is the wind of one direction: its own fit, else that of all directions brought to its mean.
func sectorWind(wind *openapi.HubWind, s *openapi.WindSector) (resource.Weibull, bool) {
	if w, ok := weibullOf(s.Weibull); ok {
		return w, true
	}
	w, ok := weibullOf(&wind.Weibull)
	if !ok || s.MeanSpeedMS == nil || wind.MeanSpeedMS == nil || !(*wind.MeanSpeedMS > 0) || !(*s.MeanSpeedMS > 0) {
		return w, ok
	}
	w.Scale *= *s.MeanSpeedMS / *wind.MeanSpeedMS
	return w, true
}

// windRose parts each direction's share of time by speed as the fits have it.
func windRose(e shownEstimate, best *openapi.HeightEstimate) chart.Chart {
	ends := roseEnds(units(e))
	rose := chart.Rose{CalmShare: orNaN(best.Wind.CalmShare), ClassEnds: ends, Units: units(e)}
	windy := 1 - orZero(best.Wind.CalmShare) // sectors share the time that is not calm
	for i := range best.Wind.Sectors {
		s := &best.Wind.Sectors[i]
		row := make([]float64, len(ends)+1)
		w, ok := sectorWind(&best.Wind, s)
		share, below := windy*orZero(s.Share), 0.0
		for k := range row {
			upTo := 1.0
			if k < len(ends) && ok {
				upTo = w.CDF(ends[k])
			} else if !ok {
				upTo = below // what is not known is in no class
			}
			row[k], below = share*(upTo-below), upTo
		}
		rose.Shares = append(rose.Shares, row)
	}
	return chart.WindRose(rose)
}

// energyRose is what the curve makes of each direction's wind.
func energyRose(e shownEstimate, best *openapi.HeightEstimate) chart.Chart {
	var d chart.EnergyFrom
	curve := curveOf(e, best)
	if curve == nil {
		return chart.EnergyRose(d)
	}
	windy, total := 1-orZero(best.Wind.CalmShare), 0.0
	for i := range best.Wind.Sectors {
		s := &best.Wind.Sectors[i]
		made := 0.0
		if w, ok := sectorWind(&best.Wind, s); ok {
			made = orZero(s.Share) * curve.MeanPowerWeibull(w)
		}
		d.EnergyShares, d.TimeShares = append(d.EnergyShares, made), append(d.TimeShares, windy*orZero(s.Share))
		total += made
	}
	if !(total > 0) {
		return chart.EnergyRose(chart.EnergyFrom{})
	}
	for i := range d.EnergyShares {
		d.EnergyShares[i] /= total
	}
	return chart.EnergyRose(d)
}

// histogramAt is the record's histogram, where it is of this height.
func histogramAt(e shownEstimate, h *openapi.HeightEstimate) *openapi.WindHistogram {
	w := e.WindHistogram
	if w == nil || w.HubHeightM != h.HubHeightM || !(w.BinWidthMS > 0) || len(w.TimeShares) == 0 || len(w.GrossKWh) != len(w.TimeShares) {
		return nil
	}
	return w
}

// binEdges are the edges of a histogram's bins, m/s.
func binEdges(w *openapi.WindHistogram) []float64 {
	edges := make([]float64, len(w.TimeShares)+1)
	for i := range edges {
		edges[i] = float64(i) * w.BinWidthMS
	}
	return edges
}

// speeds is the record's histogram at the hub, or the table of speeds that the request brought, with the fit brought down to its
// height; else the distribution alone, which nobody fitted where the request has no record.
func speeds(e shownEstimate, best *openapi.HeightEstimate) chart.Chart {
	d := chart.SpeedShares{Units: units(e)}
	fit, ok := weibullOf(&best.Wind.Weibull)
	if !ok {
		return chart.SpeedHistogram(d)
	}
	d.Fit, d.CalmShare = fit, orZero(best.Wind.CalmShare)
	if w := histogramAt(e, best); w != nil {
		d.EdgesMS, d.Shares, d.CalmShare = binEdges(w), w.TimeShares, w.CalmShare
		return chart.SpeedHistogram(d)
	}
	if f := e.Request.Wind.Frequency; f != nil && len(f.Bins) > 0 && best.Wind.HeightFactor != nil && *best.Wind.HeightFactor > 0 {
		d.Fit.Scale /= *best.Wind.HeightFactor
		d.CalmShare = 0
		for _, b := range f.Bins {
			if n := len(d.EdgesMS); n == 0 {
				d.EdgesMS = append(d.EdgesMS, b.FromMS)
			} else if b.FromMS > d.EdgesMS[n-1] { // nothing blew between
				d.EdgesMS, d.Shares = append(d.EdgesMS, b.FromMS), append(d.Shares, 0)
			}
			d.EdgesMS, d.Shares = append(d.EdgesMS, b.ToMS), append(d.Shares, b.Share)
		}
		return chart.SpeedHistogram(d)
	}
	d.Alone, d.Given = true, e.Request.Wind.Record == nil
	d.EdgesMS = []float64{0}
	for v := 1.0; v <= topSpeed(fit); v++ {
		d.EdgesMS, d.Shares = append(d.EdgesMS, v), append(d.Shares, (1-d.CalmShare)*(fit.CDF(v)-fit.CDF(v-1)))
	}
	return chart.SpeedHistogram(d)
}

// topSpeed is a whole speed in m/s beyond which a wind blows one hour in a thousand.
func topSpeed(w resource.Weibull) float64 {
	return min(40, math.Ceil(w.Scale*math.Pow(math.Log(1000), 1/w.Shape)))
}

// energyBySpeed is the turbine's curve over the wind at the best height: the record's own, else the fitted distribution.
func energyBySpeed(e shownEstimate, best *openapi.HeightEstimate) chart.Chart {
	curve := curveOf(e, best)
	w, ok := weibullOf(&best.Wind.Weibull)
	if curve == nil || !ok {
		return chart.EnergyBySpeed(chart.CurveInWind{})
	}
	d := chart.CurveInWind{Units: units(e)}
	top := topSpeed(w)
	own := histogramAt(e, best)
	if own != nil {
		top = max(top, float64(len(own.TimeShares))*own.BinWidthMS)
	}
	d.SpeedMS, d.PowerW = curveUpTo(curve, top)
	if own != nil {
		d.EdgesMS, d.TimeShares, d.EnergyKWh = binEdges(own), own.TimeShares, own.GrossKWh
		return chart.EnergyBySpeed(d)
	}
	d.EdgesMS, d.TimeShares, d.EnergyKWh = chart.WindBins(curve, w, orZero(best.Wind.CalmShare), 1, top)
	return chart.EnergyBySpeed(d)
}

// curveUpTo is a curve's points up to a speed; one that goes on beyond is cut there, not at its last point before.
func curveUpTo(curve *yield.Curve, topMS float64) (speedMS, powerW []float64) {
	for _, p := range curve.Points() {
		if p.SpeedMS > topMS {
			return append(speedMS, topMS), append(powerW, curve.Power(topMS))
		}
		speedMS, powerW = append(speedMS, p.SpeedMS), append(powerW, p.PowerW)
	}
	return speedMS, powerW
}

// standardAir is the density a table stands for that says nothing of it, kg/m³ (ISO 2533).
const standardAir = 1.225

// curveOf is the machine's curve in the air of a height; nil where the estimate has none. One that was worked out or measured is in
// the estimate as it is used, a table is brought to the air.
func curveOf(e shownEstimate, at *openapi.HeightEstimate) *yield.Curve {
	pairs, density, given := curvePairs(e)
	points := make([]yield.Point, 0, len(pairs))
	for _, p := range pairs {
		if len(p) == 2 {
			points = append(points, yield.Point{SpeedMS: p[0], PowerW: p[1]})
		}
	}
	curve, err := yield.NewCurve(points, density)
	if err != nil { // as it is kept, an estimate has been made of it, so that only a missing one comes here
		return nil
	}
	if air := at.Wind.AirDensityKgM3; given && air != nil && *air > 0 {
		regulation, _ := yield.ParseRegulation(string(orRegulation(e.Request.Turbine.Regulation))) // one of the contract's words
		return curve.AtDensity(*air, regulation)
	}
	return curve
}

func orRegulation(r *openapi.TurbineInputRegulation) openapi.TurbineInputRegulation {
	if r == nil {
		return openapi.TurbineInputRegulation(yield.Unregulated.String())
	}
	return *r
}

// curvePairs are the points of the curve; given is whether the request has them.
func curvePairs(e shownEstimate) (pairs [][]float64, density float64, given bool) {
	if m := e.Machine; m != nil && len(m.Curve) > 0 {
		return m.Curve, standardAir, false
	}
	c := e.Request.Turbine.PowerCurve
	if c == nil {
		return nil, standardAir, false
	}
	if c.AirDensityKgM3 != nil {
		return c.Points, *c.AirDensityKgM3, true
	}
	return c.Points, standardAir, true
}

// powerCurves is the curve the estimate uses, and the points of a test behind a measured one.
func powerCurves(e shownEstimate, _ *openapi.HeightEstimate) chart.Chart {
	pairs, _, given := curvePairs(e)
	line := chart.PowerCurve{Name: Text("result.curve.used")}
	if given {
		line.Name = Text("result.curve.given")
	}
	for _, p := range pairs {
		if len(p) == 2 {
			line.SpeedMS, line.PowerW = append(line.SpeedMS, p[0]), append(line.PowerW, p[1])
		}
	}
	curves := []chart.PowerCurve{line}
	if m := e.Machine; m != nil && m.Measured != nil {
		curves = append(curves, measuredPoints(m.Measured))
	}
	return chart.PowerCurves(curves, units(e))
}

func measuredPoints(m *openapi.MeasuredCurve) chart.PowerCurve {
	points := chart.PowerCurve{Name: Text("result.curve.measured"), Measured: true}
	for i := range m.Bins {
		b := &m.Bins[i]
		if b.SpeedMS == nil || b.PowerW == nil {
			continue
		}
		points.SpeedMS, points.PowerW = append(points.SpeedMS, *b.SpeedMS), append(points.PowerW, *b.PowerW)
		points.UncertaintyW = append(points.UncertaintyW, orNaN(combined(b.UncertaintyAW, b.UncertaintyBW)))
	}
	return points
}

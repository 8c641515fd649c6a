package page

import (
	"math"
	"strconv"

	"mastworth/api/chart"
	"mastworth/openapi"
)

// CurveRow is a kept curve in the list.
type CurveRow struct{ Name, Link, Source, Rotor, Peak, Created string }

// Curves is what the list of kept curves shows.
type Curves struct {
	Rows []CurveRow
	More string // address of the next ones; or nothing
}

// NewCurveRows puts curves into words.
func NewCurveRows(all []openapi.CurveSummary, u Units) []CurveRow {
	out := make([]CurveRow, len(all))
	for i := range all {
		c := &all[i]
		out[i] = CurveRow{Name: curveName(c.Name), Link: "/curves/" + c.ID + u.Query(), Source: Text("curves.source." + string(c.Source)), Rotor: u.length(c.RotorDiameterM),
			Peak: unit(three(c.PeakW), "W"), Created: Day(c.CreatedAt)}
	}
	return out
}

func curveName(name string) string {
	if name == "" {
		return Text("curves.no_name")
	}
	return name
}

// CurvePoint is a wind, m/s, and what the machine makes in it; NaN is not known.
type CurvePoint struct{ WindMS, PowerW, Cp float64 }

// Curve is what a kept curve's page shows.
type Curve struct {
	ID, Name    string
	Facts       []Pair
	Power       *RecordChart
	Points      []CurvePoint
	CpNote      string
	Measured    [][]string // bins of a measured curve; none for others
	Weak        []string
	CSV         string
	Sites       []Link
	MayDelete   bool
	Fault       string
	LogID       string // the record it was made from; or nothing
	DesignWords []Pair
	Units
}

// Wind is a point's wind in the unit of speeds.
func (c *Curve) Wind(p CurvePoint) string { return Number(c.inSpeed(p.WindMS), 1) }

// NewCurve puts a kept curve into words. points carry the power coefficients, and swept is the rotor's area, m²; NaN where neither is known.
func NewCurve(c *openapi.Curve, source string, points []CurvePoint, u Units) (Curve, error) {
	t := &c.Turbine
	out := Curve{ID: c.ID, Name: curveName(c.Name), Points: points, Units: u, CSV: "/v1/curves/" + c.ID + "?format=csv"}
	out.fact("curves.source", Text("curves.source."+source))
	if t.Design == nil {
		out.fact("curves.rotor", u.length(t.RotorDiameterM))
	}
	out.fact("curves.rated", unit(three(t.RatedPowerW), "W"))
	if t.PowerCurve != nil {
		out.fact("curves.density", unit(decimals(t.PowerCurve.AirDensityKgM3, 3), "kg/m³"))
	}
	if c.TestLog != nil && c.TestLog.Record.ID != nil {
		out.LogID = *c.TestLog.Record.ID
	}
	if m := c.Machine.Measured; m != nil {
		out.measured(m)
	}
	if d := c.Machine.Design; d != nil {
		out.design(d)
	}
	out.fact("curves.created", Day(c.CreatedAt))
	out.fact("record.id", c.ID)
	for _, w := range c.Warnings {
		detail := w.Detail
		if d := c.Machine.Design; d != nil {
			detail = u.tips(d, detail)
		}
		out.Weak = append(out.Weak, u.words(detail))
	}
	var err error
	out.Power, err = DrawRecordChart(CurveChart(c, u), "/curves/"+c.ID+"/charts/", u.Query(), drawnWidth, 260)
	return out, err
}

func (c *Curve) fact(key, value string) {
	if value != unknown && value != "" {
		c.Facts = append(c.Facts, Pair{Text(key), value})
	}
}

// measured tells how a measured curve came about.
func (c *Curve) measured(m *openapi.MeasuredCurve) {
	complete := Text("records.no")
	if m.Complete {
		complete = Text("records.yes")
	}
	c.fact("curves.complete", complete)
	c.fact("curves.hours", unit(three(m.TotalHours), "h"))
	c.fact("curves.peak_cp", decimals(m.PeakCp, 3))
	c.fact("curves.cut_in", c.speedTo(m.CutInMS, 1))
	for _, b := range m.Bins {
		if b.N == 0 {
			continue
		}
		c.Measured = append(c.Measured, []string{Number(c.inSpeed(b.CentreMS), 1), Number(c.inSpeed(orNaN(b.SpeedMS)), 2), decimals(b.PowerW, 1), decimals(b.SDW, 1),
			decimals(combined(b.UncertaintyAW, b.UncertaintyBW), 1), decimals(b.Cp, 3), strconv.FormatInt(b.N, 10)})
	}
}

// combined is the root of two standard uncertainties' squares' sum; nil where either is not known.
func combined(a, b *float64) *float64 {
	if a == nil || b == nil {
		return nil
	}
	v := math.Hypot(*a, *b)
	return &v
}

// design tells what was worked out of a design.
func (c *Curve) design(d *openapi.DesignResult) {
	c.fact("curves.best_cp", decimals(d.BestCp, 3))
	c.fact("curves.best_tsr", decimals(d.BestTipSpeedRatio, 1))
	c.fact("curves.start", c.speedTo(d.StartWindMS, 1))
	c.fact("curves.cut_in", c.speedTo(d.CutInMS, 1))
	c.fact("curves.furl", c.speedTo(d.FurlMS, 1))
}

// CurveChart draws a kept curve; a measured one as points with their uncertainty.
func CurveChart(c *openapi.Curve, u Units) chart.Chart {
	one := chart.PowerCurve{Name: curveName(c.Name)}
	if m := c.Machine.Measured; m != nil {
		one.Measured = true
		for _, b := range m.Bins {
			if b.SpeedMS == nil || b.PowerW == nil {
				continue
			}
			one.SpeedMS, one.PowerW = append(one.SpeedMS, *b.SpeedMS), append(one.PowerW, *b.PowerW)
			one.UncertaintyW = append(one.UncertaintyW, orNaN(combined(b.UncertaintyAW, b.UncertaintyBW)))
		}
		return chart.PowerCurves([]chart.PowerCurve{one}, u.In(""))
	}
	for _, p := range c.Machine.Curve {
		one.SpeedMS, one.PowerW = append(one.SpeedMS, p[0]), append(one.PowerW, p[1])
	}
	return chart.PowerCurves([]chart.PowerCurve{one}, u.In(""))
}

package machine

import (
	"errors"
	"fmt"
	"math"

	"mastworth/resource"
	"mastworth/yield"
)

// Measured is a power curve from a test, brought to one air density.
type Measured struct {
	Points         []MeasuredPoint // by rising speed, 2 to yield.MaxCurvePoints
	AirDensityKgM3 float64
}

// MeasuredPoint is one bin of a test.
type MeasuredPoint struct {
	SpeedMS      float64 // mean wind in the bin, m/s
	PowerW       float64 // mean power in the bin, W; below 0 where the machine draws power
	UncertaintyW float64 // standard, W; NaN where not known
	Thin         bool    // the bin holds too few periods to judge a design by
}

// ComparisonRow is a design beside a test in one wind.
type ComparisonRow struct {
	WindMS       float64
	DesignW      float64 // 0 outside the design's winds
	MeasuredW    float64 // straight between the bins; NaN outside them
	UncertaintyW float64 // standard, straight between the bins; NaN where not known
	Ratio        float64 // measured over designed; NaN where either is not known or the design makes nothing
	Thin         bool    // it rests on a thin bin: told, but not counted
}

// EnergyRow is a year's energy of both in a Rayleigh wind, of the winds of the bins that count alone.
type EnergyRow struct {
	MeanSpeedMS float64
	DesignKWh   float64
	MeasuredKWh float64 // with no power in bins where the machine draws some
	Ratio       float64 // measured over designed; NaN where the design makes nothing
}

// Comparison sets a design beside a test.
type Comparison struct {
	Rows           []ComparisonRow
	FromMS, ToMS   float64 // the winds that were measured
	RMSW           float64 // root mean square of measured less designed power over the rows with both that count, W; NaN without such
	BiasW          float64 // their mean, W
	WithinTwo      int     // rows where the two lie no further apart than twice the standard uncertainty
	WithUncertain  int     // of so many rows with an uncertainty
	Energy         []EnergyRow
	Warnings       []resource.Warning
	AirDensityKgM3 float64
}

// densityApart is how far the densities of design and test may lie apart, as a share; it is the same share in power.
const densityApart = 0.005

// comparedMeans are the mean winds in m/s that energies are compared in.
var comparedMeans = [...]float64{4, 5, 6}

// Compare sets a design's curve beside a measured one at rising winds in m/s, or at the measured speeds if none are given. Both
// must be taken at the same point, terminals or load, and at one air density. Thin bins are told and not counted, unless fewer
// than two are left; one gust in a bin of its own would outweigh all others. The error for points that cannot be is a *Fault.
func Compare(design *yield.Curve, measured Measured, winds []float64) (*Comparison, error) {
	if design == nil {
		panic("machine: a comparison without a design")
	}
	if err := measured.check(design.Density()); err != nil {
		return nil, err
	}
	if len(winds) == 0 {
		for _, p := range measured.Points {
			winds = append(winds, p.SpeedMS)
		}
	}
	for i, v := range winds {
		if !(v >= 0 && v <= 100) || i > 0 && v <= winds[i-1] {
			return nil, errors.New("the winds of a comparison must rise, each from 0 to 100 m/s and given once")
		}
	}
	last := len(measured.Points) - 1
	c := &Comparison{FromMS: measured.Points[0].SpeedMS, ToMS: measured.Points[last].SpeedMS, AirDensityKgM3: measured.AirDensityKgM3,
		Rows: make([]ComparisonRow, len(winds))}
	for i, v := range winds {
		c.Rows[i] = measured.row(design, v)
	}
	counted := c.countedOf(&measured)
	c.summarise()
	if err := c.energy(design, counted); err != nil {
		return nil, err
	}
	return c, nil
}

// countedOf are the bins that count, and a word on the others. Where all are thin the comparison is one of thin bins, and says so.
func (c *Comparison) countedOf(m *Measured) *Measured {
	out := &Measured{AirDensityKgM3: m.AirDensityKgM3}
	for _, p := range m.Points {
		if !p.Thin {
			out.Points = append(out.Points, p)
		}
	}
	thin := len(m.Points) - len(out.Points)
	if thin == 0 {
		return m
	}
	if len(out.Points) < 2 {
		for i := range c.Rows {
			c.Rows[i].Thin = false
		}
		c.Warnings = append(c.Warnings, resource.Warning{Code: "thin_bins", Detail: fmt.Sprintf("%d of %d bins hold too little to judge the design "+
			"by, and all are counted for want of better ones: go on measuring before you change the design.", thin, len(m.Points))})
		return m
	}
	c.Warnings = append(c.Warnings, resource.Warning{Code: "thin_bins", Detail: fmt.Sprintf("%d of %d bins hold too little to judge the design by; they "+
		"are told, but not counted in the differences and the energy.", thin, len(m.Points))})
	return out
}

func (m *Measured) check(designDensity float64) error {
	fault := func(field, format string, args ...any) error {
		return fmt.Errorf("measured curve, %w", &Fault{field, fmt.Sprintf(format, args...)})
	}
	if n := len(m.Points); n < 2 || n > yield.MaxCurvePoints {
		return fault("points", "a measured curve needs from 2 to %d points, not %d", yield.MaxCurvePoints, n)
	}
	if rho := m.AirDensityKgM3; !(math.Abs(rho/designDensity-1) <= densityApart) {
		return fault("air_density_kg_m3", "the test stands for air of %.4g kg/m³ and the design for %.4g; work the design out at that of the test",
			rho, designDensity)
	}
	for i, p := range m.Points {
		at := func(name string) string { return fmt.Sprintf("points[%d].%s", i, name) }
		switch {
		case !(p.SpeedMS >= 0) || math.IsInf(p.SpeedMS, 1):
			return fault(at("speed_m_s"), "must be a number from 0 m/s, not %g", p.SpeedMS)
		case i > 0 && p.SpeedMS <= m.Points[i-1].SpeedMS:
			return fault(at("speed_m_s"), "%g m/s does not rise above the one before, %g m/s; put the bins in order, each once", p.SpeedMS,
				m.Points[i-1].SpeedMS)
		case math.IsNaN(p.PowerW) || math.IsInf(p.PowerW, 0):
			return fault(at("power_w"), "must be a number, not %g; leave an empty bin out", p.PowerW)
		case p.UncertaintyW < 0 || math.IsInf(p.UncertaintyW, 1):
			return fault(at("uncertainty_w"), "must be a number from 0 W, or not known, not %g", p.UncertaintyW)
		}
	}
	return nil
}

// row reads both in one wind.
func (m *Measured) row(design *yield.Curve, windMS float64) ComparisonRow {
	nan := math.NaN()
	r := ComparisonRow{WindMS: windMS, DesignW: design.Power(windMS), MeasuredW: nan, UncertaintyW: nan, Ratio: nan}
	for i := 1; i < len(m.Points); i++ {
		from, to := m.Points[i-1], m.Points[i]
		switch {
		case windMS == from.SpeedMS: // beside a bin without uncertainty this one keeps its own
			r.MeasuredW, r.UncertaintyW, r.Thin = from.PowerW, from.UncertaintyW, from.Thin
		case windMS == to.SpeedMS:
			r.MeasuredW, r.UncertaintyW, r.Thin = to.PowerW, to.UncertaintyW, to.Thin
		case windMS > from.SpeedMS && windMS < to.SpeedMS:
			share := (windMS - from.SpeedMS) / (to.SpeedMS - from.SpeedMS)
			r.MeasuredW = from.PowerW + share*(to.PowerW-from.PowerW)
			r.UncertaintyW = from.UncertaintyW + share*(to.UncertaintyW-from.UncertaintyW)
			r.Thin = from.Thin || to.Thin
		default:
			continue
		}
		break
	}
	if r.DesignW > 0 {
		r.Ratio = r.MeasuredW / r.DesignW
	}
	return r
}

func (c *Comparison) summarise() {
	n, outside, square := 0, 0, 0.0
	for _, r := range c.Rows {
		apart := r.MeasuredW - r.DesignW
		if math.IsNaN(apart) {
			outside++
			continue
		}
		if r.Thin {
			continue
		}
		n++
		square += apart * apart
		c.BiasW += apart
		if !math.IsNaN(r.UncertaintyW) {
			c.WithUncertain++
			if math.Abs(apart) <= 2*r.UncertaintyW {
				c.WithinTwo++
			}
		}
	}
	c.RMSW, c.BiasW = math.Sqrt(square/float64(n)), c.BiasW/float64(n)
	if outside > 0 {
		c.Warnings = append(c.Warnings, resource.Warning{Code: "outside_measured_winds", Detail: fmt.Sprintf("%d of %d winds lie outside "+
			"what was measured, %.3g to %.3g m/s, and are not compared.", outside, len(c.Rows), c.FromMS, c.ToMS)})
	}
}

// energy compares a year, both curves cut to the winds of the bins that count.
func (c *Comparison) energy(design *yield.Curve, measured *Measured) error {
	var cut, test []yield.Point
	drawing := 0
	from, to := measured.Points[0].SpeedMS, measured.Points[len(measured.Points)-1].SpeedMS
	for _, p := range measured.Points {
		test = append(test, yield.Point{SpeedMS: p.SpeedMS, PowerW: max(0, p.PowerW)})
		if p.PowerW < 0 {
			drawing++
		}
	}
	cut = append(cut, yield.Point{SpeedMS: from, PowerW: design.Power(from)})
	for _, p := range design.Points() {
		if p.SpeedMS > from && p.SpeedMS < to {
			cut = append(cut, p)
		}
	}
	cut = append(cut, yield.Point{SpeedMS: to, PowerW: design.Power(to)})
	own, err := yield.NewCurve(cut, design.Density())
	if err != nil {
		return fmt.Errorf("cutting the design's curve to the measured winds: %w", err)
	}
	theirs, err := yield.NewCurve(test, measured.AirDensityKgM3)
	if err != nil {
		return fmt.Errorf("making the measured curve: %w", err)
	}
	for _, mean := range comparedMeans {
		w := resource.Weibull{Shape: 2, Scale: mean / math.Gamma(1.5)}
		r := EnergyRow{MeanSpeedMS: mean, DesignKWh: yield.AnnualKWh(own.MeanPowerWeibull(w)),
			MeasuredKWh: yield.AnnualKWh(theirs.MeanPowerWeibull(w)), Ratio: math.NaN()}
		if r.DesignKWh > 0 {
			r.Ratio = r.MeasuredKWh / r.DesignKWh
		}
		c.Energy = append(c.Energy, r)
	}
	if drawing > 0 {
		where := fmt.Sprintf("In %d bins", drawing)
		if drawing == 1 {
			where = "In 1 bin"
		}
		c.Warnings = append(c.Warnings, resource.Warning{Code: "power_drawn", Detail: where + " the machine draws power; the year's energy " +
			"counts none there."})
	}
	return nil
}

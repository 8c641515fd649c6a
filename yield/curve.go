package yield

import (
	"fmt"
	"math"
	"sync"
)

// MaxCurvePoints bounds a power curve.
const MaxCurvePoints = 1000

// Point is one point of a power curve.
type Point struct {
	SpeedMS float64 // wind speed at hub height, m/s
	PowerW  float64 // electrical power at the machine's terminals, W
}

// Curve is a power curve: straight between its points and zero outside them. It does not change once made, so many callers
// may share one.
type Curve struct {
	points  []Point
	slopes  []float64 // W per m/s, between point i and i+1
	logs    []float64 // ln of the speeds; −Inf at 0
	sums    []float64 // ∫ power d(speed) from the first point to point i
	density float64

	once   sync.Once
	lookup lookup // see table
}

// CurveError says which point of a curve cannot be, and why.
type CurveError struct {
	Index  int    // of the point; −1 for the curve as a whole
	Field  string // "speed", "power", "density" or "points"
	Reason string // with the remedy
}

func (e *CurveError) Error() string {
	if e.Index < 0 {
		return "power curve: " + e.Reason
	}
	return fmt.Sprintf("power curve, point %d: %s", e.Index+1, e.Reason)
}

// NewCurve makes a curve of points in the order of their speeds, valid at an air density in kg/m³. Anything but two to
// MaxCurvePoints finite points with rising speeds from 0 and powers of at least 0 is a *CurveError.
func NewCurve(points []Point, airDensityKgM3 float64) (*Curve, error) {
	if n := len(points); n < 2 || n > MaxCurvePoints {
		return nil, &CurveError{-1, "points", fmt.Sprintf("a curve needs from 2 to %d points, not %d", MaxCurvePoints, n)}
	}
	if !(airDensityKgM3 > 0) || math.IsInf(airDensityKgM3, 1) {
		return nil, &CurveError{-1, "density", fmt.Sprintf("the air density must be above 0 kg/m³, not %g", airDensityKgM3)}
	}
	for i, p := range points {
		switch {
		case !(p.SpeedMS >= 0) || math.IsInf(p.SpeedMS, 1):
			return nil, &CurveError{i, "speed", fmt.Sprintf("the wind speed must be a number from 0 m/s, not %g", p.SpeedMS)}
		case !(p.PowerW >= 0) || math.IsInf(p.PowerW, 1):
			return nil, &CurveError{i, "power", fmt.Sprintf("the power must be a number from 0 W, not %g; a machine that draws "+
				"power at standstill makes 0 here", p.PowerW)}
		case i > 0 && p.SpeedMS <= points[i-1].SpeedMS:
			return nil, &CurveError{i, "speed", fmt.Sprintf("the wind speed %g m/s does not rise above the one before, %g m/s; "+
				"put the points in the order of their speeds, each once", p.SpeedMS, points[i-1].SpeedMS)}
		}
	}
	points = append([]Point(nil), points...)
	return newCurve(points, logsOf(points), airDensityKgM3), nil
}

func logsOf(points []Point) []float64 {
	logs := make([]float64, len(points))
	for i, p := range points {
		logs[i] = math.Log(p.SpeedMS)
	}
	return logs
}

// newCurve takes ownership of valid points and of the logarithms of their speeds.
func newCurve(points []Point, logs []float64, density float64) *Curve {
	n := len(points)
	room := make([]float64, 2*n-1)
	c := &Curve{points: points, density: density, logs: logs, slopes: room[: n-1 : n-1], sums: room[n-1:]}
	for i := 1; i < n; i++ {
		before, p := points[i-1], points[i]
		width := p.SpeedMS - before.SpeedMS
		c.slopes[i-1] = (p.PowerW - before.PowerW) / width
		c.sums[i] = c.sums[i-1] + width*(p.PowerW+before.PowerW)/2
	}
	return c
}

// table is the curve's lookup, made when it is first wanted: a Weibull distribution is integrated without it.
func (c *Curve) table() *lookup {
	c.once.Do(func() { c.lookup = newLookup(c.points, c.slopes) })
	return &c.lookup
}

// Last is the curve's last point.
func (c *Curve) Last() Point { return c.points[len(c.points)-1] }

// Points returns a copy of the curve's points.
func (c *Curve) Points() []Point { return append([]Point(nil), c.points...) }

// Density is the air density the curve stands for, kg/m³.
func (c *Curve) Density() float64 { return c.density }

// MaxPower is the curve's highest power, W.
func (c *Curve) MaxPower() float64 {
	highest := 0.0
	for _, p := range c.points {
		highest = max(highest, p.PowerW)
	}
	return highest
}

// Power is the power in W at a wind speed in m/s: zero outside the curve's points, NaN for NaN.
func (c *Curve) Power(speedMS float64) float64 {
	if !(speedMS >= c.points[0].SpeedMS && speedMS <= c.points[len(c.points)-1].SpeedMS) {
		if math.IsNaN(speedMS) {
			return speedMS
		}
		return 0
	}
	i := c.table().segment(speedMS)
	return c.points[i].PowerW + c.slopes[i]*(speedMS-c.points[i].SpeedMS)
}

package yield

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"

	"mastworth/resource"
)

// The closed form to 1e-10 of itself against gonum's quadrature, down to winds that hardly ever reach the curve.
func TestClosedFormInThinTails(t *testing.T) {
	curves := map[string]*Curve{
		"25 points": invented(t),
		"late":      mustCurve(t, []Point{{8, 0}, {10, 500}, {14, 900}, {20, 900}, {21, 0}}),
	}
	for name, c := range curves {
		for _, shape := range []float64{0.6, 1, 1.2, 1.5, 1.9, 2, 2.5, 3.5, 6} {
			for _, scale := range []float64{1, 1.5, 2, 3, 4, 5, 6, 8, 12, 20} {
				w := resource.Weibull{Shape: shape, Scale: scale}
				if want := byQuadrature(c, w); want > 2e-18*c.MaxPower() {
					near(t, name, c.MeanPowerWeibull(w), want, 1e-10)
				}
			}
		}
	}
}

func TestWindThatNeverStartsTheRotor(t *testing.T) {
	c := mustCurve(t, []Point{{60, 0}, {70, 900}})
	for _, scale := range []float64{0.1, 4, 5.5, 7} {
		if p := c.MeanPowerWeibull(resource.Weibull{Shape: 2, Scale: scale}); p != 0 {
			t.Errorf("scale %g: %g W, want none", scale, p)
		}
	}
}

func byQuadrature(c *Curve, w resource.Weibull) float64 {
	sum := 0.0
	for i, slope := range c.slopes {
		a, b := c.points[i], c.points[i+1]
		f := func(v float64) float64 { return (a.PowerW + slope*(v-a.SpeedMS)) * density(w, v) }
		const pieces = 16
		for k := range pieces {
			step := (b.SpeedMS - a.SpeedMS) / pieces
			lo := a.SpeedMS + step*float64(k)
			sum += quad.Fixed(f, lo, lo+step, 40, quad.Legendre{}, 0)
		}
	}
	return sum
}

// The table of pieces against a plain search, on curves with points close together too, at points and beside them.
func TestSpeedsAgainstPlainSearch(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(2, 20).Draw(rt, "points")
		points, v := make([]Point, n), rapid.SampledFrom([]float64{0, 0.5, 3}).Draw(rt, "first")
		var speeds []float64
		for i := range points {
			points[i] = Point{v, rapid.Float64Range(0, 2000).Draw(rt, "power")}
			speeds = append(speeds, v, math.Nextafter(v, 100), math.Nextafter(v, -100))
			v += rapid.SampledFrom([]float64{1e-6, 0.001, 0.5, 1, 1, 7}).Draw(rt, "step")
		}
		speeds = append(speeds, rapid.SliceOf(rapid.Float64Range(-1, 40)).Draw(rt, "speeds")...)
		c, err := NewCurve(points, 1.225)
		if err != nil {
			rt.Fatal(err)
		}
		c = c.AtDensity(rapid.SampledFrom([]float64{1.225, 1, 1.3}).Draw(rt, "density"), Pitch)
		points, sum := c.Points(), 0.0
		for _, v := range speeds {
			want := 0.0
			for i := 1; i < n; i++ {
				if a, b := points[i-1], points[i]; v >= a.SpeedMS && v <= b.SpeedMS {
					want = a.PowerW + (b.PowerW-a.PowerW)*(v-a.SpeedMS)/(b.SpeedMS-a.SpeedMS)
				}
			}
			if got := c.Power(v); math.Abs(got-want) > 1e-5 {
				rt.Fatalf("%v: %g W at %v m/s, want %g", points, got, v, want)
			}
			sum += want
		}
		if got, want := c.MeanPowerSpeeds(speeds), sum/float64(len(speeds)); math.Abs(got-want) > 1e-5 {
			rt.Fatalf("mean %g W, want %g", got, want)
		}
	})
}

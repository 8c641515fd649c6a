package yield

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mathext"
	"pgregory.net/rapid"

	"mastworth/resource"
)

// near fails unless got is within tol of want, relative to want (absolute where want is 0).
func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	scale := math.Abs(want)
	if want == 0 {
		scale = 1
	}
	if !(math.Abs(got-want) <= tol*scale) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tol)
	}
}

func mustCurve(t testing.TB, points []Point) *Curve {
	t.Helper()
	c, err := NewCurve(points, 1.225)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// invented is a made-up curve of 25 points with a peak and a falling end.
func invented(t testing.TB) *Curve {
	points := make([]Point, 25)
	for i := range points {
		v := 2 + float64(i)
		points[i] = Point{SpeedMS: v, PowerW: math.Max(0, 900*math.Exp(-math.Pow((v-13)/5, 2)/2)-60)}
	}
	points[24].PowerW = 40
	return mustCurve(t, points)
}

func rayleigh(mean float64) resource.Weibull {
	return resource.Weibull{Shape: 2, Scale: mean / math.Gamma(1.5)}
}

// readCurve reads one of the government reference machines' curves (NREL open reference machines, 2019 cost-of-energy
// set) in the shared figures beside the checkout.
func readCurve(t *testing.T, name string) *Curve {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "shared", "reference", name))
	if errors.Is(err, os.ErrNotExist) && os.Getenv("CI") == "" {
		t.Skip("the shared reference figures are not beside this checkout")
	}
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var points []Point
	for _, row := range rows[1:] {
		v, err1 := strconv.ParseFloat(row[0], 64)
		kw, err2 := strconv.ParseFloat(row[1], 64)
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		points = append(points, Point{SpeedMS: v, PowerW: 1000 * kw})
	}
	return mustCurve(t, points)
}

// Yearly energy of the two reference machines in Rayleigh winds: the fine integral and the sum of IEC 61400-12-1 over the
// published points, both computed with SciPy; 0.2 %.
func TestReferenceMachines(t *testing.T) {
	small, large := readCurve(t, "curve_DW20.csv"), readCurve(t, "curve_DW100.csv")
	for _, c := range []struct{ mean, small, smallBins, large float64 }{
		{4, 26499, 26894, 140378}, {5, 46432, 46730, 240309}, {6, 66985, 67182, 338403}, {7, 86221, 86330, 422733},
		{8, 102773, 102806, 489040},
	} {
		near(t, "20 kW", AnnualKWh(small.MeanPowerWeibull(rayleigh(c.mean))), c.small, 0.002)
		near(t, "20 kW by bins", small.BinSumAnnualKWh(c.mean), c.smallBins, 0.002)
		near(t, "100 kW", AnnualKWh(large.MeanPowerWeibull(rayleigh(c.mean))), c.large, 0.002)
	}
	near(t, "capacity factor at 5 m/s", CapacityFactor(46432, 20000), 0.265, 2e-3)
}

// The closed form against adaptive-free quadrature of gonum, segment by segment.
func TestClosedFormAgainstQuadrature(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := drawnCurve(rt)
		w := resource.Weibull{
			Shape: rapid.Float64Range(0.8, 6).Draw(rt, "shape"),
			Scale: rapid.Float64Range(0.5, 20).Draw(rt, "scale"),
		}
		want := 0.0
		for i := range c.slopes {
			a, b := c.points[i].SpeedMS, c.points[i+1].SpeedMS
			// By probability, so that the integrand stays smooth at a shape below 1 too.
			f := func(v float64) float64 { return (c.points[i].PowerW + c.slopes[i]*(v-a)) * density(w, v) }
			const pieces = 8
			for k := range pieces {
				lo, hi := a+(b-a)*float64(k)/pieces, a+(b-a)*float64(k+1)/pieces
				want += quad.Fixed(f, lo, hi, 40, quad.Legendre{}, 0)
			}
		}
		got := c.MeanPowerWeibull(w)
		if math.Abs(got-want) > 1e-10*c.MaxPower()+1e-12 {
			rt.Fatalf("closed form %.15g, quadrature %.15g", got, want)
		}
	})
}

func density(w resource.Weibull, v float64) float64 {
	x := math.Pow(v/w.Scale, w.Shape)
	return w.Shape / v * x * math.Exp(-x)
}

// Both branches against gonum's regularised functions, on either side of where they meet.
func TestSurvivalAgainstGamma(t *testing.T) {
	for _, k := range []float64{0.3, 0.5, 0.7, 1, 1.4, 2, 2.5, 4, 7, 30} {
		var s survival
		s.begin(resource.Weibull{Shape: k, Scale: 1})
		mean := math.Gamma(1 + 1/k)
		for x := 1e-8; x < 600; x *= 1.07 {
			got, want := s.to(math.Pow(x, 1/k), x), mean*mathext.GammaIncReg(1/k, x)
			if got.above {
				want = mean * mathext.GammaIncRegComp(1/k, x)
			}
			near(t, "integral", got.value, want, 1e-12)
		}
	}
}

// drawnCurve is an arbitrary valid curve from 0.5 m/s up.
func drawnCurve(rt *rapid.T) *Curve {
	n := rapid.IntRange(2, 12).Draw(rt, "points")
	points := make([]Point, n)
	v := 0.0
	for i := range points {
		v += rapid.Float64Range(0.5, 3).Draw(rt, "step")
		points[i] = Point{SpeedMS: v, PowerW: rapid.Float64Range(0, 2000).Draw(rt, "power")}
	}
	c, err := NewCurve(points, 1.225)
	if err != nil {
		rt.Fatal(err)
	}
	return c
}

// A histogram drawn from many speeds, finely, gives what the speeds give; and evenly spread speeds in a bin are what a
// bin means.
func TestHistogramAgainstSpeeds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := drawnCurve(rt)
		lo := rapid.Float64Range(0, 20).Draw(rt, "from")
		width := rapid.Float64Range(0.1, 15).Draw(rt, "width")
		h := resource.Histogram{Edges: []float64{lo, lo + width}, Shares: []float64{1}}
		const n = 20000
		speeds := make([]float64, n)
		for i := range speeds {
			speeds[i] = lo + width*(float64(i)+0.5)/n
		}
		got, want := c.MeanPowerHistogram(h), c.MeanPowerSpeeds(speeds)
		if math.Abs(got-want) > 1e-3*c.MaxPower() {
			rt.Fatalf("histogram %g, speeds %g", got, want)
		}
	})
}

func TestPowerOfOneSpeed(t *testing.T) {
	c := mustCurve(t, []Point{{3, 0}, {5, 100}, {10, 600}, {12, 600}})
	for v, want := range map[float64]float64{0: 0, 2.99: 0, 3: 0, 4: 50, 5: 100, 7.5: 350, 10: 600, 12: 600, 12.01: 0} {
		near(t, "power", c.Power(v), want, 1e-12)
		near(t, "mean power", c.MeanPowerSpeeds([]float64{math.NaN(), v}), want, 1e-12)
	}
	if p := c.Power(math.NaN()); p == p {
		t.Error("NaN speed gave a power")
	}
	if p := c.MeanPowerSpeeds(nil); p == p {
		t.Error("no speeds gave a power")
	}
}

func TestLookupFindsEverySegment(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := drawnCurve(rt)
		last := c.points[len(c.points)-1].SpeedMS
		v := rapid.Float64Range(c.points[0].SpeedMS, last).Draw(rt, "speed")
		i := c.table().segment(v)
		if v < c.points[i].SpeedMS || v > c.points[i+1].SpeedMS {
			rt.Fatalf("%g m/s is not in segment %d", v, i)
		}
	})
}

// IEC 61400-12-1: passive machines scale with density, pitching ones with its cube root in speed. Power in the wind scales
// with density, so a passive machine's coefficient stays, and so does a pitching one's at the moved speed.
func TestDensity(t *testing.T) {
	c := invented(t)
	passive, active := c.AtDensity(1.0, Stall), c.AtDensity(1.0, Pitch)
	near(t, "passive", passive.Power(12), c.Power(12)/1.225, 1e-12)
	near(t, "active", active.Power(12*math.Cbrt(1.225)), c.Power(12), 1e-9)
	cp, _ := c.PeakPowerCoefficient(2.4)
	cpPassive, _ := passive.PeakPowerCoefficient(2.4)
	cpActive, _ := active.PeakPowerCoefficient(2.4)
	near(t, "coefficient, passive", cpPassive, cp, 1e-12)
	near(t, "coefficient, active", cpActive, cp, 1e-12)
	if c.AtDensity(1.225, Furling) != c {
		t.Error("the same density made another curve")
	}
	if active.MaxPower() != c.MaxPower() {
		t.Error("pitching changed the rating")
	}
}

// At 10 m/s and 1.225 kg/m³ the wind through 1 m² carries 612.5 W; Betz allows 16/27 of it, 362.96 W.
func TestBetz(t *testing.T) {
	diameter := math.Sqrt(4 / math.Pi)
	c := mustCurve(t, []Point{{5, 0}, {10, 362.963}, {20, 362.963}})
	cp, at := c.PeakPowerCoefficient(diameter)
	near(t, "coefficient", cp, 0.592593, 1e-6)
	near(t, "speed", at, 10, 0)
	if between, _ := mustCurve(t, []Point{{0, 0}, {10, 100}}).PeakBetweenPoints(diameter); !math.IsInf(between, 1) {
		t.Errorf("a line out of the origin peaks at %g", between)
	}
	// P = 100(V − 4) over 1 m²: the coefficient peaks where V = 1.5·4 = 6.
	between, at := mustCurve(t, []Point{{4, 0}, {14, 1000}}).PeakBetweenPoints(diameter)
	near(t, "coefficient between", between, 200/(0.6125*216), 1e-9)
	near(t, "its speed", at, 6, 1e-12)
}

func TestBadCurves(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		points  []Point
		density float64
		index   int
		field   string
	}{
		{nil, 1.2, -1, "points"}, {[]Point{{1, 1}}, 1.2, -1, "points"}, {make([]Point, MaxCurvePoints+1), 1.2, -1, "points"},
		{[]Point{{1, 0}, {2, 1}}, 0, -1, "density"}, {[]Point{{1, 0}, {2, 1}}, nan, -1, "density"},
		{[]Point{{1, 0}, {1, 1}}, 1.2, 1, "speed"}, {[]Point{{-1, 0}, {1, 1}}, 1.2, 0, "speed"},
		{[]Point{{1, 0}, {nan, 1}}, 1.2, 1, "speed"}, {[]Point{{1, 0}, {inf, 1}}, 1.2, 1, "speed"},
		{[]Point{{1, 0}, {2, -1}}, 1.2, 1, "power"}, {[]Point{{1, nan}, {2, 1}}, 1.2, 0, "power"},
	} {
		var ce *CurveError
		if _, err := NewCurve(c.points, c.density); !errors.As(err, &ce) || ce.Index != c.index || ce.Field != c.field {
			t.Errorf("%v: got %v, want field %s of point %d", c.points, err, c.field, c.index)
		}
	}
}

func TestCurveKeepsItsPoints(t *testing.T) {
	points := []Point{{3, 0}, {10, 500}}
	c := mustCurve(t, points)
	points[1].PowerW = 9
	c.Points()[1].PowerW = 9
	if c.MaxPower() != 500 {
		t.Error("a caller changed the curve")
	}
}

func TestLosses(t *testing.T) {
	net, steps := Losses{0.05, 0.03, 0.06, 0.03}.Apply(1000)
	near(t, "net", net, 1000*0.95*0.97*0.94*0.97, 1e-12)
	turned, _ := Losses{0.03, 0.06, 0.03, 0.05}.Apply(1000)
	near(t, "order", turned, net, 1e-12)
	if len(steps) != 4 || steps[0].KWh != 50 {
		t.Errorf("steps %v", steps)
	}
}

func TestRegulationNames(t *testing.T) {
	for _, r := range []Regulation{Furling, Stall, Pitch, Unregulated} {
		if got, ok := ParseRegulation(r.String()); !ok || got != r {
			t.Errorf("%s does not come back", r)
		}
	}
	if _, ok := ParseRegulation("brake"); ok || Regulation(9).String() != "unknown" {
		t.Error("an unknown regulation passed")
	}
}

func TestNoWindNoPower(t *testing.T) {
	c := invented(t)
	for _, w := range []resource.Weibull{{}, {Shape: math.NaN(), Scale: 1}, {Shape: 2, Scale: math.Inf(1)}, {Shape: -1, Scale: 5}} {
		if p := c.MeanPowerWeibull(w); p == p {
			t.Errorf("%v gave %g W", w, p)
		}
	}
	near(t, "a breath", c.MeanPowerWeibull(resource.Weibull{Shape: 2, Scale: 1e-3}), 0, 1e-12)
}

func BenchmarkClosedForm25Points(b *testing.B) {
	c := invented(b)
	w := resource.Weibull{Shape: 1.9, Scale: 5.6}
	for b.Loop() {
		c.MeanPowerWeibull(w)
	}
}

func BenchmarkMillionSpeeds(b *testing.B) {
	c := invented(b)
	speeds := make([]float64, 1_000_000)
	for i := range speeds {
		speeds[i] = 6 * math.Sqrt(-math.Log(1-(float64(i*7919%1_000_003))/1_000_003))
	}
	for b.Loop() {
		c.MeanPowerSpeeds(speeds)
	}
}

func BenchmarkHistogram60Bins(b *testing.B) {
	c := invented(b)
	var h resource.Histogram
	h.Edges = append(h.Edges, 0)
	for i := range 60 {
		h.Edges = append(h.Edges, float64(i+1)/2)
		h.Shares = append(h.Shares, 1.0/60)
	}
	for b.Loop() {
		c.MeanPowerHistogram(h)
	}
}

// BenchmarkQuadrature25Points is the same integral by gonum's Gauss–Legendre rule, 20 points a segment: what the closed
// form saves.
func BenchmarkQuadrature25Points(b *testing.B) {
	c := invented(b)
	w := resource.Weibull{Shape: 1.9, Scale: 5.6}
	f := func(v float64) float64 { return c.Power(v) * density(w, v) }
	for b.Loop() {
		for i := range c.slopes {
			quad.Fixed(f, c.points[i].SpeedMS, c.points[i+1].SpeedMS, 20, quad.Legendre{}, 0)
		}
	}
}

package extreme

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"mastworth/resource"
)

// lisbon are the yearly maxima of wind speed at Lisbon, 1941 to 1970, km/h: data set "lisbon" of the R package evd.
var lisbon = []float64{129, 117, 100, 100, 132, 94, 108, 113, 96, 113, 96, 72, 98, 85, 124, 108, 102, 102, 112, 107, 86, 91, 96,
	89, 90, 89, 89, 84, 107, 111}

// TestLisbon holds the three estimators against numbers worked out elsewhere: moments and Gringorten's positions from their
// textbook formulas, maximum likelihood by the R package evd, fgev(lisbon, shape = 0). Tolerance: the printed digits.
func TestLisbon(t *testing.T) {
	near(t, "mean", stat.Mean(lisbon, nil), 101.3333, 1e-4)
	near(t, "s", stat.StdDev(lisbon, nil), 13.90444, 1e-5)
	for _, c := range []struct {
		e                     Estimator
		mode, scale, v50      float64
		modeTol, scaleTol, v1 float64
	}{
		{Moments, 95.0756, 10.84124, 137.378, 1e-4, 1e-5, 144.947},
		{MaximumLikelihood, 94.70998, 12.49278, 143.456, 1e-3, 1e-3, math.NaN()}, // evd's own search stops at about 1e-5
		{Gringorten, 95.0938, 11.0839, 138.343, 1e-4, 1e-4, math.NaN()},
	} {
		g, err := FitGumbel(lisbon, c.e)
		if err != nil {
			t.Fatal(err)
		}
		near(t, string(c.e)+" mode", g.ModeMS, c.mode, c.modeTol)
		near(t, string(c.e)+" scale", g.ScaleMS, c.scale, c.scaleTol)
		near(t, string(c.e)+" 50 years", g.Return(50), c.v50, 1e-3)
		if c.v1 == c.v1 {
			near(t, string(c.e)+" 100 years", g.Return(100), c.v1, 1e-3)
		}
		near(t, "chance of the 50-year value", g.CDF(g.Return(50)), 0.98, 1e-12)
		if g.N != 30 || g.Estimator != c.e {
			t.Errorf("got %+v", g)
		}
	}
}

func ExampleGumbel_Return() {
	g, _ := FitGumbel(lisbon, Moments) // km/h
	low, high := g.Band(50, 0.9)
	fmt.Printf("%.1f km/h, between %.0f and %.0f\n", g.Return(50), low, high)
	// Output: 137.4 km/h, between 123 and 152
}

// TestReturnSE: the textbook forms of the variance of a quantile in units of scale²/n, from memory: maximum likelihood
// 1.109 + 0.514·y + 0.608·y² (Johnson, Kotz & Balakrishnan), moments s²(1 + 1.1396·K + 1.1·K²) (Kite 1977).
func TestReturnSE(t *testing.T) {
	for _, years := range []float64{2, 10, 50, 1000} {
		y := -math.Log(-math.Log(1 - 1/years))
		ml := Gumbel{ScaleMS: 2, Estimator: MaximumLikelihood, N: 25}
		near(t, "maximum likelihood", ml.ReturnSE(years), 2*math.Sqrt((1.109+0.514*y+0.608*y*y)/25), 1e-3)
		k := (y - 0.57722) * math.Sqrt(6) / math.Pi
		moments := Gumbel{ScaleMS: 2, Estimator: Moments, N: 25}
		near(t, "moments", moments.ReturnSE(years), 2*math.Pi/math.Sqrt(6)*math.Sqrt((1+1.1396*k+1.1*k*k)/25), 1e-3)
	}
	// Apéry's constant ζ(3) = 1.2020569…
	near(t, "skewness", gumbelSkew, 12*math.Sqrt(6)*1.2020569031595942/math.Pow(math.Pi, 3), 1e-12)
}

// TestWeibullParent: the rule of thumb with k 2, A 6 m/s and 23 037 values a year, computed elsewhere.
func TestWeibullParent(t *testing.T) {
	w := resource.Weibull{Shape: 2, Scale: 6}
	near(t, "mode", FromWeibull(w, IndependentPerYear, 1), 19.016, 1e-3)
	near(t, "50 years", FromWeibull(w, IndependentPerYear, 50), 22.415, 1e-3)
	if !math.IsNaN(FromWeibull(w, 0, 50)) || !math.IsNaN(FromWeibull(w, math.NaN(), 50)) {
		t.Error("no values a year must give NaN")
	}
}

// TestBandCovers: of many samples from a known distribution, the 90 % band must cover the true 50-year value in about as many,
// by yearly maxima and by storms, and the standard error be that of the samples.
func TestBandCovers(t *testing.T) {
	const samples, mode, scale = 3000, 20.0, 2.0
	truth := Gumbel{ModeMS: mode, ScaleMS: scale}.Return(50)
	r := rand.New(rand.NewPCG(3, 4))
	gumbel := func(n int) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = mode - scale*math.Log(r.ExpFloat64())
		}
		return out
	}
	storms := func(years, perYear float64) []float64 {
		var out []float64
		for at := r.ExpFloat64(); at < years*perYear; at += r.ExpFloat64() {
			out = append(out, mode-scale*math.Log(perYear)+scale*r.ExpFloat64())
		}
		return out
	}
	for _, c := range []struct {
		name   string
		lowest float64 // share covered; with few years maximum likelihood is known to lean low
		fit    func(e Estimator) (Gumbel, error)
	}{
		{"7 years", 0.80, func(e Estimator) (Gumbel, error) { return FitGumbel(gumbel(7), e) }},
		{"30 years", 0.86, func(e Estimator) (Gumbel, error) { return FitGumbel(gumbel(30), e) }},
		{"80 storms", 0.86, func(e Estimator) (Gumbel, error) { p := storms(8, 10); return FitStorms(p, float64(len(p))/8, e) }},
	} {
		name, fit := c.name, c.fit
		for _, e := range Estimators() {
			covered, errorSum := 0, 0.0
			values := make([]float64, samples)
			for i := range values {
				g, err := fit(e)
				if err != nil {
					t.Fatal(err)
				}
				if low, high := g.Band(50, 0.9); low <= truth && truth <= high {
					covered++
				}
				values[i] = g.Return(50)
				errorSum += g.ReturnSE(50) / samples
			}
			share := float64(covered) / samples
			mean, sd := stat.MeanStdDev(values, nil)
			t.Logf("%s, %s: covered %.3f, bias %.3f, scatter %.3f, stated %.3f", name, e, share, mean-truth, sd, errorSum)
			if share < c.lowest || share > 0.94 {
				t.Errorf("%s, %s: a 90 %% band covers %.1f %%", name, e, 100*share)
			}
			if sd/errorSum < 0.8 || sd/errorSum > 1.25 {
				t.Errorf("%s, %s: scatter %g, stated error %g", name, e, sd, errorSum)
			}
		}
	}
}

// TestGumbelRefusals: what gives no distribution is told apart.
func TestGumbelRefusals(t *testing.T) {
	for _, c := range []struct {
		maxima []float64
		e      Estimator
		want   error
	}{
		{nil, Moments, ErrTooFew}, {[]float64{20}, Moments, ErrTooFew}, {[]float64{20, 20, 20}, MaximumLikelihood, ErrConstant},
		{[]float64{20, math.NaN(), 25}, Gringorten, ErrNotFinite}, {[]float64{20, math.Inf(1)}, Moments, ErrNotFinite},
		{[]float64{20, 25}, "best", ErrEstimator},
	} {
		if _, err := FitGumbel(c.maxima, c.e); !errors.Is(err, c.want) {
			t.Errorf("%v: %v", c.maxima, err)
		}
		if _, err := FitStorms(c.maxima, 10, c.e); !errors.Is(err, c.want) {
			t.Errorf("storms %v: %v", c.maxima, err)
		}
	}
	if _, err := FitStorms(lisbon, 0, Moments); !errors.Is(err, ErrTooFew) {
		t.Errorf("no storms a year: %v", err)
	}
	g := Gumbel{ModeMS: 20, ScaleMS: 2, N: 10, Estimator: Moments}
	for _, v := range []float64{g.Return(1), g.Return(0), g.Return(math.NaN()), g.ReturnSE(1)} {
		if !math.IsNaN(v) {
			t.Errorf("a period of no length gives %g", v)
		}
	}
	for _, level := range []float64{0, 1, math.NaN()} {
		if low, high := g.Band(50, level); !math.IsNaN(low) || !math.IsNaN(high) {
			t.Errorf("level %g: %g to %g", level, low, high)
		}
	}
}

// TestGumbelProperties: order does not count, a change of unit changes the unit, a longer period is a higher speed, and two
// samples of two different values and more are fitted by all.
func TestGumbelProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		maxima := rapid.SliceOfN(rapid.Float64Range(5, 60), 2, 60).Draw(t, "maxima")
		maxima[0] = 61
		unit := rapid.Float64Range(0.3, 4).Draw(t, "unit")
		scaled := make([]float64, len(maxima))
		for i, v := range maxima {
			scaled[i] = unit * v
		}
		slices.Reverse(scaled)
		for _, e := range Estimators() {
			for _, fit := range []func([]float64) (Gumbel, error){
				func(m []float64) (Gumbel, error) { return FitGumbel(m, e) },
				func(m []float64) (Gumbel, error) { return FitStorms(m, 9, e) },
			} {
				a, err := fit(maxima)
				if err != nil {
					t.Fatal(err)
				}
				b, err := fit(scaled)
				if err != nil {
					t.Fatal(err)
				}
				if !(a.ScaleMS > 0) || math.Abs(b.Return(50)-unit*a.Return(50)) > 1e-9*b.Return(50) ||
					math.Abs(b.ReturnSE(50)-unit*a.ReturnSE(50)) > 1e-9*b.ReturnSE(50) {
					t.Fatalf("%s: %+v against %+v", e, a, b)
				}
				if !(a.Return(20) < a.Return(50)) {
					t.Fatalf("%s: 20 years %g, 50 years %g", e, a.Return(20), a.Return(50))
				}
			}
		}
	})
}

func BenchmarkFitThree(b *testing.B) {
	for b.Loop() {
		for _, e := range Estimators() {
			if _, err := FitGumbel(lisbon, e); err != nil {
				b.Fatal(err)
			}
		}
	}
}

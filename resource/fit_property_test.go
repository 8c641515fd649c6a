package resource

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// exact is n quantiles of w at the middles of n equal shares.
func exact(w Weibull, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = w.Quantile((float64(i) + 0.5) / float64(n))
	}
	return out
}

func drawWeibull(t *rapid.T) Weibull {
	return Weibull{Shape: rapid.Float64Range(0.9, 6).Draw(t, "k"), Scale: rapid.Float64Range(0.5, 20).Draw(t, "A")}
}

func TestQuantileRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWeibull(t)
		p := rapid.Float64Range(1e-9, 1-1e-9).Draw(t, "p")
		if got := w.CDF(w.Quantile(p)); math.Abs(got-p) > 1e-13 {
			t.Fatalf("CDF of the quantile of %g is %g", p, got)
		}
		v := rapid.Float64Range(0, 3*w.Scale).Draw(t, "v")
		if w.CDF(v)+w.Survival(v) != 1 && math.Abs(w.CDF(v)+w.Survival(v)-1) > 1e-15 {
			t.Fatal("CDF and survival must add up to 1")
		}
		if w.CDF(v+0.1) < w.CDF(v) {
			t.Fatal("the CDF must rise")
		}
	})
}

// TestFitOfExactQuantiles: every method finds the distribution whose quantiles it is given, as near as n of them tell.
func TestFitOfExactQuantiles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWeibull(t)
		n := rapid.SampledFrom([]int{1000, 6000}).Draw(t, "n")
		speeds := exact(w, n)
		for _, m := range FitMethods() {
			f, err := FitSpeeds(speeds, m)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(f.Shape/w.Shape-1) > 0.012 || math.Abs(f.Scale/w.Scale-1) > 0.006 {
				t.Fatalf("%s: got %+v for %+v", m, f.Weibull, w)
			}
			if f.N != float64(n) || f.CalmShare != 0 || f.Distance > 0.01 || f.Distance < 0.49/float64(n) {
				t.Fatalf("%s: got %+v", m, f)
			}
		}
	})
}

// TestFitScaling: speeds in another unit have the same shape and a scale in that unit, by every method, and so do calms
// and the order of the speeds change nothing.
func TestFitScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		speeds := rapid.SliceOfN(rapid.Float64Range(0.1, 30), 40, 400).Draw(t, "speeds")
		factor := rapid.SampledFrom([]float64{0.44704, 0.514444, 1 / 3.6, 2, 1000}).Draw(t, "factor")
		calms := rapid.IntRange(0, 50).Draw(t, "calms")
		other := make([]float64, calms, calms+len(speeds))
		for i := range speeds {
			other = append(other, speeds[len(speeds)-1-i]*factor)
		}
		for _, m := range FitMethods() {
			a, err1 := FitSpeeds(speeds, m)
			b, err2 := FitSpeeds(other, m)
			if (err1 == nil) != (err2 == nil) {
				t.Fatalf("%s: %v and %v", m, err1, err2)
			}
			if err1 != nil {
				continue
			}
			want := a.Scaled(factor)
			if math.Abs(b.Shape/want.Shape-1) > 1e-8 || math.Abs(b.Scale/want.Scale-1) > 1e-8 || math.Abs(a.Distance-b.Distance) > 1e-8 {
				t.Fatalf("%s: got %+v, want %+v", m, b, want)
			}
			if b.CalmShare != float64(calms)/float64(len(other)) {
				t.Fatalf("%s: calm share %g", m, b.CalmShare)
			}
			if m == MaximumLikelihood && (math.Abs(b.ShapeSE/a.ShapeSE-1) > 1e-6 || math.Abs(b.ScaleSE/(factor*a.ScaleSE)-1) > 1e-6) {
				t.Fatalf("errors %g, %g and %g, %g", a.ShapeSE, a.ScaleSE, b.ShapeSE, b.ScaleSE)
			}
		}
	})
}

// TestHistogramFit: from narrow bins as from the speeds themselves; scaling scales A and leaves k; calms known apart leave
// the fit alone.
func TestHistogramFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := Weibull{Shape: rapid.Float64Range(1.3, 4).Draw(t, "k"), Scale: rapid.Float64Range(3, 15).Draw(t, "A")}
		speeds := exact(w, 3000)
		h := NewHistogram(speeds, 0.25)
		calm := NewHistogram(append(make([]float64, 1000), speeds...), 0.25)
		for _, m := range FitMethods() {
			raw, err := FitSpeeds(speeds, m)
			if err != nil {
				t.Fatal(err)
			}
			binned, err := FitHistogram(h, m)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(binned.Shape/raw.Shape-1) > 0.02 || math.Abs(binned.Scale/raw.Scale-1) > 0.02 {
				t.Fatalf("%s: %+v and %+v", m, binned.Weibull, raw.Weibull)
			}
			if m == MaximumLikelihood && (binned.N != 3000 || math.Abs(binned.ShapeSE/raw.ShapeSE-1) > 0.05) {
				t.Fatalf("%s: %+v and %+v", m, binned, raw)
			}
			scaled, err := FitHistogram(h.Scaled(1.7), m)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(scaled.Shape/binned.Shape-1) > 1e-9 || math.Abs(scaled.Scale/(1.7*binned.Scale)-1) > 1e-9 {
				t.Fatalf("%s: scaled %+v and %+v", m, scaled.Weibull, binned.Weibull)
			}
			calms, err := FitHistogram(calm, m)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(calms.Shape/binned.Shape-1) > 1e-9 || math.Abs(calms.CalmShare-0.25) > 1e-12 || calms.N != 3000 {
				t.Fatalf("%s: with calms %+v and %+v", m, calms, binned)
			}
		}
	})
}

// TestMomentsAreKept: the methods keep what they promise to keep.
func TestMomentsAreKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		speeds := rapid.SliceOfN(rapid.Float64Range(0.5, 25), 40, 200).Draw(t, "speeds")
		s, err := newSample(speeds)
		if err != nil {
			t.Skip()
		}
		mean, sd, cube := s.moments()
		f, err := FitSpeeds(speeds, MeanAndCube)
		if err != nil {
			t.Skip()
		}
		if math.Abs(f.Mean()/mean-1) > 1e-10 || math.Abs(f.MeanCube()/cube-1) > 1e-10 {
			t.Fatalf("mean %g and cube %g, want %g and %g", f.Mean(), f.MeanCube(), mean, cube)
		}
		if f, err = FitSpeeds(speeds, Moments); err != nil {
			t.Skip()
		}
		if math.Abs(f.Mean()/mean-1) > 1e-10 || math.Abs(f.SD()/sd-1) > 1e-8 {
			t.Fatalf("mean %g and sd %g, want %g and %g", f.Mean(), f.SD(), mean, sd)
		}
	})
}

// FuzzFitSpeeds: whatever comes, a fit is one or an error says why; nothing panics.
func FuzzFitSpeeds(f *testing.F) {
	f.Add(3.0, 4.0, 5.0, 40)
	f.Add(0.0, 1e-300, 1e300, 40)
	f.Add(math.NaN(), -1.0, math.Inf(1), 3)
	f.Add(5.0, 5.0000001, 5.0000002, 5000)
	f.Add(1e-320, 2e-320, 3e-320, 5000)
	f.Fuzz(func(t *testing.T, a, b, c float64, n int) {
		n = min(max(n, 0), 3000)
		var speeds []float64
		for range n {
			speeds = append(speeds, a, b, c)
		}
		for _, m := range FitMethods() {
			fit, err := FitSpeeds(speeds, m)
			if err == nil && (!fit.valid() || !(fit.Distance >= 0 && fit.Distance <= 1)) {
				t.Fatalf("%s of %g, %g, %g: %+v", m, a, b, c, fit)
			}
		}
	})
}

package resource

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestHistogramByHand(t *testing.T) {
	h := NewHistogram([]float64{0, 0.1, 0.5, 0.9, 1.0, 2.6, math.NaN(), -1, math.Inf(1), 0}, 0.5)
	want := Histogram{
		Edges:  []float64{0, 0.5, 1, 1.5, 2, 2.5, 3},
		Shares: []float64{1. / 7, 2. / 7, 1. / 7, 0, 0, 1. / 7},
		Means:  []float64{0.1, 0.7, 1, 1.75, 2.25, 2.6},
		Calm:   2. / 7, Count: 7,
	}
	if !slices.Equal(h.Edges, want.Edges) || !slices.Equal(h.Shares, want.Shares) || !slices.Equal(h.Means, want.Means) ||
		h.Calm != want.Calm || h.Count != want.Count {
		t.Errorf("got %+v, want %+v", h, want)
	}
	near(t, "mean", h.Mean(), (0.1+0.5+0.9+1+2.6)/7, 1e-15)
	if none := NewHistogram([]float64{math.NaN()}, 1); none.Count != 0 || !math.IsNaN(none.Mean()) || !math.IsNaN(none.MeanCube()) ||
		!errors.Is(none.Validate(), ErrHistogram) {
		t.Errorf("got %+v", none)
	}
	if calm := NewHistogram([]float64{0, 0}, 1); calm.Calm != 1 || calm.Validate() != nil || calm.Mean() != 0 {
		t.Errorf("got %+v, %v", calm, calm.Validate())
	}
}

// TestHistogramAbsurd: one absurd speed does not make a million bins.
func TestHistogramAbsurd(t *testing.T) {
	h := NewHistogram([]float64{3, 4, 1e9, 250}, 0.5)
	if err := h.Validate(); err != nil {
		t.Fatal(err)
	}
	if n := len(h.Shares); n != 401 || h.Shares[400] != 0.5 || h.Means[400] != (1e9+250)/2 {
		t.Errorf("%d bins, the last with %g", n, h.Shares[n-1])
	}
}

// TestHistogramOfSource counts data set B's days into the bins of its published table.
func TestHistogramOfSource(t *testing.T) {
	for _, c := range []struct {
		file string
		col  int
	}{{"freq_DUB_1ms_bins.csv", 3}, {"freq_BEL_1ms_bins.csv", 8}} {
		want := irishBins(t, c.file)
		days := column(table(t, "data/irish_wind/irish_wind_daily_knots_1961_1978_6stations.csv", 1), c.col)
		for i := range days {
			days[i] *= knot
		}
		got := NewHistogram(days, 1)
		if got.Count != want.Count || !slices.Equal(got.Edges, want.Edges) {
			t.Fatalf("%s: %d days in %v, want %d in %v", c.file, got.Count, got.Edges, want.Count, want.Edges)
		}
		got.Shares[0] += got.Calm // the table knows no calms
		for i := range want.Shares {
			near(t, c.file, got.Shares[i], want.Shares[i], 1e-12)
		}
	}
}

// TestMeanCubeCorrections: an exact Weibull distribution, binned. Both ways of taking the cube come near the closed form.
func TestMeanCubeCorrections(t *testing.T) {
	w := Weibull{Shape: 2, Scale: 6}
	middles := Histogram{Edges: []float64{0}}
	var means []float64
	for v := 1.0; v <= 40; v++ {
		share := w.CDF(v) - w.CDF(v-1)
		middles.Edges, middles.Shares = append(middles.Edges, v), append(middles.Shares, share)
		mean := v - 0.5
		if share > 1e-14 {
			mean = min(max(w.PartialMoment1(v-1, v)/share, v-1), v)
		}
		means = append(means, mean)
	}
	withMeans := middles
	withMeans.Means = means
	near(t, "mean by means", withMeans.Mean(), w.Mean(), 1e-9)
	near(t, "cube by means", withMeans.MeanCube(), w.MeanCube(), -1e-3)
	near(t, "mean by middles", middles.Mean(), w.Mean(), -2e-3)
	near(t, "cube by middles", middles.MeanCube(), w.MeanCube(), -5e-3)
}

func TestHistogramProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		speeds := rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(0, 40), rapid.Map(rapid.IntRange(0, 400), func(i int) float64 {
			return float64(i) / 10
		})), 1, 300).Draw(t, "speeds")
		width := rapid.SampledFrom([]float64{0.1, 0.3, 0.5, 1, 2}).Draw(t, "width")
		h := NewHistogram(speeds, width)
		if err := h.Validate(); err != nil {
			t.Fatal(err)
		}
		for i := range h.Shares { // counted by brute force against the edges as written
			n := 0
			for _, v := range speeds {
				if v != 0 && v >= h.Edges[i] && v < h.Edges[i+1] {
					n++
				}
			}
			if h.Shares[i] != float64(n)/float64(len(speeds)) {
				t.Fatalf("bin %d holds %g, want %d of %d", i, h.Shares[i], n, len(speeds))
			}
		}
		mean := MeanOf(speeds)
		if math.Abs(h.Mean()-mean) > 1e-12*mean {
			t.Fatalf("mean %g, want %g", h.Mean(), mean)
		}
		s := h.Scaled(1.3)
		if math.Abs(s.Mean()-1.3*mean) > 1e-12*mean || math.Abs(s.MeanCube()-1.3*1.3*1.3*h.MeanCube()) > 1e-9*s.MeanCube() {
			t.Fatalf("scaled mean %g and cube %g", s.Mean(), s.MeanCube())
		}
		if err := s.Validate(); err != nil {
			t.Fatal(err)
		}
	})
}

func TestHistogramPanics(t *testing.T) {
	for _, width := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("a width of %g must panic", width)
				}
			}()
			NewHistogram(nil, width)
		}()
	}
}

func BenchmarkHistogramMillion(b *testing.B) {
	speeds, _ := million()
	for b.Loop() {
		NewHistogram(speeds, 0.5)
	}
}

package resource

import (
	"math"
	"math/rand/v2"
	"testing"
)

// million is a million different speeds (k 2, A 6), and the same as a logger would store them, to 0.1 m/s.
func million() (distinct, quantised []float64) {
	r := rand.New(rand.NewPCG(1, 2))
	w := Weibull{Shape: 2, Scale: 6}
	distinct, quantised = make([]float64, 1e6), make([]float64, 1e6)
	for i := range distinct {
		distinct[i] = w.Quantile(r.Float64())
		quantised[i] = math.Round(distinct[i]*10) / 10
	}
	return distinct, quantised
}

func BenchmarkFitMillionDistinct(b *testing.B) {
	speeds, _ := million()
	for b.Loop() {
		if _, err := FitSpeeds(speeds, MaximumLikelihood); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFitMillionQuantised(b *testing.B) {
	_, speeds := million()
	for b.Loop() {
		if _, err := FitSpeeds(speeds, MaximumLikelihood); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkFitYear is a year of hourly speeds.
func BenchmarkFitYear(b *testing.B) {
	speeds, _ := million()
	for b.Loop() {
		if _, err := FitSpeeds(speeds[:8760], MaximumLikelihood); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFitHistogram(b *testing.B) {
	speeds, _ := million()
	h := NewHistogram(speeds, 1)
	for b.Loop() {
		if _, err := FitHistogram(h, MaximumLikelihood); err != nil {
			b.Fatal(err)
		}
	}
}

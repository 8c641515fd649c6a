package ratio

import (
	"math"
	"testing"
)

func TestExponentOfPowers(t *testing.T) {
	sizes := []float64{10, 100, 1000}
	for _, want := range []float64{0, 0.5, 1, 2} {
		times := make([]float64, len(sizes))
		for i, s := range sizes {
			times[i] = 3e-6 * math.Pow(s, want)
		}
		if got := Exponent(sizes, times); math.Abs(got-want) > 1e-12 {
			t.Errorf("times that grow by the power %g are said to grow by %g", want, got)
		}
	}
}

func TestMiddle(t *testing.T) {
	for _, c := range []struct {
		of   []float64
		want float64
	}{{[]float64{3}, 3}, {[]float64{4, 1}, 2.5}, {[]float64{9, 1, 2}, 2}, {[]float64{8, 1, 2, 4}, 3}} {
		if got := middle(c.of); got != c.want {
			t.Errorf("the middle of %v is said to be %g", c.of, got)
		}
	}
}

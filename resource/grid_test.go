package resource

import (
	"math"
	"testing"
)

// Whole numbers of a unit, converted and rounded as files have them, are found; hundredths of a metre a second are no grid.
func TestGridOf(t *testing.T) {
	rounded := func(v float64, decimals int) float64 {
		ten := math.Pow10(decimals)
		return math.Round(v*ten) / ten
	}
	for _, pitch := range grids {
		for decimals := 1; decimals <= 2; decimals++ {
			c := Channel{Quantity: Speed}
			for i := range 2000 {
				c.Values = append(c.Values, rounded(float64(i%23)*pitch, decimals))
			}
			if got := GridOf(&c); got != pitch {
				t.Errorf("multiples of %g with %d decimals: %g", pitch, decimals, got)
			}
		}
	}
	for step, n := range map[float64]int{0.1: 200, 0.25: 80, 0.01: 1000} {
		want := 0.0
		if step == finestGrid {
			want = step
		}
		c := Channel{Quantity: Speed}
		for i := range 2000 {
			c.Values = append(c.Values, float64(i%n)*step)
		}
		if got := GridOf(&c); got != want {
			t.Errorf("steps of %g m/s: %g", step, got)
		}
	}
	if got := GridOf(&Channel{Quantity: Speed, Values: []float64{1, 2, 3}}); got != 0 {
		t.Error("three values are no grid:", got)
	}
}

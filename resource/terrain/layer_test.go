package terrain

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestInternalLayer replays the internal layer's heights over roughness 0.5 m by Panofsky and Miyake's form and by Wood
// 1982 (formulas from memory, the heights computed independently to the digits printed).
func TestInternalLayer(t *testing.T) {
	for x, want := range map[float64][2]float64{100: {9.70, 29.31}, 500: {35.17, 103.79}, 1000: {61.23, 183.48}} {
		near(t, "Wood", InternalLayerWood(0.5, x), want[0], 0.005)
		near(t, "Panofsky and Miyake", InternalLayer(0.5, x), want[1], 0.005)
	}
}

// TestInternalLayerSolves puts the height back into its equation, and checks the ends.
func TestInternalLayerSolves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z0 := math.Pow(10, rapid.Float64Range(-5, 0.7).Draw(t, "z0"))
		x := math.Pow(10, rapid.Float64Range(-9, 9).Draw(t, "x"))
		y := InternalLayer(z0, x) / z0
		near(t, "residual", (y*(math.Log(y)-1)-0.9*x/z0)/math.Max(1, 0.9*x/z0), 0, 1e-13)
	})
	near(t, "at the change", InternalLayer(0.5, 0), 0.5*math.E, 1e-15)
	for _, v := range []float64{
		InternalLayer(0, 1), InternalLayer(-1, 1), InternalLayer(nan, 1), InternalLayer(1, -1), InternalLayer(1, nan), InternalLayer(1, math.Inf(1)),
		InternalLayerWood(0, 1), InternalLayerWood(1, -1), InternalLayerWood(nan, 1), InternalLayerWood(math.Inf(1), 1),
	} {
		if !math.IsNaN(v) {
			t.Errorf("got %g, want NaN", v)
		}
	}
}

// TestFetchRule: the fully adjusted layer grows by about one in a hundred of the fetch, the rule by which masts over
// crops are placed (from memory; within a factor of 2).
func TestFetchRule(t *testing.T) {
	for _, x := range []float64{200, 500, 1000, 2000} {
		if ratio := x / (equilibriumShare * InternalLayer(0.03, x)); ratio < 50 || ratio > 200 {
			t.Errorf("at %g m: fetch over height %g", x, ratio)
		}
	}
}

func BenchmarkInternalLayer(b *testing.B) {
	for b.Loop() {
		InternalLayer(0.5, 300)
	}
}

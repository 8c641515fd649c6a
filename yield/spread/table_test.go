package spread

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Per cent of energy for one per cent more wind, the 20 kW reference curve in Rayleigh distributions of mean 4 to 8 m/s: 2.83, 2.23, 1.80,
// 1.46, 1.14 (reference section 9, computed apart, as a step of one per cent). The slope itself is that of an ever smaller step.
func TestSensitivityOfAReferenceCurve(t *testing.T) {
	c := referenceCurve(t, "curve_DW20.csv")
	for mean, want := range map[float64]float64{4: 2.83, 5: 2.23, 6: 1.80, 7: 1.46, 8: 1.14} {
		f := yearly(c, mean)
		e, err := Tabulate(f, Multipliers(23))
		if err != nil {
			t.Fatal(err)
		}
		if got := 100 * (e.At(1.01)/e.At(1) - 1); math.Abs(got-want) > 0.0051 {
			t.Errorf("at %g m/s: %.4f, want %.2f", mean, got, want)
		}
		near(t, "slope", e.Sensitivity(1), math.Log(f(1.0001)/f(0.9999))/math.Log(1.0001/0.9999), 2e-4)
	}
}

// Between nodes the table must give the real calculation's energy to 1e-4, from 23 nodes and at all winds.
func TestTableBetweenNodes(t *testing.T) {
	c := inventedCurve()
	for _, n := range []int{23, 34, 45} {
		for _, mean := range []float64{2.5, 3, 4, 5, 6, 8, 10} {
			f := yearly(c, mean)
			e, err := Tabulate(f, Multipliers(n))
			if err != nil {
				t.Fatal(err)
			}
			worst, where := 0.0, 0.0
			for m := 0.5; m <= 1.6; m += 0.0017 {
				if off := math.Abs(e.At(m)/f(m) - 1); off > worst {
					worst, where = off, m
				}
			}
			if worst > 1e-4 {
				t.Errorf("%d nodes, %g m/s: off by %.2g at a factor of %.3f", n, mean, worst, where)
			}
		}
	}
}

// Power laws are exact, below the lowest node as well.
func TestPowerLawsAreExact(t *testing.T) {
	for _, p := range []float64{0, 1, 2.3, 3, 6} {
		f := func(m float64) float64 { return 700 * math.Pow(m, p) }
		e := tableOf(t, f)
		for _, m := range []float64{0.1, 0.3, 0.5, 0.77, 1, 1.234, 1.6} {
			near(t, "power law", e.At(m), f(m), 2e-8)
		}
		if got := e.Sensitivity(1.1); math.Abs(got-p) > 1e-9 {
			t.Errorf("sensitivity %g, want %g", got, p)
		}
	}
}

// The table rises where its nodes rise, whatever they are, and stays between neighbours there.
func TestTableIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(5, 40).Draw(t, "n")
		x, y := Multipliers(n), make([]float64, n)
		total := 0.0
		for i := range y {
			if rapid.Bool().Draw(t, "step") {
				total += rapid.Float64Range(0, 500).Draw(t, "rise")
			}
			y[i] = total
		}
		e, err := NewEnergyTable(x, y)
		if err != nil {
			t.Fatal(err)
		}
		before := 0.0
		for m := 0.01; m < 1.8; m += 0.003 {
			v := e.At(m)
			if v < before-1e-9*total || v > total*(1+1e-9) {
				t.Fatalf("at %g the energy %g follows %g; nodes %v", m, v, before, y)
			}
			before = v
		}
	})
}

// A machine that turns away from strong wind makes less beyond a top; the table finds the top between the nodes.
func TestTableWithATop(t *testing.T) {
	f := func(m float64) float64 { return 1000 * math.Exp(-8*(m-1.213)*(m-1.213)) }
	e, err := Tabulate(f, Multipliers(34))
	if err != nil {
		t.Fatal(err)
	}
	for m := 0.5; m <= 1.6; m += 0.0031 {
		near(t, "around the top", e.At(m), f(m), 2e-5)
	}
}

func TestTableEdges(t *testing.T) {
	e, err := NewEnergyTable([]float64{0.5, 0.8, 1, 1.2, 1.5}, []float64{0, 0, 10, 20, 25})
	if err != nil {
		t.Fatal(err)
	}
	for m, want := range map[float64]float64{-1: 0, 0: 0, 0.4: 0, 0.5: 0, 0.7: 0, 1.5: 25, 3: 25} {
		near(t, "edge", e.At(m), want, 1e-12)
	}
	if !math.IsNaN(e.At(math.NaN())) || !math.IsNaN(e.Sensitivity(2)) || !math.IsNaN(e.Sensitivity(0.6)) {
		t.Error("what is not known must be NaN")
	}
	if lo, hi := e.Range(); lo != 0.5 || hi != 1.5 {
		t.Errorf("range %g to %g", lo, hi)
	}
	for name, c := range map[string]struct{ x, y []float64 }{
		"too few":      {[]float64{0.5, 1, 1.5}, []float64{1, 2, 3}},
		"lengths":      {[]float64{0.5, 0.8, 1, 1.2, 1.5}, []float64{1, 2, 3}},
		"not rising":   {[]float64{0.5, 0.8, 0.8, 1.2, 1.5}, []float64{1, 2, 3, 4, 5}},
		"at no wind":   {[]float64{0, 0.8, 1, 1.2, 1.5}, []float64{1, 2, 3, 4, 5}},
		"NaN factor":   {[]float64{0.5, math.NaN(), 1, 1.2, 1.5}, []float64{1, 2, 3, 4, 5}},
		"negative":     {[]float64{0.5, 0.8, 1, 1.2, 1.5}, []float64{1, -2, 3, 4, 5}},
		"NaN energy":   {[]float64{0.5, 0.8, 1, 1.2, 1.5}, []float64{1, math.NaN(), 3, 4, 5}},
		"endless":      {[]float64{0.5, 0.8, 1, 1.2, 1.5}, []float64{1, 2, 3, 4, math.Inf(1)}},
		"1 is outside": {[]float64{1.1, 1.2, 1.3, 1.4, 1.5}, []float64{1, 2, 3, 4, 5}},
	} {
		var f *Fault
		if _, err := NewEnergyTable(c.x, c.y); !errors.As(err, &f) || f.Field != "energy" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

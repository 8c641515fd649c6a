package resource

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func must(t testing.TB) func(v float64, err error) float64 {
	return func(v float64, err error) float64 {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// TestLogFactor replays the reference's log law values, computed to 1e-5.
func TestLogFactor(t *testing.T) {
	for z0, want := range map[float64]float64{0.03: 1.18912, 0.10: 1.23856, 0.5: 1.36673, 1: 1.47712} {
		near(t, "10 to 30 m", must(t)(LogFactor(Ground{RoughnessM: z0}, 10, 30)), want, 6e-6)
	}
	near(t, "above a wood", must(t)(LogFactor(Ground{RoughnessM: 1, DisplacementM: 7}, 15, 24)), 1.36249, 6e-6)
}

// TestExposure replays the reference's exposure factors to 10 m over grass (computed from the formula of WMO-No. 8, that
// from memory) and its chain from an airport to a suburb.
func TestExposure(t *testing.T) {
	grass := Ground{RoughnessM: 0.03}
	for z0, want := range map[float64]float64{0.0002: 0.89083, 0.03: 1, 0.10: 1.06163, 0.25: 1.13549, 0.5: 1.22138, 1: 1.35899} {
		near(t, "to 10 m over grass", must(t)(ExposureFactor(Ground{RoughnessM: z0}, grass, 10, 10)), want, 6e-6)
	}
	near(t, "airport to 60 m", 5*must(t)(LogFactor(grass, 10, BlendingHeightM)), 6.54219, 6e-6)
	near(t, "suburb", 5*must(t)(ExposureFactor(grass, Ground{RoughnessM: 0.5}, 10, 20)), 5.04092, 6e-6)
	near(t, "suburb, displaced", 5*must(t)(ExposureFactor(grass, Ground{RoughnessM: 0.5, DisplacementM: 3.5}, 10, 20)), 4.83879, 6e-6)
}

// TestPowerFactor: 5 m/s at 10 m with exponent 0.25 are 7.07 m/s at 40 m (worked example of an engineering handbook
// site, printed 7.1); the 1/7 law from 10 to 30 m gives 1.16993 (computed).
func TestPowerFactor(t *testing.T) {
	near(t, "example", 5*must(t)(PowerFactor(0.25, 10, 40)), 7.07, 0.005)
	near(t, "1/7", must(t)(PowerFactor(1.0/7, 10, 30)), 1.16993, 6e-6)
}

// TestFromTwoSpeeds: 4.0 m/s at 10 m and 4.9 m/s at 20 m (reference, computed to 1e-5).
func TestFromTwoSpeeds(t *testing.T) {
	near(t, "exponent", ShearExponent(4, 10, 4.9, 20), 0.292782, 6e-7)
	near(t, "roughness", RoughnessFrom(4, 10, 4.9, 20), 0.459292, 6e-7)
	near(t, "roughness, swapped", RoughnessFrom(4.9, 20, 4, 10), 0.459292, 6e-7)
	for _, v := range []float64{
		ShearExponent(0, 10, 4, 20), ShearExponent(4, 10, 5, 10), ShearExponent(math.NaN(), 10, 5, 20), ShearExponent(4, -1, 5, 20),
		RoughnessFrom(5, 10, 4, 20), RoughnessFrom(5, 10, 5, 20), RoughnessFrom(4, 10, 5, 10), RoughnessFrom(4, 0, 5, 10),
	} {
		if !math.IsNaN(v) {
			t.Errorf("got %g, want NaN", v)
		}
	}
}

// TestCounihan: reference values, four digits; left of the parabola's minimum at 0.001 m it stays there.
func TestCounihan(t *testing.T) {
	for z0, want := range map[float64]float64{0.03: 0.1309, 0.1: 0.1600, 0.25: 0.1880, 0.5: 0.2126, 1: 0.2400, 0.005: 0.1038} {
		near(t, "exponent", CounihanExponent(z0), want, 6e-5)
	}
	near(t, "sea", CounihanExponent(0.0002), 0.096, 1e-12)
	for _, z0 := range []float64{0, -1, math.NaN()} {
		if !math.IsNaN(CounihanExponent(z0)) {
			t.Errorf("exponent for %g is %g", z0, CounihanExponent(z0))
		}
	}
}

// TestCoverClasses holds the classes against reference/roughness_davenport_wieringa.csv.
func TestCoverClasses(t *testing.T) {
	rows := table(t, "reference/roughness_davenport_wieringa.csv", 1)
	classes := CoverClasses()
	if len(rows) != len(classes) {
		t.Fatalf("%d classes, want %d", len(classes), len(rows))
	}
	for i, row := range rows {
		_, words, _ := strings.Cut(row[0], " ")
		if classes[i].Words != words {
			t.Errorf("class %d is %q, want %q", i+1, classes[i].Words, words)
		}
		near(t, words, classes[i].RoughnessM, number(row[1]), 0)
		c, ok := CoverClass(" " + strings.ToUpper(strings.ReplaceAll(words, " ", "-")))
		if !ok || c != classes[i] || c.Ground().RoughnessM != c.RoughnessM || c.Landscape == "" {
			t.Errorf("%q gives %+v", words, c)
		}
	}
	if _, ok := CoverClass("moor"); ok {
		t.Error("moor is no class")
	}
	if _, ok := CoverClass(""); ok {
		t.Error("nothing is no class")
	}
	classes[0].RoughnessM = 9
	near(t, "the list is a copy", CoverClasses()[0].RoughnessM, 0.0002, 0)
}

func TestProfileRefusals(t *testing.T) {
	wood := Ground{RoughnessM: 1, DisplacementM: 12}
	for _, c := range []struct {
		name string
		err  error
		is   error
		says string
	}{
		{"hub in the canopy", second(LogFactor(wood, 20, 13)), ErrInsideCanopy, "a height of 13 m is not above displacement height 12 m plus roughness length 1 m"},
		{"mast in the canopy", second(LogFactor(wood, 10, 30)), ErrInsideCanopy, "10 m"},
		{"at the site", second(ExposureFactor(Ground{RoughnessM: 0.03}, wood, 10, 8)), ErrInsideCanopy, "at the site"},
		{"where measured", second(ExposureFactor(wood, Ground{RoughnessM: 0.03}, 10, 8)), ErrInsideCanopy, "where the wind was measured"},
		{"above the blending height", second(ExposureFactor(Ground{RoughnessM: 0.03}, Ground{1, 70}, 10, 90)), ErrInsideCanopy, "60 m"},
		{"no roughness", second(LogFactor(Ground{}, 10, 20)), ErrGround, "roughness length is 0 m"},
		{"negative displacement", second(LogFactor(Ground{0.1, -1}, 10, 20)), ErrGround, "displacement height is -1 m"},
		{"NaN roughness", second(LogFactor(Ground{math.NaN(), 0}, 10, 20)), ErrGround, "NaN"},
		{"NaN height", second(LogFactor(Ground{0.1, 0}, math.NaN(), 20)), ErrHeight, "NaN"},
		{"power at the ground", second(PowerFactor(0.2, 0, 20)), ErrInsideCanopy, "0 m"},
		{"power below", second(PowerFactor(0.2, 10, -2)), ErrInsideCanopy, "-2 m"},
		{"power of NaN", second(PowerFactor(math.NaN(), 10, 20)), ErrHeight, "NaN"},
		{"power at infinity", second(PowerFactor(0.2, 10, math.Inf(1))), ErrHeight, "Inf"},
	} {
		if !errors.Is(c.err, c.is) || !strings.Contains(c.err.Error(), c.says) {
			t.Errorf("%s: %v; want %v saying %q", c.name, c.err, c.is, c.says)
		}
	}
}

func second(_ float64, err error) error { return err }

func TestProfileProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := Ground{RoughnessM: rapid.Float64Range(1e-4, 2).Draw(t, "z0"), DisplacementM: rapid.Float64Range(0, 15).Draw(t, "d")}
		height := rapid.Float64Range(24, 120)
		a, b, c := height.Draw(t, "a"), height.Draw(t, "b"), height.Draw(t, "c")
		factor := func(g Ground, from, to float64) float64 {
			f, err := LogFactor(g, from, to)
			if err != nil {
				t.Fatal(err)
			}
			return f
		}
		close := func(name string, got, want float64) {
			if math.Abs(got-want) > 1e-12*math.Abs(want) {
				t.Fatalf("%s: %.15g and %.15g", name, got, want)
			}
		}
		close("two steps are one", factor(g, a, b)*factor(g, b, c), factor(g, a, c))
		same, err := ExposureFactor(g, g, a, b)
		if err != nil {
			t.Fatal(err)
		}
		close("equal grounds", same, factor(g, a, b))
		other := g
		other.RoughnessM *= 3
		there, err1 := ExposureFactor(g, other, a, b)
		back, err2 := ExposureFactor(other, g, b, a)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		close("there and back", there*back, 1)
		if b > a && factor(g, a, b) < 1 {
			t.Fatal("the wind must not fall with height")
		}
	})
}

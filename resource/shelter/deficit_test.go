package shelter

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestDeficitGrid holds the formula to a table of it that was computed elsewhere (shelter_perera_values.csv; h 10 m,
// z0 0.03 m, porosities 0, 0.33 and 0.5, 5 to 50 heights away, 0.5 to 3 heights up; five digits printed). The table's
// values by the logarithmic law are not held below 1.
func TestDeficitGrid(t *testing.T) {
	rows := grid(t, "reference/shelter_perera_values.csv")
	if len(rows) != 105 {
		t.Fatalf("%d rows, want 105", len(rows))
	}
	for _, r := range rows {
		h, z0, porosity, x, z := r[0], r[1], r[2], r[3]*r[0], r[4]*r[0]
		near(t, "eta", newFence(h, x).wake(z, math.Log(z), math.Log(z0)).eta, r[5], 0.5001e-5)
		got := Deficit(h, porosity, x, z, z0)
		near(t, "deficit", got, math.Min(1, r[7]), 0.5001e-5)
		if got < 1 { // from the speed at z back to that at h
			near(t, "deficit of U(h)", got*math.Log(z/z0)/math.Log(h/z0), r[6], 1.2e-5)
		}
	}
}

// TestWakeShape: η·exp(−0.67·η^1.5) peaks at η = 0.9967 with 0.5117, so that a solid fence at 10 heights takes half of
// the wind at most (9.75/10·0.5117 = 0.499). The steepest fall by differences.
func TestWakeShape(t *testing.T) {
	best, at := 0.0, 0.0
	fall, steep := 0.0, 0.0
	for eta := 0.0001; eta < 5; eta += 0.0001 {
		if f := wakeShape(eta); f > best {
			best, at = f, eta
		}
		if d := wakeShape(eta) - wakeShape(eta+0.0001); d > fall {
			fall, steep = d, eta+0.00005
		}
	}
	near(t, "peak", best, 0.5117, 0.5e-4)
	near(t, "at", at, 0.9967, 1.5e-4)
	near(t, "peak used", wakePeak, best, 1e-8)
	near(t, "steepest", steepestEta, steep, 2e-4)
	near(t, "at 10 heights", wakeStrength/10*wakePeak, 0.499, 0.5e-3)
}

// TestDeficitDomain: outside of its domain the formula says that it does not know.
func TestDeficitDomain(t *testing.T) {
	nan := math.NaN()
	for name, d := range map[string]float64{
		"in the eddy":      Deficit(10, 0, 49.9, 10, 0.03),
		"porosity 1.2":     Deficit(10, 1.2, 100, 10, 0.03),
		"porosity -0.1":    Deficit(10, -0.1, 100, 10, 0.03),
		"porosity NaN":     Deficit(10, nan, 100, 10, 0.03),
		"no roughness":     Deficit(10, 0, 100, 10, 0),
		"roughness NaN":    Deficit(10, 0, 100, 10, nan),
		"fence in the mat": Deficit(0.4, 0, 100, 10, 0.5),
		"height in it":     Deficit(10, 0, 100, 0.5, 0.5),
		"height NaN":       Deficit(nan, 0, 100, 10, 0.5),
		"distance NaN":     Deficit(10, 0, nan, 10, 0.5),
		"turbulence":       AddedTurbulence(10, 0, 49.9, 10, 0.03),
	} {
		if !math.IsNaN(d) {
			t.Errorf("%s: %g, want NaN", name, d)
		}
	}
	near(t, "at the eddy's end", Deficit(10, 0, 50, 10, 0.03), 0.67770, 0.5e-5) // shelter_perera_values.csv
	near(t, "nothing there", Deficit(10, 1, 50, 10, 0.03), 0, 0)
}

// TestDeficitLaws: between 0 and 1; a more porous fence takes less, a further one less, and far up there is nothing.
func TestDeficitLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z0 := rapid.Float64Range(0.0002, 1).Draw(t, "z0")
		h := rapid.Float64Range(2, 40).Draw(t, "h")
		z := rapid.Float64Range(1.5, 60).Draw(t, "z")
		p := rapid.Float64Range(0, 1).Draw(t, "porosity")
		x := h * rapid.Float64Range(5, 60).Draw(t, "x/h")
		d := Deficit(h, p, x, z, z0)
		if !(d >= 0 && d <= 1) {
			t.Fatalf("deficit %g", d)
		}
		if q := p + (1-p)*rapid.Float64Range(0, 1).Draw(t, "more"); Deficit(h, q, x, z, z0) > d {
			t.Fatal("a more porous fence takes more")
		}
		// Low in the wake (η below 1) a fence further off takes less. Above, the wake first has to spread up there.
		if further := x * rapid.Float64Range(1, 10).Draw(t, "further"); newFence(h, x).wake(z, math.Log(z), math.Log(z0)).eta <= 1 && Deficit(h, p, further, z, z0) > d {
			t.Fatal("a fence further off takes more")
		}
		if up := Deficit(h, p, x, 40*h, z0); up > 1e-3 {
			t.Fatalf("forty heights up %g", up)
		}
		// The law knows lengths only by their ratios.
		k := rapid.Float64Range(0.3, 3.3).Draw(t, "unit")
		if e := Deficit(k*h, p, k*x*(1+1e-12), k*z, k*z0); math.Abs(e-d) > 1e-9 {
			t.Fatalf("in other units %g, not %g", e, d)
		}
		if s := AddedTurbulence(h, p, x, z, z0); !(s >= 0 && s <= 0.3) {
			t.Fatalf("turbulence %g", s)
		}
	})
}

// TestAddedTurbulence by hand: 10 heights behind a solid fence the greatest deficit is 0.499, so the deviation is 0.150;
// half of that behind a fence that is half open; at 35 heights half of 0.3·9.75/35·0.5117 = 0.0214; none at 50.
func TestAddedTurbulence(t *testing.T) {
	near(t, "at 10 heights", AddedTurbulence(10, 0, 100, 10, 0.03), 0.150, 0.5e-3)
	near(t, "half open", AddedTurbulence(10, 0.5, 100, 10, 0.03), 0.075, 0.5e-3)
	near(t, "at 35", AddedTurbulence(10, 0, 350, 10, 0.03), 0.0214, 0.5e-4)
	near(t, "at 50", AddedTurbulence(10, 0, 500, 10, 0.03), 0, 0)
	if s := AddedTurbulence(10, 0, 100, 60, 0.03); s > 1e-3 {
		t.Errorf("six heights up: %g", s)
	}
	last := math.Inf(1)
	for x := 50.0; x <= 600; x++ {
		s := AddedTurbulence(10, 0, x, 10, 0.03)
		if s > last {
			t.Fatalf("it rises at %g m", x)
		}
		last = s
	}
}

// TestRecirculates: the eddy behind a solid wall 10 m high is 50 m long and 12.5 m high.
func TestRecirculates(t *testing.T) {
	wall := Obstacle{BearingDeg: 270, DistanceM: 49.9, HeightM: 10, WidthM: 40}
	for _, c := range []struct {
		name        string
		change      func(o *Obstacle)
		hub, radius float64
		year        float64
		want        bool
	}{
		{"under its top", func(*Obstacle) {}, 12.4, 0, 0, true},
		{"over its top", func(*Obstacle) {}, 12.6, 0, 0, false},
		{"rotor dips in", func(*Obstacle) {}, 14, 2, 0, true},
		{"beyond its end", func(o *Obstacle) { o.DistanceM = 50 }, 5, 0, 0, false},
		{"porous but dense", func(o *Obstacle) { o.Porosity = 0.4 }, 11.4, 0, 0, true},
		{"over the top of that", func(o *Obstacle) { o.Porosity = 0.4 }, 11.6, 0, 0, false},
		{"open", func(o *Obstacle) { o.Porosity = 0.6 }, 5, 0, 0, false},
		{"porosity not known", func(o *Obstacle) { o.Porosity = math.NaN() }, 12.4, 0, 0, true},
		{"grown", func(o *Obstacle) { o.GrowthMPerYear = 0.3 }, 18, 0, 20, true},
	} {
		o := wall
		c.change(&o)
		if got := Recirculates(o, c.hub, c.radius, c.year); got != c.want {
			t.Errorf("%s: %t", c.name, got)
		}
	}
}

package terrain

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"mastworth/resource"
)

// TestChain replays the reference's way of 5 m/s at 10 m over an airport to a hub at 20 m in a suburb (computed to 1e-5
// from the formula of WMO-No. 8, that from memory), and its log law factors, in every direction.
func TestChain(t *testing.T) {
	for _, c := range []struct {
		from, to resource.Ground
		a, b     float64
		speed    float64
		want     float64
	}{
		{grass, town, 10, 20, 5, 5.04092},
		{grass, resource.Ground{RoughnessM: 0.5, DisplacementM: 3.5}, 10, 20, 5, 4.83879},
		{grass, grass, 10, 60, 5, 6.54219},
		{grass, grass, 10, 30, 1, 1.18912},
		{town, town, 10, 30, 1, 1.36673},
		{resource.Ground{RoughnessM: 1, DisplacementM: 7}, resource.Ground{RoughnessM: 1, DisplacementM: 7}, 15, 24, 1, 1.36249},
		{resource.Ground{RoughnessM: 0.0002}, grass, 10, 10, 1, 0.89083},
		{resource.Ground{RoughnessM: 1}, grass, 10, 10, 1, 1.35899},
	} {
		for _, x := range must[[DirectionCount]Exposure](t)(Transfer(Grounds{Everywhere: c.from}, Grounds{Everywhere: c.to}, c.a, c.b)) {
			near(t, "speed", c.speed*x.Factor, c.want, 6e-6)
			if x.Low != x.Factor || x.High != x.Factor {
				t.Errorf("a band without a change: %+v", x)
			}
		}
	}
}

// TestChangeWorked holds the three layers against the same published formulas worked out independently (bisection, without
// displacement) to the digits printed: over 0.5 m roughness for 300 m with 0.03 m beyond, and the other way round. The
// internal layer is 68.801 m high, so that 5 m is in the lowest layer and 15 m in the middle one; with a third of it 15 m
// is above all, with three times it below all.
func TestChangeWorked(t *testing.T) {
	near(t, "layer", InternalLayer(0.5, 300), 68.80094557, 6e-9)
	for _, c := range []struct {
		near, beyond resource.Ground
		z            float64
		want         band
	}{
		{town, grass, 3, band{0.44526, 0.37426, 0.37426}},
		{town, grass, 5, band{0.61131, 0.48096, 0.48096}},
		{town, grass, 15, band{0.81761, 0.77106, 0.71043}},
		{grass, town, 3, band{0.52120, 0.60587, 0.60587}},
		{grass, town, 5, band{0.53746, 0.67308, 0.67308}},
		{grass, town, 15, band{0.71043, 0.75699, 0.81761}},
	} {
		p := must[profile](t)(newProfile(stretch{c.near, c.beyond, 300}))
		got := must[band](t)(p.at(c.z))
		for i := range got {
			near(t, "factor", got[i], c.want[i], 6e-6)
		}
		x := must[Exposure](t)(round(c.near, c.beyond, 300).At(7, c.z))
		if x.Factor != got[1] || x.Low != min(got[0], got[1], got[2]) || x.High != max(got[0], got[1], got[2]) {
			t.Errorf("exposure %+v of %v", x, got)
		}
	}
}

// TestSingleGrounds: over one ground at either place the transfer is the exposure factor, over equal ones the logarithmic
// law, to the last bit, also where a patch all round says it.
func TestSingleGrounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawGround(t, "a"), drawGround(t, "b")
		from, to := drawHeight(t, "from"), drawHeight(t, "to")
		want := must[float64](t)(resource.ExposureFactor(a, b, from, to))
		plain := must[float64](t)(resource.LogFactor(b, resource.BlendingHeightM, to))
		for _, site := range []Grounds{
			{Everywhere: b}, {Everywhere: a, Patches: []Patch{{0, 360, b, nan, nil}}}, {b, []Patch{{0, 360, b, 500, nil}}},
		} {
			for _, x := range must[[DirectionCount]Exposure](t)(Transfer(Grounds{Everywhere: a}, site, from, to)) {
				if x != certain(want) {
					t.Fatalf("transfer %+v, want %v", x, want)
				}
			}
			for _, x := range must[[DirectionCount]Exposure](t)(site.All(to)) {
				if x != certain(plain) {
					t.Fatalf("exposure %+v, want %v", x, plain)
				}
			}
		}
		log := must[float64](t)(resource.LogFactor(a, from, to))
		if x := must[[DirectionCount]Exposure](t)(Transfer(Grounds{Everywhere: a}, Grounds{Everywhere: a}, from, to)); x[0] != certain(log) {
			t.Fatalf("same place %+v, want %v", x[0], log)
		}
	})
}

// TestSamePlace: to the same height at the same place nothing changes, whatever the ground; the band knows it.
func TestSamePlace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, z := drawRound(t), drawHeight(t, "z")
		out, err := Transfer(g, g, z, z)
		if err != nil {
			t.Skip(err)
		}
		for _, x := range out {
			if x != certain(1) {
				t.Fatalf("%+v", x)
			}
		}
	})
}

// TestBands: the factor is within its band, and so is every pairing of the two places' ends.
func TestBands(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawRound(t), drawRound(t)
		from, to := drawHeight(t, "from"), drawHeight(t, "to")
		up, err1 := a.All(from)
		down, err2 := b.All(to)
		out, err := Transfer(a, b, from, to)
		if err1 != nil || err2 != nil || err != nil {
			t.Skip("inside the cover beyond")
		}
		for d, x := range out {
			near(t, "factor", x.Factor, down[d].Factor/up[d].Factor, 1e-12)
			if !(x.Low <= x.Factor && x.Factor <= x.High) {
				t.Fatalf("%+v", x)
			}
			if math.Max(down[d].High/up[d].Low-x.High, x.Low-down[d].Low/up[d].High) > 1e-12 && !alikeAt(a, b, d) {
				t.Fatalf("%+v does not span %+v over %+v", x, down[d], up[d])
			}
		}
	})
}

func alikeAt(a, b Grounds, d int) bool {
	p, _ := Prepare(a)
	q, _ := Prepare(b)
	return q.alike(p, d)
}

func TestTransferErrors(t *testing.T) {
	open, closed := Grounds{Everywhere: grass}, Grounds{Everywhere: grass, Patches: []Patch{{80, 120, wood, nan, nil}}}
	_, err := Transfer(open, closed, 10, 10.5)
	is(t, err, resource.ErrInsideCanopy)
	for _, want := range []string{"at the site", "direction 80°", "10.5 m"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q does not say %q", err, want)
		}
	}
	_, err = Transfer(closed, open, 10.5, 10)
	is(t, err, resource.ErrInsideCanopy)
	if !strings.Contains(err.Error(), "where the wind was measured") {
		t.Error(err)
	}
	_, err = Transfer(open, open, nan, 10)
	is(t, err, resource.ErrHeight)
	_, err = open.At(0, math.Inf(1))
	is(t, err, resource.ErrHeight)
	bad := Grounds{Everywhere: grass, Patches: []Patch{{80, 80, wood, nan, nil}}}
	_, err = Transfer(bad, open, 10, 10)
	is(t, err, ErrGrounds)
	_, err = Transfer(open, bad, 10, 10)
	is(t, err, ErrGrounds)
	_, err = bad.All(10)
	is(t, err, ErrGrounds)
	x, err := bad.At(0, 10)
	is(t, err, ErrGrounds)
	if !math.IsNaN(x.Factor) || !math.IsNaN(x.Low) || !math.IsNaN(x.High) {
		t.Errorf("%+v with an error", x)
	}

	// A clearing: below the tops of a wood near by nothing is known; far from it the clearing's own wind is.
	_, err = round(grass, wood, 60).At(0, 9)
	is(t, err, resource.ErrInsideCanopy)
	near(t, "wide clearing", must[Exposure](t)(round(grass, wood, 10000).At(0, 9)).Factor,
		must[float64](t)(resource.LogFactor(grass, resource.BlendingHeightM, 9)), 0)
	// What may lie below the tops is no place to conclude from.
	x = must[Exposure](t)(round(grass, wood, 250).At(0, 9))
	if x.Low != 0 {
		t.Fatalf("the case has gone: %+v", x)
	}
	_, err = Transfer(round(grass, wood, 250), open, 9, 10)
	is(t, err, resource.ErrInsideCanopy)
	// Cover that reaches the blending height.
	_, err = Prepare(round(grass, resource.Ground{RoughnessM: 5, DisplacementM: 58}, 300))
	is(t, err, resource.ErrInsideCanopy)

	for _, d := range []int{-1, DirectionCount} {
		for name, call := range map[string]func(){"At": func() { _, _ = open.At(d, 10) }, "Near": func() { open.Near(d) }} {
			func() {
				defer func() {
					if recover() == nil {
						t.Errorf("%s(%d) did not panic", name, d)
					}
				}()
				call()
			}()
		}
	}
}

// TestUnusedGround: the ground everywhere does no harm where patches cover the whole round.
func TestUnusedGround(t *testing.T) {
	g := Grounds{Everywhere: resource.Ground{RoughnessM: 1, DisplacementM: 30}, Patches: []Patch{{0, 180, grass, nan, nil}, {180, 360, town, nan, nil}}}
	x := must[[DirectionCount]Exposure](t)(g.All(10))
	if x[9] == x[27] || math.IsNaN(x[0].Factor) {
		t.Errorf("%+v", x)
	}
}

package terrain

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"mastworth/resource"
)

func factorAt(t failer, near, beyond resource.Ground, changeM, z float64) band {
	p, err := newProfile(stretch{near, beyond, changeM})
	if err != nil {
		t.Fatal(err)
	}
	return must[band](t)(p.at(z))
}

// TestLimitsOfChange: close to the change the wind is that of the ground beyond, far from it that of the ground at the
// mast, each to the last bit.
func TestLimitsOfChange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, z := drawGround(t, "near"), drawGround(t, "beyond"), drawHeight(t, "z")
		if a == b {
			t.Skip()
		}
		shut, far := factorAt(t, a, b, 1e-3, z), factorAt(t, a, b, 1e9, z)
		plainA := must[float64](t)(resource.LogFactor(a, resource.BlendingHeightM, z))
		plainB := must[float64](t)(resource.LogFactor(b, resource.BlendingHeightM, z))
		for i := range shut {
			// At the change itself the layer is e·z0 high, so that three times it reaches up to 2.45 z0.
			if i < 2 || z-a.DisplacementM > 2.5*max(a.RoughnessM, b.RoughnessM) {
				near(t, "close", shut[i], plainB, 1e-15)
			}
			near(t, "far", far[i], plainA, 0)
		}
	})
}

// TestChangeBetween: behind a change the wind is between the two plain ones, and goes from the one to the other without
// turning back as the change moves away.
func TestChangeBetween(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, z := drawGround(t, "near"), drawGround(t, "beyond"), drawHeight(t, "z")
		if a == b {
			t.Skip()
		}
		plainA := must[float64](t)(resource.LogFactor(a, resource.BlendingHeightM, z))
		plainB := must[float64](t)(resource.LogFactor(b, resource.BlendingHeightM, z))
		x := math.Pow(10, rapid.Float64Range(0, 4.3).Draw(t, "x"))
		further := x * rapid.Float64Range(1, 3).Draw(t, "further")
		f, g := factorAt(t, a, b, x, z)[1], factorAt(t, a, b, further, z)[1]
		if f < min(plainA, plainB) || f > max(plainA, plainB) {
			t.Fatalf("%g is not between %g and %g", f, plainA, plainB)
		}
		if toward := math.Copysign(1, plainA-plainB); toward*(g-f) < -1e-12 {
			t.Fatalf("from %g back to %g, though %g lies beyond", f, g, plainA)
		}
	})
}

// TestChangeContinuous: no jumps with height or with the distance of the change, the regional wind at the blending height.
func TestChangeContinuous(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawGround(t, "near"), drawGround(t, "beyond")
		if a == b {
			t.Skip()
		}
		x := math.Pow(10, rapid.Float64Range(0, 4.3).Draw(t, "x"))
		p := must[profile](t)(newProfile(stretch{a, b, x}))
		for i := range scales {
			for _, above := range []bool{false, true} {
				bottom, top := p.edges(i, above)
				for _, edge := range []float64{bottom, top, resource.BlendingHeightM} {
					if edge < 15 {
						continue // inside what covers the grounds, or not far above
					}
					under, over := must[band](t)(p.at(edge*(1-1e-9))), must[band](t)(p.at(edge*(1+1e-9)))
					near(t, "across an edge", over[i], under[i], 1e-8)
				}
			}
		}
		near(t, "at the blending height", must[band](t)(p.at(resource.BlendingHeightM))[1], 1, 0)
		z := drawHeight(t, "z")
		near(t, "with distance", factorAt(t, a, b, x*(1+1e-9), z)[1], factorAt(t, a, b, x, z)[1], 1e-7)
	})
}

// TestRotation: turning all patches by 30° turns the answer by three directions and does nothing else.
func TestRotation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, z := drawRound(t), drawHeight(t, "z")
		turned := Grounds{Everywhere: g.Everywhere}
		for _, p := range g.Patches {
			p.FromDeg, p.ToDeg = math.Mod(p.FromDeg+30, 360), math.Mod(p.ToDeg+30, 360)
			turned.Patches = append(turned.Patches, p)
		}
		a, errA := g.All(z)
		b, errB := turned.All(z)
		if (errA == nil) != (errB == nil) {
			t.Fatal(errA, errB)
		}
		for d := range a {
			if errA == nil && a[d] != b[(d+3)%DirectionCount] {
				t.Fatalf("direction %d: %+v, turned %+v", d, a[d], b[(d+3)%DirectionCount])
			}
			if g.Near(d) != turned.Near((d+3)%DirectionCount) {
				t.Fatalf("direction %d: another ground near", d)
			}
		}
	})
}

// TestSplit: two halves of a patch are the patch; patches in another order are the same.
func TestSplit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, z := drawRound(t), drawHeight(t, "z")
		split := Grounds{Everywhere: g.Everywhere}
		for i := range g.Patches {
			p := g.Patches[len(g.Patches)-1-i]
			first, second := p, p
			middle := math.Mod(p.FromDeg+spanDeg(p.FromDeg, p.ToDeg)/2, 360)
			first.ToDeg, second.FromDeg = middle, middle
			split.Patches = append(split.Patches, second, first)
		}
		a, errA := g.All(z)
		b, errB := split.All(z)
		if errA != nil || errB != nil {
			if (errA == nil) != (errB == nil) {
				t.Fatal(errA, errB)
			}
			return
		}
		for d := range a {
			near(t, "factor", b[d].Factor, a[d].Factor, 1e-14)
			near(t, "low", b[d].Low, a[d].Low, 1e-14)
			near(t, "high", b[d].High, a[d].High, 1e-14)
		}
		if len(g.Gaps()) != len(split.Gaps()) {
			t.Fatal(g.Gaps(), split.Gaps())
		}
	})
}

// TestShared: borders inside a direction share it by angle.
func TestShared(t *testing.T) {
	g := Grounds{Everywhere: grass, Patches: []Patch{{2, 355, town, nan, nil}}}
	f := func(ground resource.Ground) float64 {
		return must[float64](t)(resource.LogFactor(ground, resource.BlendingHeightM, 20))
	}
	out := must[[DirectionCount]Exposure](t)(g.All(20))
	near(t, "north", out[0].Factor, 0.3*f(town)+0.7*f(grass), 1e-15) // 355° to 2° are grass, 2° to 5° town
	near(t, "10°", out[1].Factor, f(town), 0)
	near(t, "350°", out[35].Factor, f(town), 0)
	if g.Near(0) != grass || g.Near(18) != town {
		t.Error("near")
	}
}

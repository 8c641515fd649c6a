package terrain

import (
	"errors"
	"math"

	"pgregory.net/rapid"

	"mastworth/resource"
)

var (
	nan   = math.NaN()
	grass = resource.Ground{RoughnessM: 0.03}
	town  = resource.Ground{RoughnessM: 0.5}
	wood  = resource.Ground{RoughnessM: 1, DisplacementM: 10}
)

type failer interface {
	Helper()
	Errorf(format string, args ...any)
	Fatal(args ...any)
}

// near checks a number against one from outside, within tol absolutely.
func near(t failer, name string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g within %g", name, got, want, tol)
	}
}

func must[T any](t failer) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func is(t failer, err, want error) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Errorf("got error %v, want %v", err, want)
	}
}

// round is a patch all round with a change of ground.
func round(near, beyond resource.Ground, changeM float64) Grounds {
	return Grounds{Everywhere: beyond, Patches: []Patch{{FromDeg: 0, ToDeg: 360, Ground: near, ChangeAtM: changeM}}}
}

// drawOpen draws a ground without displacement.
func drawOpen(t *rapid.T, name string) resource.Ground {
	return resource.Ground{RoughnessM: math.Pow(10, rapid.Float64Range(-4, 0.3).Draw(t, name))}
}

// drawGround draws any ground.
func drawGround(t *rapid.T, name string) resource.Ground {
	g := drawOpen(t, name)
	g.DisplacementM = rapid.SampledFrom([]float64{0, 0, 1, 5, 12}).Draw(t, name+" displacement")
	return g
}

// drawHeight draws a height well above what covers the grounds drawn above.
func drawHeight(t *rapid.T, name string) float64 {
	return rapid.Float64Range(15, 120).Draw(t, name)
}

// drawRound draws whole-degree sectors that do not overlap, with and without changes and gaps.
func drawRound(t *rapid.T) Grounds {
	g := Grounds{Everywhere: drawGround(t, "everywhere")}
	start := rapid.IntRange(0, 359).Draw(t, "start")
	for at := 0; ; {
		gap := rapid.SampledFrom([]int{0, 0, 3, 40}).Draw(t, "gap")
		width := rapid.IntRange(1, 120).Draw(t, "width")
		if at+gap+width > 360 || width == 360 {
			return g
		}
		p := Patch{FromDeg: float64((start + at + gap) % 360), ToDeg: float64((start + at + gap + width) % 360), Ground: drawGround(t, "ground"), ChangeAtM: nan}
		if rapid.Bool().Draw(t, "changes") {
			p.ChangeAtM = rapid.Float64Range(200, 20000).Draw(t, "change")
			if rapid.Bool().Draw(t, "beyond given") {
				beyond := drawGround(t, "beyond")
				p.Beyond = &beyond
			}
		}
		g.Patches = append(g.Patches, p)
		at += gap + width
	}
}

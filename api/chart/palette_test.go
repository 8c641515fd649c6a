package chart

import (
	"fmt"
	"image/color"
	"math"
	"strings"
	"testing"
)

// Contrast against known pairs: black on white is 21; #767676 on white is 4.54, the greyest that serves for text (WCAG 2.1
// techniques, from memory).
func TestContrast(t *testing.T) {
	white := color.NRGBA{255, 255, 255, 255}
	for _, c := range []struct {
		grey uint8
		want float64
	}{{0, 21}, {0x76, 4.54}} {
		if got := contrast(color.NRGBA{c.grey, c.grey, c.grey, 255}, white); math.Abs(got-c.want) > 0.005 {
			t.Errorf("grey %x: %g, want %g", c.grey, got, c.want)
		}
	}
}

// sights are matrices on linear RGB for eyes without the long-, and without the middle-wave cones (Machado, Oliveira & Fernandes
// 2009, severity 1.0, from memory; each row adds up to 1, so that grey stays grey).
var sights = map[string][3][3]float64{
	"full":         {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"grey":         {{0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}},
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
}

func TestSightsKeepGrey(t *testing.T) {
	for name, m := range sights {
		for _, row := range m {
			if s := row[0] + row[1] + row[2]; math.Abs(s-1) > 2e-6 {
				t.Errorf("%s: a row adds up to %g", name, s)
			}
		}
	}
}

// lab is a colour in CIELAB (CIE 15, D65) as eyes of a sight see it.
func lab(c color.NRGBA, m [3][3]float64) (out [3]float64) {
	in := [3]float64{linear(c.R), linear(c.G), linear(c.B)}
	var rgb [3]float64
	for i := range rgb {
		rgb[i] = min(1, max(0, m[i][0]*in[0]+m[i][1]*in[1]+m[i][2]*in[2]))
	}
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124564*rgb[0] + 0.3575761*rgb[1] + 0.1804375*rgb[2]) / 0.95047)
	y := f(0.2126729*rgb[0] + 0.7151522*rgb[1] + 0.0721750*rgb[2])
	z := f((0.0193339*rgb[0] + 0.1191920*rgb[1] + 0.9503041*rgb[2]) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

func apart(a, b [3]float64) float64 { return math.Hypot(math.Hypot(a[0]-b[0], a[1]-b[1]), a[2]-b[2]) }

// Words have a contrast of 4.5 and marks of 3 (WCAG 2.1, criteria 1.4.3 and 1.4.11). Any two colours for marks are 20 or more
// apart in CIELAB for full sight and both blindnesses, ten times what can just be seen; wind and sun 15 in grey.
func TestColoursCanBeToldApart(t *testing.T) {
	marks := []role{first, second, third, warn}
	for name, s := range map[string]*scheme{"light": &lightScheme, "dark": &darkScheme} {
		for r, least := range map[role]float64{ink: 7, quiet: 4.5, first: 4.5, second: 3, third: 3, warn: 3} {
			if got := contrast(s[r].NRGBA, s[paper].NRGBA); got < least {
				t.Errorf("%s, %s: contrast %.2f, want %g", name, roleNames[r], got, least)
			}
		}
		for i, a := range marks {
			for _, b := range marks[i+1:] {
				for sight, m := range sights {
					least := 20.0
					if sight == "grey" {
						if a != first || b != second {
							continue
						}
						least = 15
					}
					if got := apart(lab(s[a].NRGBA, m), lab(s[b].NRGBA, m)); got < least {
						t.Errorf("%s, %s: %s and %s are %.1f apart", name, sight, roleNames[a], roleNames[b], got)
					}
				}
			}
		}
	}
}

// The ramp goes one way in grey, by steps that can be seen, in every sight.
func TestRampIsEven(t *testing.T) {
	for name, s := range map[string]*scheme{"light": &lightScheme, "dark": &darkScheme} {
		for sight, m := range sights {
			way := 0.0
			for k := 1; k < rampSteps; k++ {
				step := lab(s[ramp1+role(k)].NRGBA, m)[0] - lab(s[ramp1+role(k-1)].NRGBA, m)[0]
				if math.Abs(step) < 6 || step*way < 0 {
					t.Errorf("%s, %s: step %d is %.1f", name, sight, k, step)
				}
				way = step
			}
		}
		// Words on any step of the ramp can be read.
		for k := range rampSteps {
			c := s[ramp1+role(k)].NRGBA
			if best := max(contrast(c, s[ink].NRGBA), contrast(c, s[paper].NRGBA)); best < 3.9 {
				t.Errorf("%s: words on step %d have a contrast of %.2f", name, k+1, best)
			}
		}
	}
}

// A picture in variables has the light colours behind them, and the style sheet names each variable twice for screens.
func TestVariables(t *testing.T) {
	css := Variables()
	raw := string(svgOf(t, sampleCharts(t)[2], Options{Variables: true}))
	for r := range roles {
		name := "--chart-" + roleNames[r] + ":"
		if strings.Count(css, name) != 3 {
			t.Errorf("%s stands %d times in the style sheet", name, strings.Count(css, name))
		}
	}
	if want := fmt.Sprintf("var(--chart-first,#%s)", lightColours[first]); !strings.Contains(raw, want) {
		t.Errorf("no %s in the picture", want)
	}
}

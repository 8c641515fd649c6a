package chart

import (
	"fmt"
	"image/color"
	"strings"
)

// role is what a colour is for. Roles, not colours, are chosen by the charts.
type role int

const (
	paper  role = iota // behind everything
	ink                // words, and lines that carry the answer
	quiet              // tick labels, notes
	faint              // grid
	first              // the wind, the turbine, the first of two
	second             // the sun, the second of two
	third              // a third line
	warn               // what is wrong or lost
	band               // what may be: behind a line, of the first's hue
	ramp1              // from little to much
	ramp2
	ramp3
	ramp4
	ramp5
	ramp6
	ramp7
	roles
)

const rampSteps = int(ramp7-ramp1) + 1

// shade is one role's colour. It is a color.Color that still knows its role, so that an SVG can name it.
type shade struct {
	color.NRGBA
	role role
}

var roleNames = [roles]string{"paper", "ink", "quiet", "faint", "first", "second", "third", "warn", "band", "step-1", "step-2", "step-3",
	"step-4", "step-5", "step-6", "step-7"}

// The colours were chosen by number: against paper first, second, third and warn have a contrast of 3 or more, ink and quiet of
// 4.5 or more; any two of the first four lie far apart for full sight and for eyes without the long- or middle-wave cones; the
// first and the second also differ in grey. The ramp's lightness rises or falls evenly.
var lightColours = [roles]string{"ffffff", "1f2830", "56626c", "dde2e6", "17477f", "c2780a", "4f9a80", "921d50", "c3d3e6", "e3ebf1", "c2d5e1", "9dbdd1",
	"77a2bf", "5485aa", "346690", "17456f"}

var darkColours = [roles]string{"14191e", "e8ecef", "a3aeb7", "343d45", "6b9fe0", "f2c35c", "3f8f78", "f490b4", "2c425c", "22303c", "2c4558", "395d77",
	"4a7896", "6195b5", "82b4d0", "b4d8ea"}

// transparent is no colour at all.
var transparent = color.NRGBA{}

// scheme is every role's colour.
type scheme [roles]shade

var lightScheme, darkScheme = schemeOf(lightColours), schemeOf(darkColours)

func schemeOf(hex [roles]string) (s scheme) {
	for i, h := range hex {
		var r, g, b uint8
		if n, err := fmt.Sscanf(h, "%02x%02x%02x", &r, &g, &b); n != 3 || err != nil {
			panic("chart: a colour that is none")
		}
		s[i] = shade{color.NRGBA{R: r, G: g, B: b, A: 0xff}, role(i)}
	}
	return s
}

func schemeFor(dark bool) *scheme {
	if dark {
		return &darkScheme
	}
	return &lightScheme
}

// Variables is the style sheet that gives the CSS variables of SVG drawn with Options.Variables their colours: light ones, and
// dark ones where the reader prefers them. A page that has it shows the same SVG either way.
func Variables() string {
	var b strings.Builder
	write := func(colours *[roles]string) {
		for i, name := range roleNames {
			fmt.Fprintf(&b, "--chart-%s:#%s;", name, colours[i])
		}
	}
	b.WriteString(":root{")
	write(&lightColours)
	b.WriteString("}\n@media (prefers-color-scheme:dark){:root{")
	write(&darkColours)
	b.WriteString("}}\n@media print{:root{")
	write(&lightColours)
	b.WriteString("}}\n")
	return b.String()
}

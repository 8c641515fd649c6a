package chart

import (
	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	xfont "golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// typeface is what all text is set in.
const typeface = "Liberation Sans"

// faces are the fonts, the same on every machine: the two of their family that pictures need, since each weighs half a megabyte.
var faces = font.NewCache(font.Collection{
	{Font: font.Font{Typeface: typeface}, Face: parsed(liberationsansregular.TTF)},
	{Font: font.Font{Typeface: typeface, Weight: xfont.WeightBold}, Face: parsed(liberationsansbold.TTF)},
})

func parsed(ttf []byte) *opentype.Font {
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic("chart: a font of the program's own: " + err.Error())
	}
	return f
}

// lettering draws text, and tells an SVG where it is anchored.
type lettering struct{ text.Plain }

// Draw draws the text.
func (l lettering) Draw(c vg.Canvas, txt string, sty text.Style, pt vg.Point) {
	if svg := asSVG(c); svg != nil {
		svg.anchor = float64(sty.XAlign)
		defer func() { svg.anchor = 0 }()
	}
	l.Plain.Draw(c, txt, sty, pt)
}

// asSVG is the SVG beneath a canvas, which the library wraps whenever it makes one smaller; nil where there is none.
func asSVG(c vg.Canvas) *svgCanvas {
	for {
		switch inner := c.(type) {
		case *svgCanvas:
			return inner
		case draw.Canvas:
			c = inner.Canvas
		case *draw.Canvas:
			c = inner.Canvas
		default:
			return nil
		}
	}
}

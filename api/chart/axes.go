package chart

import (
	"strings"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// tick is a place on an axis. One without a label is not drawn; beside an upright axis a label may have lines.
type tick struct {
	Value float64
	Label string
}

// The library sets text a descent too high: these alignments put labels clear of the axis below, and level with the grid beside.
const (
	belowAxis  text.YAlignment = -1.35
	levelWith  text.YAlignment = -0.68
	labelSpace                 = " "
)

// axes lays two scales over a sheet: labels of y at the left edge, of x at the lower one, and between them the room for marks. At its
// upper and right ends the room keeps as much back as the last label needs.
type axes struct {
	s        *sheet
	x, y     scale
	besideX  vg.Length // what y's labels take
	belowY   vg.Length // what x's labels take
	rule     draw.LineStyle
	xs, ys   draw.TextStyle
	room     draw.Canvas
	descents vg.Length
}

func (s *sheet) axes(x, y scale, rule draw.LineStyle) *axes {
	a := &axes{s: s, x: x, y: y, rule: rule, xs: s.style(quiet, draw.XCenter, belowAxis), ys: s.style(quiet, draw.XRight, levelWith)}
	a.descents = a.xs.FontExtents().Descent
	if widest, _ := a.y.extents(a.ys); widest > 0 {
		a.besideX = widest + a.ys.Width(labelSpace)
	}
	_, tallest := a.x.extents(a.xs)
	a.belowY = tallest + rule.Width/2
	a.room = draw.Crop(s.c, a.besideX, 0, a.belowY, 0)
	a.room.Max.X = a.endFor(a.room.Min.X, a.room.Max.X, a.x, func(t tick) vg.Length { return a.xs.Rectangle(t.Label).Max.X })
	extents := a.ys.FontExtents()
	high := extents.Height - extents.Ascent
	a.room.Max.Y = a.endFor(a.room.Min.Y, a.room.Max.Y, a.y, func(t tick) vg.Length { return a.ys.Rectangle(t.Label).Max.Y + high })
	return a
}

// endFor is where the room ends so that no label reaches beyond what there is.
func (a *axes) endFor(from, to vg.Length, sc scale, reach func(tick) vg.Length) vg.Length {
	end, furthest := to, to
	for _, t := range sc.ticks {
		share := vg.Length(sc.share(t.Value))
		if t.Label == "" || share > 1 || share <= 0 {
			continue
		}
		beyond := reach(t)
		if at := from + share*(to-from) + beyond; at > furthest {
			furthest, end = at, from+(to-beyond-from)/share
		}
	}
	return end
}

// at are the places of values in the room.
func (a *axes) at() (x, y func(float64) vg.Length) {
	return func(v float64) vg.Length { return a.room.X(a.x.share(v)) }, func(v float64) vg.Length { return a.room.Y(a.y.share(v)) }
}

// draw writes the labels and rules the axis below.
func (a *axes) draw() {
	x, y := a.at()
	floor := a.s.c.Min.Y + a.belowY - a.rule.Width/2
	for _, t := range a.x.ticks {
		if at := x(t.Value); t.Label != "" && a.room.ContainsX(at) {
			a.s.c.FillText(a.xs, vg.Point{X: at, Y: floor + a.descents}, t.Label)
		}
	}
	if a.rule.Width > 0 {
		a.s.c.StrokeLine2(a.rule, a.room.Min.X, floor, a.room.Max.X, floor)
	}
	edge := a.room.Min.X - a.ys.Width(labelSpace)
	for _, t := range a.y.ticks {
		at := y(t.Value)
		if t.Label == "" || !a.room.ContainsY(at) {
			continue
		}
		lines := strings.Split(t.Label, "\n")
		top := at + a.descents + closeLine*vg.Length(len(lines)-1)/2
		for i, line := range lines {
			a.s.c.FillText(a.ys, vg.Point{X: edge, Y: top - closeLine*vg.Length(i)}, line)
		}
	}
}

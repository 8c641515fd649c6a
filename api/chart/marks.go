package chart

import (
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// grid is a picture with two axes.
type grid struct {
	xWords, yWords string // what the axes show, with its unit
	x, y           scale
	upright        bool // grid lines upright: the numbers run to the right
	layers         []layer
	indent         vg.Length // so that pictures above each other have one left edge
}

// layer draws marks between the axes.
type layer func(s *sheet, x, y func(float64) vg.Length)

// grid draws axes and marks. What the y-axis shows stands level above it: that reads better than on its side.
func (s *sheet) grid(g *grid) {
	if g.yWords != "" {
		style := s.style(ink, draw.XLeft, draw.YTop)
		for _, line := range wrap(style, g.yWords, s.c.Size().X) {
			s.mark("y-axis", "", func() { s.c.FillText(style, vg.Point{X: s.c.Min.X, Y: s.c.Max.Y}, line) })
			s.c.Max.Y -= lineHeight
		}
		s.c.Max.Y -= gap
	}
	rule := s.line(quiet, hairline)
	if g.upright {
		rule.Width = 0
	}
	if g.xWords != "" {
		style := s.style(ink, draw.XCenter, draw.YBottom)
		lines := wrap(style, g.xWords, s.c.Size().X)
		s.c.Min.Y += style.FontExtents().Descent // the library has the letters stand on this edge, and a y hang below it
		for i := len(lines) - 1; i >= 0; i-- {
			s.mark("x-axis", "", func() { s.c.FillText(style, vg.Point{X: s.c.Center().X, Y: s.c.Min.Y}, lines[i]) })
			s.c.Min.Y += lineHeight
		}
		s.c.Min.Y += 2
	}
	s.c.Min.Y += 5
	s.c.Min.X += g.indent
	a := s.axes(g.x, g.y, rule)
	s.mark("axes", "", func() {
		a.draw()
		whole := s.c
		s.c = a.room
		x, y := a.at()
		s.mark("grid", "", func() { g.lines(s, x, y) })
		for _, l := range g.layers {
			l(s, x, y)
		}
		s.c = whole
	})
}

// lines draws the lines of the grid.
func (g *grid) lines(s *sheet, x, y func(float64) vg.Length) {
	line := s.line(faint, hairline)
	if g.upright {
		for _, t := range g.x.ticks {
			if t.Label != "" {
				s.c.StrokeLine2(line, x(t.Value), s.c.Min.Y, x(t.Value), s.c.Max.Y)
			}
		}
		return
	}
	for _, t := range g.y.ticks {
		if t.Value != g.y.min { // the axis is there
			s.c.StrokeLine2(line, s.c.Min.X, y(t.Value), s.c.Max.X, y(t.Value))
		}
	}
}

// runs parts points into stretches without a gap.
func runs(n int, has func(int) bool, each func(from, to int)) {
	from := -1
	for i := 0; i <= n; i++ {
		switch there := i < n && has(i); {
		case there && from < 0:
			from = i
		case !there && from >= 0:
			each(from, i)
			from = -1
		}
	}
}

// curve is a line through points, broken where one is not known. A stretch of one point is a short dash.
func curve(class string, r role, xs, ys []float64, dashes ...vg.Length) layer {
	return func(s *sheet, x, y func(float64) vg.Length) {
		s.mark(class, "", func() {
			runs(len(xs), func(i int) bool { return known(xs[i]) && known(ys[i]) }, func(from, to int) {
				points := make([]vg.Point, 0, to-from+1)
				for i := from; i < to; i++ {
					points = append(points, vg.Point{X: x(xs[i]), Y: y(ys[i])})
				}
				if len(points) == 1 {
					points[0].X -= dotRadius
					points = append(points, vg.Point{X: points[0].X + 2*dotRadius, Y: points[0].Y})
				}
				s.c.StrokeLines(s.line(r, lineWidth, dashes...), s.c.ClipLinesXY(points)...)
			})
		})
	}
}

// dots are points with their words.
func dots(class string, r role, xs, ys []float64, title func(int) string) layer {
	return func(s *sheet, x, y func(float64) vg.Length) {
		for i := range xs {
			if at := (vg.Point{X: x(xs[i]), Y: y(ys[i])}); known(xs[i]) && known(ys[i]) && s.c.Contains(at) {
				s.mark(class, title(i), func() { s.dot(r, at) })
			}
		}
	}
}

// between fills what lies between two lines.
func between(class string, r role, xs, low, high []float64) layer {
	return func(s *sheet, x, y func(float64) vg.Length) {
		if low == nil || high == nil {
			return
		}
		s.mark(class, "", func() {
			runs(len(xs), func(i int) bool { return known(xs[i]) && known(low[i]) && known(high[i]) }, func(from, to int) {
				points := make([]vg.Point, 0, 2*(to-from))
				for i := from; i < to; i++ {
					points = append(points, vg.Point{X: x(xs[i]), Y: y(high[i])})
				}
				for i := to - 1; i >= from; i-- {
					points = append(points, vg.Point{X: x(xs[i]), Y: y(low[i])})
				}
				if to-from == 1 { // one height alone: a bar as wide as a dot
					a, b := points[0], points[1]
					points = []vg.Point{{X: a.X - dotRadius, Y: a.Y}, {X: a.X + dotRadius, Y: a.Y}, {X: b.X + dotRadius, Y: b.Y},
						{X: b.X - dotRadius, Y: b.Y}}
				}
				s.c.FillPolygon(s.colour[r], s.c.ClipPolygonXY(points))
			})
		})
	}
}

// bars are upright bars from 0, each from one x to another.
func bars(class string, r role, from, to, ys []float64, title func(int) string) layer {
	return func(s *sheet, x, y func(float64) vg.Length) {
		zero := min(max(y(0), s.c.Min.Y), s.c.Max.Y)
		for i := range ys {
			if !known(ys[i]) || !known(from[i]) || !known(to[i]) {
				continue
			}
			s.mark(class, title(i), func() { s.box(s.colour[r], x(from[i]), zero, x(to[i]), y(ys[i])) })
		}
	}
}

// level is a dashed line across at one y.
func level(class string, r role, at float64, title string) layer {
	return func(s *sheet, _, y func(float64) vg.Length) {
		if h := y(at); known(at) && s.c.ContainsY(h) {
			s.mark(class, title, func() { s.c.StrokeLine2(s.line(r, 1.5, priceDash...), s.c.Min.X, h, s.c.Max.X, h) })
		}
	}
}

var priceDash = dashed(3, 3)

// whiskers reach from low to high, with a foot at either end.
func whiskers(class string, r role, xs, low, high []float64) layer {
	return func(s *sheet, x, y func(float64) vg.Length) {
		if low == nil || high == nil {
			return
		}
		const foot = 3
		line := s.line(r, hairline)
		for i := range xs {
			if !known(xs[i]) || !known(low[i]) || !known(high[i]) || !(high[i] > low[i]) {
				continue
			}
			at, lo, hi := x(xs[i]), max(y(low[i]), s.c.Min.Y), min(y(high[i]), s.c.Max.Y)
			s.mark(class, "", func() {
				s.c.StrokeLine2(line, at, lo, at, hi)
				s.c.StrokeLine2(line, at-foot, lo, at+foot, lo)
				s.c.StrokeLine2(line, at-foot, hi, at+foot, hi)
			})
		}
	}
}

// ring of the compass: a sector between two radii, degrees clockwise from north. 360 degrees wide it is a whole ring.
func sector(at vg.Point, inner, outer vg.Length, fromDeg, toDeg float64) vg.Path {
	var p vg.Path
	start, turn := (90-fromDeg)*math.Pi/180, (fromDeg-toDeg)*math.Pi/180
	place := func(r vg.Length, angle float64) vg.Point {
		sin, cos := math.Sincos(angle)
		return vg.Point{X: at.X + r*vg.Length(cos), Y: at.Y + r*vg.Length(sin)}
	}
	p.Move(place(outer, start))
	p.Arc(at, outer, start, turn)
	switch {
	case inner > 0:
		p.Line(place(inner, start+turn))
		p.Arc(at, inner, start+turn, -turn)
	case toDeg-fromDeg < 360:
		p.Line(at)
	}
	p.Close()
	return p
}

// need panics unless slices that belong together are of one length; a nil one may be left out.
func need(n int, lists ...[]float64) {
	for _, l := range lists {
		if l != nil && len(l) != n {
			panic("chart: slices that belong together differ in length")
		}
	}
}

package chart

import (
	"math"
	"strconv"

	"gonum.org/v1/plot/vg"
)

// number writes a number to a hundredth, without zeros at its end.
func (c *svgCanvas) number(x float64) {
	x = math.Round(x*100) / 100
	if x == 0 { // also −0
		x = 0
	}
	c.buf.Write(strconv.AppendFloat(c.buf.AvailableBuffer(), x, 'f', -1, 64))
}

// place writes a coordinate: inside a page, where a picture is not enlarged and weighs, to a tenth.
func (c *svgCanvas) place(x float64) {
	if c.variables {
		x = math.Round(x*10) / 10
	}
	c.number(x)
}

func (c *svgCanvas) point(op byte, x, y float64) {
	if op != 0 {
		c.buf.WriteByte(op)
	}
	px, py := c.state().page(x, y, c.height)
	c.place(px)
	c.buf.WriteByte(' ')
	c.place(py)
}

func (c *svgCanvas) path(p vg.Path) {
	last := vg.Point{X: vg.Length(math.Inf(1))} // nowhere yet
	for _, comp := range p {
		switch comp.Type {
		case vg.MoveComp:
			c.point('M', comp.Pos.X.Points(), comp.Pos.Y.Points())
		case vg.LineComp:
			c.point('L', comp.Pos.X.Points(), comp.Pos.Y.Points())
		case vg.ArcComp:
			last = c.arc(comp, last)
			continue
		case vg.CurveComp:
			op := [...]byte{'L', 'Q', 'C'}[len(comp.Control)]
			for _, control := range comp.Control {
				c.point(op, control.X.Points(), control.Y.Points())
				op = ' '
			}
			c.point(op, comp.Pos.X.Points(), comp.Pos.Y.Points())
		case vg.CloseComp:
			c.buf.WriteByte('Z')
			continue
		}
		last = comp.Pos
	}
}

// arc writes an arc, in parts of less than half a turn, after a line to its start if the path is not there.
func (c *svgCanvas) arc(comp vg.PathComp, last vg.Point) vg.Point {
	r := comp.Radius.Points()
	at := func(angle float64) (float64, float64) {
		sin, cos := math.Sincos(angle)
		return comp.Pos.X.Points() + r*cos, comp.Pos.Y.Points() + r*sin
	}
	x, y := at(comp.Start)
	switch apart := math.Hypot(x-last.X.Points(), y-last.Y.Points()); {
	case math.IsInf(apart, 1):
		c.point('M', x, y)
	case apart > 0.005:
		c.point('L', x, y)
	}
	parts := max(1, int(math.Ceil(math.Abs(comp.Angle)/(0.75*math.Pi))))
	sweep := " 0 0 0 " // counter-clockwise seen, for y is downwards on the page
	if comp.Angle < 0 {
		sweep = " 0 0 1 "
	}
	radius := r * c.state().stretch()
	for i := range parts {
		x, y = at(comp.Start + comp.Angle*float64(i+1)/float64(parts))
		c.buf.WriteByte('A')
		c.place(radius)
		c.buf.WriteByte(' ')
		c.place(radius)
		c.buf.WriteString(sweep)
		c.point(0, x, y)
	}
	return vg.Point{X: vg.Length(x), Y: vg.Length(y)}
}

// finite reports whether a path can be drawn at all.
func finite(p vg.Path) bool {
	for _, comp := range p {
		if !known(comp.Pos.X.Points()) || !known(comp.Pos.Y.Points()) || !known(comp.Radius.Points()) || !known(comp.Start+comp.Angle) {
			return false
		}
	}
	return true
}

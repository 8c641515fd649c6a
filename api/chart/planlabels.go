package chart

import (
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// shortened is a thing's name, cut where it would run across the plan, with what is said of it; the mark's title has the whole.
func (p *site) shortened(name, more string) string {
	const share = 0.3 // of the width, for the name
	return fit(p.s.style(ink, draw.XLeft, draw.YCenter), name, p.s.c.Size().X*share) + more
}

// sideOf says how a text stands that begins at a point and goes on in a direction.
func sideOf(out vg.Point) (x text.XAlignment, y text.YAlignment) {
	switch {
	case out.X > 0.5:
		return draw.XLeft, draw.YCenter
	case out.X < -0.5:
		return draw.XRight, draw.YCenter
	case out.Y > 0:
		return draw.XCenter, draw.YBottom
	}
	return draw.XCenter, draw.YTop
}

// behind writes a name behind a thing as seen from the mast, and far enough back that no corner of it lies on the thing.
func (p *site) behind(bar [4]vg.Point, out vg.Point, name string) {
	x, y := sideOf(out)
	style := p.s.style(ink, x, y)
	w, h := style.Width(name), style.Height(name)
	const clear = 4
	nearest := min(vg.Length(x)*w*out.X, vg.Length(1+x)*w*out.X) + min(vg.Length(y)*h*out.Y, vg.Length(1+y)*h*out.Y)
	back := max(0, clear-nearest)
	middle := vg.Point{X: (bar[2].X + bar[3].X) / 2, Y: (bar[2].Y + bar[3].Y) / 2}
	p.label(ink, vg.Point{X: middle.X + back*out.X, Y: middle.Y + back*out.Y}, x, y, name)
}

// beside writes a name at a point, going on in a direction.
func (p *site) beside(at, out vg.Point, name string) {
	x, y := sideOf(out)
	p.label(ink, at, x, y, name)
}

// label writes a text inside the picture where no other text and no thing is, if need be lower or higher; without room it stays out, for
// the mark's title and the table have it.
func (p *site) label(r role, at vg.Point, x text.XAlignment, y text.YAlignment, txt string) {
	style := p.s.style(r, x, y)
	txt = fit(style, txt, p.s.c.Size().X)
	w, h := style.Width(txt), style.Height(txt)
	at.X = min(max(at.X, p.s.c.Min.X-vg.Length(x)*w), p.s.c.Max.X-vg.Length(1+x)*w)
	const furthest = 10 // lines up or down
	for i := range 2*furthest + 1 {
		step := vg.Length((i + 1) / 2 * (1 - 2*(i%2))) // 0, −1, 1, −2, 2 …
		place := vg.Point{X: at.X, Y: at.Y + step*(h+1)}
		box := vg.Rectangle{Min: vg.Point{X: at.X + vg.Length(x)*w, Y: place.Y + vg.Length(y)*h}}
		box.Max = vg.Point{X: box.Min.X + w, Y: box.Min.Y + h}
		if box.Min.Y < p.s.c.Min.Y || box.Max.Y > p.s.c.Max.Y || p.isTaken(box) {
			continue
		}
		const clear = 2
		p.taken = append(p.taken, vg.Rectangle{Min: vg.Point{X: box.Min.X - clear, Y: box.Min.Y - clear}, Max: vg.Point{X: box.Max.X + clear, Y: box.Max.Y + clear}})
		p.s.halo(r, x, y, place, txt) // words interrupt circles
		return
	}
}

func (p *site) isTaken(box vg.Rectangle) bool {
	for _, t := range p.taken {
		if box.Min.X < t.Max.X && t.Min.X < box.Max.X && box.Min.Y < t.Max.Y && t.Min.Y < box.Max.Y {
			return true
		}
	}
	for i := range p.bars {
		if meet(box, p.bars[i]) {
			return true
		}
	}
	return false
}

// meet reports whether an upright rectangle and a turned one have a point in common: unless one of their sides' directions parts them.
func meet(box vg.Rectangle, bar [4]vg.Point) bool {
	corners := [4]vg.Point{box.Min, {X: box.Max.X, Y: box.Min.Y}, box.Max, {X: box.Min.X, Y: box.Max.Y}}
	for _, axis := range [...]vg.Point{{X: 1}, {Y: 1}, bar[1].Sub(bar[0]), bar[3].Sub(bar[0])} {
		from, to := along(axis, corners)
		low, high := along(axis, bar)
		if to < low || high < from {
			return false
		}
	}
	return true
}

// along is how far corners reach in a direction.
func along(axis vg.Point, corners [4]vg.Point) (from, to vg.Length) {
	for i, c := range corners {
		d := c.X*axis.X + c.Y*axis.Y
		if i == 0 {
			from, to = d, d
		}
		from, to = min(from, d), max(to, d)
	}
	return from, to
}

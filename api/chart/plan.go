package chart

import (
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Plan is what stands around a mast.
type Plan struct {
	Obstacles []PlanObstacle
	Circles   []PlanCircle
	Units     Units
}

// PlanObstacle is something that stands there: its near face Distance away, Width across the line of sight.
type PlanObstacle struct {
	Name                                   string
	BearingDeg, DistanceM, HeightM, WidthM float64
	BreaksRule                             bool // drawn so that it is seen
}

// PlanCircle is a distance a rule names, around the mast.
type PlanCircle struct {
	RadiusM float64
	Words   string
}

// farPlan is how far off a thing is still drawn in its place, m; what is further is named at the rim.
const farPlan = 400

// mostDeep is how deep a thing is drawn at most, m: less where it is narrower.
const mostDeep = 4

// SitePlan draws the obstacles to scale around the mast, seen from above, north up, with the circles of siting rules. Widths and
// distances are true; how deep a thing is is not known, and drawn as a strip.
func SitePlan(d Plan) Chart {
	c := Chart{Name: "site-plan", Title: word("plan"), empty: len(d.Obstacles) == 0 && len(d.Circles) == 0}
	_, unit := d.Units.length(0)
	c.head = []string{word("what"), word("bearing") + " (°)", word("distance") + " (" + unit + ")", word("height") + " (" + unit + ")", word("width") + " (" + unit + ")",
		word("against_rule")}
	nearest := -1
	for i, o := range d.Obstacles {
		row := []cell{words(o.Name), num(o.BearingDeg)}
		for _, m := range []float64{o.DistanceM, o.HeightM, o.WidthM} {
			shown, _ := d.Units.length(m)
			row = append(row, cell{number: shown, text: figureIn(shown, unit)})
		}
		c.rows = append(c.rows, append(row, words(map[bool]string{true: word("yes"), false: word("no")}[o.BreaksRule])))
		if known(o.DistanceM) && (nearest < 0 || o.DistanceM < d.Obstacles[nearest].DistanceM) {
			nearest = i
		}
	}
	c.alt = word("plan") + ": " + word("no_obstacle")
	if nearest >= 0 {
		o := d.Obstacles[nearest]
		off, _ := d.Units.length(o.DistanceM)
		high, _ := d.Units.length(o.HeightM)
		said := []any{orWords(o.Name, word("without_name")), figureIn(off, unit), unit, figure(o.BearingDeg), figureIn(high, unit), unit}
		if n := len(d.Obstacles); n == 1 {
			c.alt = word("plan") + ": " + word("one", said...)
		} else {
			c.alt = word("plan") + ": " + word("nearest", append([]any{n}, said...)...)
		}
	}
	c.draw = func(s *sheet) { d.onto(s) }
	return c
}

// site is a plan while it is drawn.
type site struct {
	s     *sheet
	at    vg.Point
	perM  vg.Length      // px a metre
	reach float64        // m, drawn in every direction
	taken []vg.Rectangle // by labels
	bars  [][4]vg.Point  // of the things drawn, their near faces first
}

func (d *Plan) onto(s *sheet) {
	const foot = 26
	entries := []entry{{quiet, asBox, nil, word("stands")}}
	for _, o := range d.Obstacles {
		if o.BreaksRule {
			entries = append(entries, entry{warn, asBox, nil, word("breaks")})
			break
		}
	}
	s.legend(entries...)
	p := &site{s: s, reach: d.reach()}
	whole := s.c
	s.c.Min.Y += foot
	p.at = s.c.Center()
	const rim = 22 // px, for the names of what stands furthest out
	p.perM = (min(s.c.Size().X, s.c.Size().Y)/2 - rim) / vg.Length(p.reach)
	p.reach = float64(max(s.c.Size().X, s.c.Size().Y) / 2 / p.perM)
	for _, o := range d.Obstacles {
		if p.drawn(o) && o.DistanceM <= farPlan {
			p.bars = append(p.bars, p.bar(o))
		}
	}
	for _, circle := range d.Circles {
		p.circle(circle)
	}
	s.mark("mast", word("mast"), func() {
		s.dot(ink, p.at)
		p.label(ink, vg.Point{X: p.at.X, Y: p.at.Y - dotRadius - 2}, draw.XCenter, draw.YTop, word("mast"))
	})
	for _, o := range d.Obstacles {
		p.obstacle(o, d.Units)
	}
	s.c = whole
	p.northAndScale(d.Units)
}

// reach is how far off in m the plan must show.
func (d *Plan) reach() float64 {
	far := 15.0
	for _, o := range d.Obstacles {
		if known(o.DistanceM) && o.DistanceM <= farPlan {
			far = max(far, math.Hypot(o.DistanceM+min(o.WidthM, mostDeep), min(o.WidthM, farPlan)/2))
		}
	}
	for _, c := range d.Circles {
		if known(c.RadiusM) && c.RadiusM <= farPlan {
			far = max(far, c.RadiusM)
		}
	}
	return far * 1.08
}

func (p *site) place(bearingDeg, metres float64) vg.Point {
	sin, cos := math.Sincos(bearingDeg * math.Pi / 180)
	return vg.Point{X: p.at.X + p.perM*vg.Length(metres*sin), Y: p.at.Y + p.perM*vg.Length(metres*cos)}
}

func (p *site) circle(c PlanCircle) {
	if !known(c.RadiusM) || !(c.RadiusM > 0) || c.RadiusM > farPlan {
		return
	}
	p.s.mark("circle", c.Words, func() {
		p.s.c.SetLineStyle(p.s.line(first, 1.2, 5, 4))
		p.s.c.Stroke(disc(p.at, p.perM*vg.Length(c.RadiusM)))
		style := p.s.style(first, draw.XCenter, draw.YCenter)
		top := vg.Point{X: p.at.X, Y: p.at.Y + p.perM*vg.Length(c.RadiusM)}
		p.label(first, top, draw.XCenter, draw.YCenter, fit(style, c.Words, p.s.c.Size().X))
	})
}

// drawn reports whether a thing's place is known; the table has the others.
func (p *site) drawn(o PlanObstacle) bool {
	return known(o.BearingDeg) && known(o.DistanceM) && known(o.WidthM)
}

// towards are the direction in which a thing lies, and the one across, of length 1.
func towards(bearingDeg float64) (out, across vg.Point) {
	sin, cos := math.Sincos(bearingDeg * math.Pi / 180)
	return vg.Point{X: vg.Length(sin), Y: vg.Length(cos)}, vg.Point{X: vg.Length(cos), Y: -vg.Length(sin)}
}

// bar are the corners of a thing, those of its near face first.
func (p *site) bar(o PlanObstacle) [4]vg.Point {
	const leastPx = 5
	deep := max(leastPx, p.perM*vg.Length(min(o.WidthM, mostDeep)))
	half := max(leastPx, p.perM*vg.Length(o.WidthM)) / 2
	face := p.place(o.BearingDeg, o.DistanceM)
	out, across := towards(o.BearingDeg)
	corner := func(side, back vg.Length) vg.Point {
		return vg.Point{X: face.X + side*across.X + back*out.X, Y: face.Y + side*across.Y + back*out.Y}
	}
	return [4]vg.Point{corner(-half, 0), corner(half, 0), corner(half, deep), corner(-half, deep)}
}

func (p *site) obstacle(o PlanObstacle, u Units) {
	if !p.drawn(o) {
		return
	}
	high, unit := u.length(o.HeightM)
	off, _ := u.length(o.DistanceM)
	look := quiet
	if o.BreaksRule {
		look = warn
	}
	size := ", " + word("so_high", figureIn(high, unit), unit)
	away := ", " + word("off", figureIn(off, unit), unit)
	out, _ := towards(o.BearingDeg)
	p.s.mark("mark", o.Name+size+away, func() {
		if o.DistanceM > farPlan {
			p.far(out, look, p.shortened(o.Name, away))
			return
		}
		bar := p.bar(o)
		p.s.fill(p.s.colour[look], p.s.c.ClipPolygonXY(bar[:])...)
		p.behind(bar, out, p.shortened(o.Name, size))
	})
}

// far points to a thing beyond the plan.
func (p *site) far(out vg.Point, look role, name string) {
	c := &p.s.c
	room := vg.Length(math.Inf(1))
	if out.X != 0 {
		room = min(room, c.Size().X/2/vg.Length(math.Abs(float64(out.X))))
	}
	if out.Y != 0 {
		room = min(room, c.Size().Y/2/vg.Length(math.Abs(float64(out.Y))))
	}
	tip := vg.Point{X: p.at.X + (room-4)*out.X, Y: p.at.Y + (room-4)*out.Y}
	back := vg.Point{X: tip.X - 9*out.X, Y: tip.Y - 9*out.Y}
	p.s.fill(p.s.colour[look], tip, vg.Point{X: back.X + 5*out.Y, Y: back.Y - 5*out.X}, vg.Point{X: back.X - 5*out.Y, Y: back.Y + 5*out.X})
	inward := vg.Point{X: -out.X, Y: -out.Y}
	p.beside(vg.Point{X: back.X + 4*inward.X, Y: back.Y + 4*inward.Y}, inward, name)
}

// northAndScale draws the arrow and the bar.
func (p *site) northAndScale(u Units) {
	s := p.s
	s.mark("north", word("north"), func() {
		x, y := s.c.Max.X-10, s.c.Max.Y-2
		s.fill(s.colour[ink], vg.Point{X: x, Y: y}, vg.Point{X: x + 6, Y: y - 18}, vg.Point{X: x, Y: y - 13}, vg.Point{X: x - 6, Y: y - 18})
		s.write(ink, draw.XCenter, draw.YTop, vg.Point{X: x, Y: y - 19}, wordList("compass")[0])
	})
	one, unit := u.length(1)
	perUnit := float64(p.perM) / one
	length := roundStep(70 / perUnit)
	if length*perUnit > 150 {
		length /= 2
	}
	wide := vg.Length(length * perUnit)
	s.mark("scale-bar", figure(length)+" "+unit, func() {
		x, y := s.c.Min.X, s.c.Min.Y+5
		line := s.line(ink, 1.5)
		s.c.StrokeLine2(line, x, y, x+wide, y)
		s.c.StrokeLine2(line, x, y-4, x, y+4)
		s.c.StrokeLine2(line, x+wide, y-4, x+wide, y+4)
		s.write(ink, draw.XLeft, draw.YCenter, vg.Point{X: x + wide + 6, Y: y}, figure(length)+" "+unit)
	})
}

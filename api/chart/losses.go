package chart

import (
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// LossChain is how a year's energy shrinks from what the rotor could make to what arrives.
type LossChain struct {
	GrossKWh, NetKWh float64
	Names            []string
	LossKWh          []float64 // by name, in the order they act
}

// LossWaterfall draws each loss from where the one before left off.
func LossWaterfall(d LossChain) Chart {
	need(len(d.Names), d.LossKWh)
	c := Chart{Name: "losses", Title: word("losses"), empty: !known(d.GrossKWh) || !known(d.NetKWh)}
	unit, per := energyUnit([]float64{d.GrossKWh})
	c.head = []string{word("step"), word("energy") + " (" + unit + ")"}
	names := append(append([]string{word("gross")}, d.Names...), word("net"))
	values := append(append([]float64{d.GrossKWh / per}, over(d.LossKWh, -per)...), d.NetKWh/per)
	for i, n := range names {
		c.rows = append(c.rows, []cell{words(n), num(values[i] + 0)})
	}
	c.alt = word("losses") + ": " + word("not_known")
	if !c.empty {
		c.alt = word("losses") + ": " + word("of_reach", figure(values[len(values)-1]), figure(values[0]), unit)
	}
	c.draw = func(s *sheet) {
		from, to := make([]float64, len(names)), make([]float64, len(names))
		left := 0.0
		for i, v := range values {
			if i == 0 || i == len(values)-1 {
				from[i], to[i], left = 0, v, v
				continue
			}
			from[i], to[i] = left, left+v
			if known(v) {
				left += v
			}
		}
		rows := rowChart{names: names, from: from, to: to, class: "mark", xWords: word("energy") + ", " + unit + " " + word("a_year"),
			labels: func(i int) string { return figure(values[i]) },
			look: func(i int) role {
				if i == 0 || i == len(names)-1 {
					return first
				}
				return warn
			}}
		rows.x = scaleOf(true, 6, from, to)
		rows.draw(s)
	}
	return c
}

// Sensitivity is what one unknown does to a result: its value at either end of its range, and the result there.
type Sensitivity struct {
	Name                string
	LowWords, HighWords string // the unknown at either end, such as "0.10" and "0.30"
	AtLow, AtHigh       float64
}

// Sensitivities are several of them about one result.
type Sensitivities struct {
	Result, Unit string // what it is about, such as "Net energy" in "kWh a year"
	Base         float64
	Of           []Sensitivity
}

// Tornado draws how far each unknown moves the result, the greatest first.
func Tornado(d Sensitivities) Chart {
	list := slices.Clone(d.Of)
	reach := func(s Sensitivity) float64 {
		if r := math.Abs(s.AtHigh - s.AtLow); known(r) {
			return r
		}
		return -1
	}
	slices.SortStableFunc(list, func(a, b Sensitivity) int {
		switch ra, rb := reach(a), reach(b); {
		case ra > rb:
			return -1
		case ra < rb:
			return 1
		}
		return 0
	})
	names := make([]string, len(list))
	low, high := make([]float64, len(list)), make([]float64, len(list))
	c := Chart{Name: "sensitivities", Title: word("tornado", d.Result)}
	c.head = []string{word("unknowns"), word("low_end"), d.Result + " (" + d.Unit + ")", word("high_end"), d.Result + " (" + d.Unit + ")"}
	for i, one := range list {
		names[i], low[i], high[i] = one.Name, one.AtLow, one.AtHigh
		c.rows = append(c.rows, []cell{words(one.Name), words(one.LowWords), num(one.AtLow), words(one.HighWords), num(one.AtHigh)})
	}
	c.empty = !anyKnown(low, high) || !known(d.Base)
	c.alt = c.Title + ": " + word("not_known")
	if !c.empty {
		c.alt = c.Title + ": " + word("moves_most", names[0], figure(low[0]), figure(high[0]), d.Unit, figure(d.Base))
	}
	c.draw = func(s *sheet) {
		s.legend(entry{second, asBox, nil, word("at_low_end")}, entry{first, asBox, nil, word("at_high_end")})
		base := constant(d.Base, len(list))
		x := innerScale(5, 0.25, low, high, base) // room for the numbers beyond the bars
		rows := rowChart{names: names, from: base, to: low, class: "mark low", xWords: d.Result + ", " + d.Unit, x: x, paired: true,
			look:   func(int) role { return second },
			labels: func(i int) string { return figure(low[i]) }, titles: func(i int) string { return list[i].LowWords }}
		again := rows
		again.to, again.class = high, "mark high"
		again.look, again.labels = func(int) role { return first }, func(i int) string { return figure(high[i]) }
		again.titles = func(i int) string { return list[i].HighWords }
		rows.second, rows.base = &again, d.Base
		rows.draw(s)
	}
	return c
}

// rowChart has bars that lie, each with its name to the left and its number at its end.
type rowChart struct {
	names    []string
	from, to []float64
	class    string
	xWords   string
	x        scale
	look     func(int) role
	labels   func(int) string
	titles   func(int) string // what a mark says before its number; nil for its name alone
	second   *rowChart        // more bars on the same rows
	base     float64          // an upright line where second is there
	paired   bool             // a bar has another one behind its beginning: no room for words there
}

func (r rowChart) draw(s *sheet) {
	shown := s.beside(r.names, s.c.Size().X*0.34)
	slices.Reverse(shown) // the first on top
	g := &grid{xWords: r.xWords, x: r.x, y: named(shown), upright: true}
	g.layers = append(g.layers, r.bars)
	if r.second != nil {
		g.layers = append(g.layers, r.second.bars, func(s *sheet, x, _ func(float64) vg.Length) {
			s.c.StrokeLine2(s.line(ink, 1.5), x(r.base), s.c.Min.Y, x(r.base), s.c.Max.Y)
		})
	}
	s.grid(g)
}

func (r rowChart) bars(s *sheet, x, y func(float64) vg.Length) {
	n := len(r.names)
	const half = 0.34
	for i := range n {
		if !known(r.from[i]) || !known(r.to[i]) {
			continue
		}
		middle := float64(n - 1 - i)
		x0, x1 := x(r.from[i]), x(r.to[i])
		label := r.labels(i)
		title := r.names[i]
		if r.titles != nil {
			title += ", " + r.titles(i)
		}
		s.mark(r.class, title+": "+label, func() {
			s.box(s.colour[r.look(i)], x0, y(middle-half), x1, y(middle+half))
			if y(middle+half)-y(middle-half) < textSize {
				return // no room for words; the table and the title have them
			}
			r.label(s, x0, x1, y(middle), label, s.upon(r.look(i)))
		})
	}
}

// label writes a bar's number beyond its end, or on the side where there is room, or upon it in the role that can be read there.
func (r rowChart) label(s *sheet, x0, x1, y vg.Length, label string, upon role) {
	width := s.style(ink, draw.XLeft, draw.YCenter).Width(label)
	left, right := min(x0, x1), max(x0, x1)
	const off = 4
	forward, inside := x1 >= x0, right-left > width+2*off
	roomRight, roomLeft := right+off+width <= s.c.Max.X, left-off-width >= s.c.Min.X
	switch {
	case r.paired && !inside && (forward && !roomRight || !forward && !roomLeft):
		return // the title, the table and the colour have it
	case forward && roomRight || !forward && !roomLeft && !inside:
		s.write(ink, draw.XLeft, draw.YCenter, vg.Point{X: right + off, Y: y}, label)
	case forward && inside:
		s.write(upon, draw.XRight, draw.YCenter, vg.Point{X: right - off, Y: y}, label)
	case !forward && !roomLeft:
		s.write(upon, draw.XLeft, draw.YCenter, vg.Point{X: left + off, Y: y}, label)
	default:
		s.write(ink, draw.XRight, draw.YCenter, vg.Point{X: left - off, Y: y}, label)
	}
}

package chart

import (
	"math"
	"strconv"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Coverage is how much of each month a record covers.
type Coverage struct {
	FirstYear int
	Shares    [][12]float64 // a year a row, January first; NaN outside the record
}

// CoverageCalendar draws a box a month, darker the more of it is covered.
func CoverageCalendar(d Coverage) Chart {
	c := Chart{Name: "coverage", Title: word("coverage"), empty: true}
	c.head = append([]string{word("year")}, suffixed(wordList("month_names"), " (%)")...)
	values := make([][]float64, len(d.Shares))
	years := make([]string, len(d.Shares))
	total, n := 0.0, 0
	for i, row := range d.Shares {
		years[i] = strconv.Itoa(d.FirstYear + i)
		cells := []cell{words(years[i])}
		for _, x := range row {
			values[i] = append(values[i], x*100)
			cells = append(cells, num(x*100))
			if known(x) {
				total, n = total+x, n+1
			}
		}
		c.rows = append(c.rows, cells)
	}
	c.empty = n == 0
	c.alt = word("coverage") + ": " + word("not_known")
	if n > 0 {
		c.alt = word("coverage") + ": " + word("covered_mean", figure(total/float64(n)*100), d.FirstYear, d.FirstYear+len(d.Shares)-1)
	}
	c.draw = func(s *sheet) {
		h := heat{values: values, rows: years, columns: wordList("months_short"), unit: "%", yWords: word("covered"), lo: 0, hi: 100, numbers: true}
		if s.narrow {
			h.columns = wordList("months_letter")
		}
		h.title = func(row, column int) string { return wordList("month_names")[column] + " " + years[row] }
		h.draw(s)
	}
	return c
}

// MonthHour is a mean by month and hour of the day.
type MonthHour struct {
	What, Unit string // such as "Wind speed" and "m/s"
	Values     [12][24]float64
}

// MonthHourHeat draws a box a month and hour, darker the more.
func MonthHourHeat(d MonthHour) Chart {
	c := Chart{Name: "month-hour", Title: word("month_hour", d.What)}
	c.head = []string{word("month")}
	hours := make([]string, 24)
	for h := range hours {
		hours[h] = strconv.Itoa(h)
		c.head = append(c.head, hours[h]+" h ("+d.Unit+")")
	}
	values := make([][]float64, 12)
	hi, lo := -1, -1
	at := func(k int) float64 { return d.Values[k/24][k%24] }
	for m := range values {
		values[m] = d.Values[m][:]
		cells := []cell{words(wordList("month_names")[m])}
		for h, x := range values[m] {
			cells = append(cells, num(x))
			if k := m*24 + h; known(x) {
				if hi < 0 || x > at(hi) {
					hi = k
				}
				if lo < 0 || x < at(lo) {
					lo = k
				}
			}
		}
		c.rows = append(c.rows, cells)
	}
	c.empty = hi < 0
	c.alt = c.Title + ": " + word("not_known")
	if !c.empty {
		c.alt = c.Title + ": " + word("heat_peak", hi%24, wordList("month_names")[hi/24], figure(at(hi)), d.Unit, lo%24, wordList("month_names")[lo/24], figure(at(lo)), d.Unit)
	}
	c.draw = func(s *sheet) {
		for h := range hours {
			if h%3 != 0 {
				hours[h] = ""
			}
		}
		from, to := extent(values...)
		rounded := roundScale(from, to, rampSteps, true)
		(&heat{values: values, rows: wordList("months_short"), columns: hours, unit: d.Unit, xWords: word("hour"), yWords: d.What + ", " + d.Unit,
			lo: rounded.min, hi: rounded.max, title: func(m, h int) string { return wordList("month_names")[m] + ", " + strconv.Itoa(h) + " h" }}).draw(s)
	}
	return c
}

// heat is a field of boxes, the first row on top.
type heat struct {
	values         [][]float64
	rows, columns  []string
	unit           string
	xWords, yWords string
	lo, hi         float64
	numbers        bool // written into the boxes where there is room
	title          func(row, column int) string
}

func (h *heat) step(x float64) role {
	k := int(math.Floor((x - h.lo) / (h.hi - h.lo) * float64(rampSteps)))
	return ramp1 + role(min(max(k, 0), rampSteps-1))
}

func (h *heat) draw(s *sheet) {
	s.key(h.lo, h.hi, h.unit)
	shown := make([]string, len(h.rows))
	every := 1 + len(h.rows)*lineHeight/max(1, int(s.c.Size().Y)-60) // so that the names of rows do not touch
	for i, r := range h.rows {
		if i%every == 0 {
			shown[len(shown)-1-i] = r
		}
	}
	g := &grid{xWords: h.xWords, yWords: h.yWords, x: named(h.columns), y: named(shown), upright: true}
	g.layers = []layer{func(s *sheet, x, y func(float64) vg.Length) {
		s.box(s.colour[paper], s.c.Min.X, s.c.Min.Y, s.c.Max.X, s.c.Max.Y) // no grid behind boxes
		for i, row := range h.values {
			middle := float64(len(h.rows) - 1 - i)
			for k, v := range row {
				if !known(v) {
					continue
				}
				x0, x1, y0, y1 := x(float64(k)-0.5), x(float64(k)+0.5), y(middle-0.5), y(middle+0.5)
				s.mark("mark", h.title(i, k)+": "+figure(v)+" "+h.unit, func() {
					r := h.step(v)
					s.box(s.colour[r], x0, y0, x1-0.75, y1-0.75)
					if on := s.upon(r); h.numbers && x1-x0 > 26 && y1-y0 > lineHeight {
						s.write(on, draw.XCenter, draw.YCenter, vg.Point{X: (x0 + x1) / 2, Y: (y0 + y1) / 2}, figure(math.Round(v)))
					}
				})
			}
		}
	}}
	s.grid(g)
}

// upon is the role, ink or paper, that is easier to read on a colour.
func (s *sheet) upon(r role) role {
	if contrast(s.colour[r].NRGBA, s.colour[ink].NRGBA) >= contrast(s.colour[r].NRGBA, s.colour[paper].NRGBA) {
		return ink
	}
	return paper
}

// key shows which shade stands for how much.
func (s *sheet) key(lo, hi float64, unit string) {
	s.mark("legend", "", func() {
		x, y := s.c.Min.X, s.c.Max.Y-lineHeight/2
		style := s.style(quiet, draw.XLeft, draw.YCenter)
		from, to := figure(lo), figure(hi)+" "+unit
		s.c.FillText(style, vg.Point{X: x, Y: y}, from)
		x += style.Width(from) + 6
		for k := range rampSteps {
			const wide = 18
			s.box(s.colour[ramp1+role(k)], x, y-5, x+wide-1, y+5)
			x += wide
		}
		s.c.FillText(style, vg.Point{X: x + 5, Y: y}, to)
	})
	s.c.Max.Y -= lineHeight + gap
}

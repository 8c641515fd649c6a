package chart

import (
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

func dashed(lengths ...vg.Length) []vg.Length { return lengths }

// rowsOf turns columns of numbers into rows.
func rowsOf(columns ...[]float64) [][]cell {
	rows := make([][]cell, len(columns[0]))
	for i := range rows {
		for _, column := range columns {
			rows[i] = append(rows[i], num(column[i]))
		}
	}
	return rows
}

// leastPercent is what a share that is less is told as less than.
const leastPercent = 0.001

// perCent writes a share in per cent to read: one that a distribution's tail alone makes has no digits worth telling.
func perCent(x float64) string {
	if x > 0 && x < leastPercent {
		return word("under", figure(leastPercent))
	}
	return figure(x)
}

// share is a share's cell in per cent; files keep all its digits.
func share(x float64) cell { return cell{number: x * 100, text: perCent(x * 100)} }

// readShares has columns of per cents, from one up to another, read as perCent writes them.
func readShares(rows [][]cell, from, to int) {
	for _, r := range rows {
		for i := from; i < to; i++ {
			r[i].text = perCent(r[i].number)
		}
	}
}

func constant(x float64, n int) []float64 {
	list := make([]float64, n)
	for i := range list {
		list[i] = x
	}
	return list
}

func orWords(given, otherwise string) string {
	if given != "" {
		return given
	}
	return otherwise
}

// pair is a mark's words: where, and how much.
func pair(x float64, xUnit string, y float64, yUnit string) string {
	return figureIn(x, xUnit) + " " + xUnit + ": " + figure(y) + " " + yUnit
}

// overRange says where numbers begin and end along x, and what the best of them is.
func overRange(x, y []float64, xUnit, yUnit string, best float64) string {
	from, to := -1, -1
	for i := range x {
		if known(x[i]) && known(y[i]) {
			if from < 0 {
				from = i
			}
			to = i
		}
	}
	if from < 0 {
		return word("not_known")
	}
	at := func(i int) string { return word("at", figure(y[i]), yUnit, figureIn(x[i], xUnit), xUnit) }
	said := at(from)
	if to > from {
		said = word("from_to", at(from), at(to))
	}
	for i := range x {
		if x[i] == best && best > 0 && known(y[i]) {
			said += "; " + word("best_at", figureIn(x[i], xUnit), xUnit, figure(y[i]), yUnit)
		}
	}
	return said
}

// cheapest rings the best height's dot and names it, above or below it.
func cheapest(xs, ys []float64, best float64, unit string, above bool) layer {
	return func(s *sheet, x, y func(float64) vg.Length) {
		for i := range xs {
			if xs[i] != best || !(best > 0) || !known(ys[i]) {
				continue
			}
			at := vg.Point{X: x(xs[i]), Y: y(ys[i])}
			s.mark("best", "", func() {
				s.c.SetLineStyle(s.line(ink, 1.5))
				s.c.Stroke(disc(at, dotRadius+3.5))
				label := word("best", figureIn(best, unit), unit)
				style := s.style(ink, draw.XCenter, draw.YTop)
				half := style.Width(label) / 2
				const clear = 8 // of the labels beside the axis
				at.X = min(max(at.X, s.c.Min.X+half+clear), s.c.Max.X-half)
				const off = dotRadius + 7
				if above && at.Y+off+lineHeight < s.c.Max.Y || at.Y-off-lineHeight < s.c.Min.Y {
					at.Y += off + lineHeight
				} else {
					at.Y -= off
				}
				s.halo(ink, draw.XCenter, draw.YTop, at, label)
			})
		}
	}
}

var nan = math.NaN()

package chart

import (
	"gonum.org/v1/plot/vg"
)

// Harvest is what the meter read beside what was estimated, by period.
type Harvest struct {
	Periods      []string
	EstimatedKWh []float64
	CorrectedKWh []float64 // the estimate for the wind there was; nil for none, NaN where no record covers it
	MeteredKWh   []float64
}

// PromiseHarvest draws the meter's readings beside the estimate, and beside the estimate for the wind there was.
func PromiseHarvest(d Harvest) Chart {
	n := len(d.Periods)
	need(n, d.EstimatedKWh, d.CorrectedKWh, d.MeteredKWh)
	c := Chart{Name: "harvest", Title: word("harvest"), empty: !anyKnown(d.EstimatedKWh, d.MeteredKWh)}
	unit, per := energyUnit(d.EstimatedKWh, d.MeteredKWh)
	promised, corrected, metered := over(d.EstimatedKWh, per), over(d.CorrectedKWh, per), over(d.MeteredKWh, per)
	c.head = []string{word("period")}
	for _, p := range d.Periods {
		c.rows = append(c.rows, []cell{words(p)})
	}
	for _, column := range []struct {
		name string
		list []float64
	}{{word("promised"), promised}, {word("corrected"), corrected}, {word("harvested"), metered}} {
		if column.list != nil {
			c.head = append(c.head, column.name+" ("+unit+")")
			for i := range c.rows {
				c.rows[i] = append(c.rows[i], num(column.list[i]))
			}
		}
	}
	c.alt = word("harvest") + ": " + word("harvest_sum", figure(both(metered, promised)), unit, figure(both(promised, metered)), unit)
	if anyKnown(corrected) {
		c.alt += "; " + word("harvest_wind", figure(both(corrected, metered)), unit)
	}
	c.draw = func(s *sheet) {
		entries := []entry{{ramp3, asBox, nil, word("promised")}, {first, asBox, nil, word("harvested")}}
		at := make([]float64, n)
		left, middle, right := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range at {
			at[i] = float64(i) - 0.19
			left[i], middle[i], right[i] = float64(i)-0.38, float64(i), float64(i)+0.38
		}
		title := func(name string, list []float64) func(int) string {
			return func(i int) string { return d.Periods[i] + ", " + name + ": " + figure(list[i]) + " " + unit }
		}
		g := &grid{yWords: word("energy") + ", " + unit, x: named(s.thin(d.Periods)), y: scaleOf(true, 5, promised, corrected, metered)}
		g.layers = []layer{bars("mark promised", ramp3, left, middle, promised, title(word("promised"), promised)),
			bars("mark metered", first, middle, right, metered, title(word("harvested"), metered))}
		if corrected != nil {
			entries = append(entries, entry{second, asDot, nil, word("corrected")})
			g.layers = append(g.layers, dots("corrected", second, at, corrected, title(word("corrected"), corrected)))
		}
		s.legend(entries...)
		s.grid(g)
	}
	return c
}

// both adds a list where another is known too, so that sums can be compared.
func both(list, other []float64) float64 {
	total := 0.0
	for i := range list {
		if i < len(other) && known(list[i]) && known(other[i]) {
			total += list[i]
		}
	}
	return total
}

// thin leaves out names so that those that stay do not touch.
func (s *sheet) thin(names []string) []string {
	style := s.style(quiet, 0, 0)
	widest := style.Width("0")
	const most = 110 // px
	for _, n := range names {
		widest = max(widest, style.Width(fit(style, n, most)))
	}
	every := 1 + int((widest+8)*vg.Length(len(names))/max(1, s.c.Size().X-50))
	out := make([]string, len(names))
	for i, n := range names {
		if i%every == 0 {
			out[i] = fit(style, n, most)
		}
	}
	return out
}

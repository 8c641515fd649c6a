package chart

import (
	"strconv"

	"gonum.org/v1/plot/vg"
)

// CashFlow is the money so far at the end of each year, the outlay in year 0.
type CashFlow struct {
	Turbine, Solar []float64 // cumulative, from year 0 on; one may be nil
	Discounted     bool      // in today's money
	Units          Units
}

// CashOverLife draws the money so far over the life.
func CashOverLife(d CashFlow) Chart {
	years := max(len(d.Turbine), len(d.Solar))
	c := Chart{Name: "cash", Title: word("cash"), empty: !anyKnown(d.Turbine, d.Solar)}
	money := d.Units.money("")
	of := money
	if of != "" {
		of = " (" + of + ")"
	}
	c.head = []string{word("year")}
	at := make([]float64, years)
	for i := range at {
		at[i] = float64(i)
		c.rows = append(c.rows, []cell{words(strconv.Itoa(i))})
	}
	series := []struct {
		name string
		list []float64
		role role
		dash []vg.Length
	}{{word("wind"), d.Turbine, first, nil}, {word("solar_same"), d.Solar, second, dashed(8, 3)}}
	for k, one := range series {
		if one.list == nil {
			continue
		}
		padded := append(append([]float64(nil), one.list...), constant(nan, years-len(one.list))...)
		series[k].list = padded
		c.head = append(c.head, one.name+of)
		for i := range c.rows {
			c.rows[i] = append(c.rows[i], num(padded[i]))
		}
		c.alt = join(c.alt, paysBack(one.name, padded, money))
	}
	c.alt = word("cash") + ": " + orWords(c.alt, word("not_known"))
	c.draw = func(s *sheet) {
		y := word("money_so_far")
		if money != "" {
			y += ", " + money
		}
		if d.Discounted {
			y += ", " + word("today")
		}
		g := &grid{xWords: word("year"), yWords: y, x: roundScale(0, max(1, float64(years-1)), 8, false), y: scaleOf(true, 5, d.Turbine, d.Solar)}
		g.layers = append(g.layers, func(s *sheet, _, y func(float64) vg.Length) {
			s.mark("zero", "", func() { s.c.StrokeLine2(s.line(quiet, hairline), s.c.Min.X, y(0), s.c.Max.X, y(0)) })
		})
		var entries []entry
		for _, one := range series {
			if one.list != nil {
				entries = append(entries, entry{one.role, asLine, one.dash, one.name})
				g.layers = append(g.layers, curve("line", one.role, at, one.list, one.dash...))
			}
		}
		s.legend(entries...)
		s.grid(g)
	}
	return c
}

// paysBack says when the money so far is first not below zero to its end, and how much there is then.
func paysBack(name string, list []float64, money string) string {
	year, last := -1, nan
	for i, x := range list {
		if !known(x) {
			continue
		}
		last = x
		switch {
		case x < 0:
			year = -1
		case year < 0:
			year = i
		}
	}
	if !known(last) {
		return name + " " + word("not_known")
	}
	end := figure(last)
	if money != "" {
		end += " " + money
	}
	if year < 0 {
		return word("never_back", name, end)
	}
	return word("back_after", name, year, end)
}

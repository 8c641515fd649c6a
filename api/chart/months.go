package chart

// MonthEnergy is a year's energy by month, January first.
type MonthEnergy struct {
	WindKWh, SolarKWh []float64 // twelve, or nil
}

// Months draws wind beside solar by month.
func Months(d MonthEnergy) Chart {
	const months = 12
	need(months, d.WindKWh, d.SolarKWh)
	c := Chart{Name: "months", Title: word("months"), empty: !anyKnown(d.WindKWh, d.SolarKWh)}
	unit, per := energyUnit(d.WindKWh, d.SolarKWh)
	wind, solar := over(d.WindKWh, per), over(d.SolarKWh, per)
	c.head = []string{word("month")}
	for m := range months {
		c.rows = append(c.rows, []cell{words(wordList("month_names")[m])})
	}
	series := []struct {
		kWh  []float64
		name string
		role role
	}{{wind, word("wind"), first}, {solar, word("solar_same"), second}}
	here := series[:0:0]
	for _, one := range series {
		if one.kWh != nil {
			here = append(here, one)
			c.head = append(c.head, one.name+" ("+unit+")")
			for m := range c.rows {
				c.rows[m] = append(c.rows[m], num(one.kWh[m]))
			}
			c.alt = join(c.alt, most(one.name, one.kWh, unit))
		}
	}
	c.alt = word("months") + ": " + orWords(c.alt, word("not_known"))
	c.draw = func(s *sheet) {
		names := wordList("months_short")
		if s.narrow {
			names = wordList("months_letter")
		}
		g := &grid{yWords: word("energy") + ", " + unit + " " + word("a_month"), x: named(names), y: scaleOf(true, 5, wind, solar)}
		var entries []entry
		width := 0.72 / float64(len(here))
		for k, one := range here {
			from, to := make([]float64, months), make([]float64, months)
			for m := range months {
				from[m] = float64(m) - 0.36 + float64(k)*width
				to[m] = from[m] + width - 0.02
			}
			entries = append(entries, entry{one.role, asBox, nil, one.name})
			g.layers = append(g.layers, bars("mark", one.role, from, to, one.kWh, func(m int) string {
				return wordList("month_names")[m] + ", " + one.name + ": " + figure(one.kWh[m]) + " " + unit
			}))
		}
		s.legend(entries...)
		s.grid(g)
	}
	return c
}

// most says in which months a series is greatest and least.
func most(name string, list []float64, unit string) string {
	hi, lo := -1, -1
	for i, x := range list {
		if !known(x) {
			continue
		}
		if hi < 0 || x > list[hi] {
			hi = i
		}
		if lo < 0 || x < list[lo] {
			lo = i
		}
	}
	if hi < 0 {
		return name + " " + word("not_known")
	}
	return word("most_least", name, wordList("month_names")[hi], figure(list[hi]), unit, wordList("month_names")[lo], figure(list[lo]), unit)
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

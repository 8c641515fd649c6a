package chart

// EnergyHeights is a year's net energy by hub height.
type EnergyHeights struct {
	HubHeightM, NetKWh []float64
	LowKWh, HighKWh    []float64 // nil where there is no range
	RangeWords         string    // what the range is, such as "80 % of outcomes"
	BestM              float64   // the height with the cheapest kWh; NaN or 0 for none
	Units              Units
}

// EnergyByHeight draws energy against hub height, with its range.
func EnergyByHeight(d EnergyHeights) Chart {
	need(len(d.HubHeightM), d.NetKWh, d.LowKWh, d.HighKWh)
	c := Chart{Name: "energy-by-height", Title: word("energy_by_height"), empty: !anyKnown(d.NetKWh)}
	hubs, length := d.Units.lengths(d.HubHeightM)
	best, _ := d.Units.length(d.BestM)
	unit, per := energyUnit(d.NetKWh, d.HighKWh)
	net, low, high := over(d.NetKWh, per), over(d.LowKWh, per), over(d.HighKWh, per)
	c.head = []string{word("hub_height") + " (" + length + ")", word("net_energy") + " (" + unit + ")"}
	columns := [][]float64{hubs, net}
	if d.LowKWh != nil && d.HighKWh != nil {
		c.head = append(c.head, word("low")+" ("+unit+")", word("high")+" ("+unit+")")
		columns = append(columns, low, high)
	}
	c.rows = rowsOf(columns...)
	readLengths(c.rows, 0, length)
	c.alt = word("energy_by_height") + ": " + overRange(hubs, net, length, unit, best)
	c.draw = func(s *sheet) {
		if low != nil && high != nil {
			s.legend(entry{first, asLine, nil, word("net_energy")}, entry{band, asBox, nil, orWords(d.RangeWords, word("range"))})
		}
		g := &grid{xWords: word("hub_height") + ", " + length, yWords: word("net_energy") + ", " + unit + " " + word("a_year"),
			x: atEach(hubs, length), y: scaleOf(true, 5, net, low, high)}
		g.layers = append(g.layers, between("range", band, hubs, low, high), curve("line", first, hubs, net),
			dots("mark", first, hubs, net, func(i int) string { return pair(hubs[i], length, net[i], unit) }),
			cheapest(hubs, net, best, length, false))
		s.grid(g)
	}
	return c
}

// HeightCosts is what a kWh costs by hub height.
type HeightCosts struct {
	HubHeightM, PerKWh    []float64
	LowPerKWh, HighPerKWh []float64 // nil where there is no range
	RangeWords            string
	SolarPerKWh           []float64 // of the array of equal cost, by height; nil for none
	PricePerKWh           float64   // what is paid for a kWh today; NaN or 0 for none
	BestM                 float64   // NaN or 0 for none
	Units                 Units
}

// CostByHeight draws the cost of a kWh against hub height, beside that of the sun and the price of today.
func CostByHeight(d HeightCosts) Chart {
	need(len(d.HubHeightM), d.PerKWh, d.LowPerKWh, d.HighPerKWh, d.SolarPerKWh)
	c := Chart{Name: "cost-by-height", Title: word("cost_by_height"), empty: !anyKnown(d.PerKWh, d.SolarPerKWh)}
	hubs, length := d.Units.lengths(d.HubHeightM)
	best, _ := d.Units.length(d.BestM)
	unit := d.Units.money(word("a_kwh"))
	c.head = []string{word("hub_height") + " (" + length + ")", word("wind") + " (" + unit + ")"}
	columns := [][]float64{hubs, d.PerKWh}
	if d.LowPerKWh != nil && d.HighPerKWh != nil {
		c.head = append(c.head, word("low")+" ("+unit+")", word("high")+" ("+unit+")")
		columns = append(columns, d.LowPerKWh, d.HighPerKWh)
	}
	if d.SolarPerKWh != nil {
		c.head = append(c.head, word("solar")+" ("+unit+")")
		columns = append(columns, d.SolarPerKWh)
	}
	priced := known(d.PricePerKWh) && d.PricePerKWh > 0
	price := word("price_of", figure(d.PricePerKWh), unit)
	if priced {
		c.head = append(c.head, word("price")+" ("+unit+")")
		columns = append(columns, constant(d.PricePerKWh, len(hubs)))
	}
	c.rows = rowsOf(columns...)
	readLengths(c.rows, 0, length)
	c.alt = word("cost_by_height") + ": " + overRange(hubs, d.PerKWh, length, unit, best)
	if lo, hi := extent(d.SolarPerKWh); anyKnown(d.SolarPerKWh) {
		c.alt += "; " + word("solar_from_to", figure(lo), figure(hi), unit)
	}
	if priced {
		c.alt += "; " + price
	}
	c.draw = func(s *sheet) {
		entries := d.entries()
		if priced {
			entries = append(entries, entry{ink, asLine, priceDash, price})
		}
		s.legend(entries...)
		y := [][]float64{d.PerKWh, d.HighPerKWh, d.SolarPerKWh}
		if priced {
			y = append(y, []float64{d.PricePerKWh})
		}
		g := &grid{xWords: word("hub_height") + ", " + length, yWords: word("cost_of") + " " + unit, x: atEach(hubs, length), y: scaleOf(true, 5, y...)}
		g.layers = append(g.layers, between("range", band, hubs, d.LowPerKWh, d.HighPerKWh))
		if priced {
			g.layers = append(g.layers, level("price", ink, d.PricePerKWh, price))
		}
		if d.SolarPerKWh != nil {
			g.layers = append(g.layers, curve("line", second, hubs, d.SolarPerKWh, 7, 3))
		}
		g.layers = append(g.layers, curve("line", first, hubs, d.PerKWh),
			dots("mark", first, hubs, d.PerKWh, func(i int) string { return pair(hubs[i], length, d.PerKWh[i], unit) }),
			cheapest(hubs, d.PerKWh, best, length, true))
		s.grid(g)
	}
	return c
}

func (d *HeightCosts) entries() []entry {
	entries := []entry{{first, asLine, nil, word("wind")}}
	if d.LowPerKWh != nil && d.HighPerKWh != nil {
		entries = append(entries, entry{band, asBox, nil, orWords(d.RangeWords, word("range"))})
	}
	if d.SolarPerKWh != nil {
		entries = append(entries, entry{second, asLine, dashed(7, 3), word("solar_same")})
	}
	return entries
}

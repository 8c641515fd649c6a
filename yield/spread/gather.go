package spread

import "math"

const hoursPerYear = 8760

// result gathers what the blocks have drawn.
func (d *draw) result(keep bool) Result {
	r := Result{Seed: d.seed, Draws: d.blocks * d.size, Blocks: d.blocks, Heights: make([]Height, len(d.heights))}
	explained := d.explained()
	spreads := make([][outputs]Spread, len(d.heights)+1)
	d.each(len(spreads)*outputs, func() func(int) {
		var by sorter
		return func(task int) {
			h, k := task/outputs, task%outputs
			switch {
			case h < len(d.heights):
				spreads[h][k] = d.spread(&by, d.heights[h][k], k, explained[h][k], d.central(h, -1, 0)[k])
			case k != netValue:
				spreads[h][k] = d.spread(&by, d.solar[k], k, explained[h][k], d.solarCentral(k))
			}
		}
	})
	for h := range r.Heights {
		d.tell(&r.Heights[h], h, spreads[h])
	}
	s := &spreads[len(d.heights)]
	r.Solar.Year = Period{s[yearEnergy], unknown(), s[yearCost]}
	r.Solar.Life = Period{s[lifeEnergy], unknown(), s[lifeCost]}
	r.Price = spreadOf(new(sorter), d.price, d.size, false)
	r.Price.Central = d.model.Price
	beyond, looked, clipped, factors := 0, 0, 0, 0
	for i := range d.tallies {
		t := &d.tallies[i]
		beyond, looked, clipped, factors = beyond+t.beyond, looked+t.looked, clipped+t.clipped, factors+t.factors
	}
	r.Beyond, r.Clipped = float64(beyond)/float64(looked), float64(clipped)/math.Max(1, float64(factors))
	r.Warnings = d.warnings(&r)
	if keep {
		r.Joint = d.joint()
	}
	return r
}

func (d *draw) spread(by *sorter, values []float64, output int, explained []float64, central float64) Spread {
	s := spreadOf(by, values, d.size, output != yearCost && output != lifeCost)
	s.Central = central
	if known(values) {
		d.share(&s, explained)
	}
	return s
}

// solarCentral is the array's output with every source at its centre.
func (d *draw) solarCentral(output int) float64 {
	if output == yearEnergy || output == lifeEnergy {
		return d.model.Solar.AnnualKWh
	}
	return d.model.Solar.PerKWh
}

// tell puts together what is known of one height.
func (d *draw) tell(to *Height, h int, s [outputs]Spread) {
	full := 1 / (d.model.Heights[h].RatedKW * hoursPerYear)
	factor := func(energy Spread) Spread {
		if math.IsNaN(full) {
			return unknown()
		}
		return energy.scaled(full)
	}
	to.Year = Period{s[yearEnergy], factor(s[yearEnergy]), s[yearCost]}
	to.Life = Period{s[lifeEnergy], factor(s[lifeEnergy]), s[lifeCost]}
	to.NPV = s[netValue]
	price, solar := known(d.price), known(d.solar[lifeCost])
	to.Cheapest = d.odds(true, func(t *tally) int { return t.cheapest[h] })
	to.BestValue = d.odds(price, func(t *tally) int { return t.bestValue[h] })
	to.BelowSolar = d.odds(solar, func(t *tally) int { return t.belowSolar[h] })
	to.BelowPrice = d.odds(price, func(t *tally) int { return t.belowPrice[h] })
	to.Swings = d.swings(h)
	to.LinearYear, to.LinearLife, to.Sensitivity = d.linear(h)
}

// odds are the share of draws that were counted.
func (d *draw) odds(known bool, count func(*tally) int) Odds {
	if !known {
		return Odds{math.NaN(), math.NaN()}
	}
	shares := make([]float64, d.blocks)
	for b := range shares {
		shares[b] = float64(count(&d.tallies[b])) / float64(d.size)
	}
	return OddsOf(shares)
}

func (d *draw) joint() *Joint {
	j := &Joint{SolarPerKWh: d.solar[lifeCost], Price: d.price, Scores: d.scores}
	for h := range d.heights {
		j.EnergyKWh = append(j.EnergyKWh, d.heights[h][lifeEnergy])
		j.CostPerKWh = append(j.CostPerKWh, d.heights[h][lifeCost])
		j.NPV = append(j.NPV, d.heights[h][netValue])
	}
	return j
}

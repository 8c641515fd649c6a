package spread

import "math"

// scratch is the working room of one block after another.
type scratch struct {
	years                        [][][]float64 // source, year, draw; nil for sources drawn once
	steady, gain, speed, kWh     []float64
	cost, upkeep, sum, discSum   []float64
	bestCost, bestValue          []float64
	cheapestHeight, valuedHeight []int
}

// block draws one net and sends it through everything.
func (d *draw) block(b int, w *scratch) {
	t := &d.tallies[b]
	heights := len(d.heights)
	counts := make([]int, 4*heights)
	t.cheapest, t.bestValue, t.belowSolar, t.belowPrice = counts[:heights], counts[heights:2*heights], counts[2*heights:3*heights], counts[3*heights:]
	from, to := b*d.size, (b+1)*d.size
	d.drawScores(b, w)
	price := d.price[from:to]
	fill(price, d.model.Price)
	d.once(t, price, from, -1, Price)
	d.array(t, w, from, to)
	for h := range d.heights {
		d.height(t, w, h, from, to)
	}
	d.compare(t, w, from, to)
}

func (d *draw) room() *scratch {
	n := d.size
	room := make([]float64, 10*n)
	next := func() []float64 {
		out := room[:n:n]
		room = room[n:]
		return out
	}
	w := &scratch{years: make([][][]float64, len(d.sources)), cheapestHeight: make([]int, n), valuedHeight: make([]int, n)}
	for _, c := range []*[]float64{&w.steady, &w.gain, &w.speed, &w.kWh, &w.cost, &w.upkeep, &w.sum, &w.discSum, &w.bestCost, &w.bestValue} {
		*c = next()
	}
	for i := range d.sources {
		s := &d.sources[i]
		if !s.EveryYear {
			continue
		}
		w.years[i] = make([][]float64, d.yearsOf(s)) // the first is in the draw's own scores
		room := make([]float64, (len(w.years[i])-1)*n)
		for y := 1; y < len(w.years[i]); y++ {
			w.years[i][y] = room[(y-1)*n : y*n : y*n]
		}
	}
	return w
}

func fill(to []float64, v float64) {
	for i := range to {
		to[i] = v
	}
}

// drawScores fills the block's scores: the net for each source, Latin hypercubes for the years after the first.
func (d *draw) drawScores(b int, w *scratch) {
	from, to := b*d.size, (b+1)*d.size
	for i := range d.sources {
		s := &d.sources[i]
		random := newStream(d.seed, uint64(b)+1, uint64(i)+1)
		net := sobolColumn(i)
		first := d.scores[i][from:to]
		net.fill(first, random)
		s.score(first)
		years := w.years[i]
		if len(years) == 0 {
			continue
		}
		years[0] = first
		if len(years) == 1 {
			continue
		}
		sum := d.lifeScores[i][from:to]
		copy(sum, first)
		for _, year := range years[1:] {
			random.latin(year)
			s.score(year)
			for j, z := range year {
				sum[j] += z
			}
		}
		for j := range sum {
			sum[j] /= math.Sqrt(float64(len(years)))
		}
	}
}

// once multiplies to by the factors of all sources of a kind that are drawn once, at a height (−1 for none).
func (d *draw) once(t *tally, to []float64, from, height int, kind Kind) {
	for i := range d.sources {
		if s := &d.sources[i]; s.Kind == kind && !s.EveryYear {
			d.apply(t, s, to, d.scores[i][from:from+len(to)], height)
		}
	}
}

// yearly multiplies to by the factors of a year of all sources of a kind that are drawn every year.
func (d *draw) yearly(t *tally, w *scratch, to []float64, year, height int, kind Kind) {
	for i := range d.sources {
		if s := &d.sources[i]; s.Kind == kind && s.EveryYear {
			d.apply(t, s, to, w.years[i][year], height)
		}
	}
}

func (d *draw) apply(t *tally, s *Source, to, scores []float64, height int) {
	t.clipped += s.multiply(to, scores, s.at(max(height, 0)))
	t.factors += len(to)
}

// varies reports whether anything of a kind is drawn every year at a height.
func (d *draw) varies(height int, kinds ...Kind) bool {
	for i := range d.sources {
		for _, kind := range kinds {
			if s := &d.sources[i]; s.Kind == kind && s.EveryYear && s.at(max(height, 0)) > 0 {
				return true
			}
		}
	}
	return false
}

// height sends a block through the energy and the money of one height.
func (d *draw) height(t *tally, w *scratch, h, from, to int) {
	m := &d.model.Heights[h]
	fill(w.steady, 1)
	d.once(t, w.steady, from, h, WindSpeed)
	fill(w.gain, m.NetShare)
	d.once(t, w.gain, from, h, WindEnergy)
	fill(w.cost, m.CapitalPerYear)
	d.once(t, w.cost, from, h, Capital)
	fill(w.upkeep, m.ReplacementsPerYear+m.UpkeepPerYear)
	d.once(t, w.upkeep, from, h, Upkeep)
	for i, u := range w.upkeep {
		w.cost[i] += u
	}
	d.once(t, w.cost, from, h, Costs)

	year, life := d.heights[h][yearEnergy][from:to], d.heights[h][lifeEnergy][from:to]
	fill(w.sum, 0)
	fill(w.discSum, 0)
	anew := d.varies(h, WindSpeed, WindEnergy)
	for y := range d.mean {
		if y == 0 || anew {
			copy(w.speed, w.steady)
			d.yearly(t, w, w.speed, y, h, WindSpeed)
			t.beyond += m.Energy.look(w.kWh, w.speed)
			t.looked += len(w.speed)
			d.yearly(t, w, w.kWh, y, h, WindEnergy)
		}
		if y == 0 {
			copy(year, w.kWh)
		}
		mean, even := d.mean[y], d.even[y]
		for i, e := range w.kWh {
			w.sum[i] += mean * e
			w.discSum[i] += even * e
		}
	}
	yearPer, lifePer, value := d.heights[h][yearCost][from:to], d.heights[h][lifeCost][from:to], d.heights[h][netValue][from:to]
	for i, gain := range w.gain {
		year[i] *= gain
		life[i] = w.sum[i] * gain
		even := w.discSum[i] * gain
		yearPer[i], lifePer[i] = per(w.cost[i], year[i]), per(w.cost[i], even)
		value[i] = (even*d.price[from+i] - w.cost[i]) * d.present
	}
}

// per is a cost over an energy, +Inf where there is none, NaN where the cost is not known.
func per(cost, kWh float64) float64 {
	if kWh == 0 && !math.IsNaN(cost) {
		return math.Inf(1)
	}
	return cost / kWh
}

// look reads the energies at factors and counts those outside the table.
func (t *EnergyTable) look(kWh, factors []float64) (beyond int) {
	kWh = kWh[:len(factors)]
	for i, m := range factors {
		kWh[i] = t.At(m)
		if m < t.lo || m > t.hi {
			beyond++
		}
	}
	return beyond
}

// array sends a block through the array's energy and cost.
func (d *draw) array(t *tally, w *scratch, from, to int) {
	solar := &d.model.Solar
	fill(w.gain, 1)
	d.once(t, w.gain, from, -1, SolarEnergy)
	fill(w.cost, solar.PerKWh)
	d.once(t, w.cost, from, -1, SolarCost)
	fill(w.sum, 0)
	fill(w.discSum, 0)
	year, life := d.solar[yearEnergy][from:to], d.solar[lifeEnergy][from:to]
	yearPer, lifePer := d.solar[yearCost][from:to], d.solar[lifeCost][from:to]
	anew := d.varies(-1, SolarEnergy)
	for y := range d.solarMean {
		if y == 0 || anew {
			fill(w.kWh, 1)
			d.yearly(t, w, w.kWh, y, -1, SolarEnergy)
		}
		if y == 0 {
			copy(year, w.kWh)
		}
		for i, e := range w.kWh {
			w.sum[i] += d.solarMean[y] * e
			w.discSum[i] += d.solarEven[y] * e
		}
	}
	for i, gain := range w.gain {
		yearPer[i], lifePer[i] = per(w.cost[i], year[i]*gain), per(w.cost[i], w.discSum[i]*gain)
		year[i] *= gain * solar.AnnualKWh
		life[i] = w.sum[i] * gain * solar.AnnualKWh
	}
}

// compare counts, world by world, which height is the best and whether it beats the array and the price.
func (d *draw) compare(t *tally, w *scratch, from, to int) {
	fill(w.bestCost, math.Inf(1))
	fill(w.bestValue, math.Inf(-1))
	for h := range d.heights {
		cost, value := d.heights[h][lifeCost][from:to], d.heights[h][netValue][from:to]
		solar, price := d.solar[lifeCost][from:to], d.price[from:to]
		for i, c := range cost {
			if c < w.bestCost[i] {
				w.bestCost[i], w.cheapestHeight[i] = c, h
			}
			if value[i] > w.bestValue[i] {
				w.bestValue[i], w.valuedHeight[i] = value[i], h
			}
			if c < solar[i] {
				t.belowSolar[h]++
			}
			if c < price[i] {
				t.belowPrice[h]++
			}
		}
	}
	for i := range w.bestCost {
		if !math.IsInf(w.bestCost[i], 1) {
			t.cheapest[w.cheapestHeight[i]]++
		}
		if !math.IsInf(w.bestValue[i], -1) {
			t.bestValue[w.valuedHeight[i]]++
		}
	}
}

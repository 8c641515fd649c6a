package chart

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// HeightPair is the wind at two heights at the same times.
type HeightPair struct {
	LowM, HighM   float64
	LowMS, HighMS []float64 // speeds; NaN where missing or flagged
	Units         Units
}

// TwoHeights draws how often which pair of speeds occurred, with the mean at the upper height for each speed at the lower one.
// However long the record is, the picture has at most 1600 boxes.
func TwoHeights(d HeightPair) Chart {
	need(len(d.LowMS), d.HighMS)
	lowAt, length := d.Units.length(d.LowM)
	highAt, _ := d.Units.length(d.HighM)
	_, unit := d.Units.speeds(nil)
	p := pairsOf(&d)
	c := Chart{Name: "two-heights", Title: word("two_heights"), empty: p.n == 0}
	xWords, yWords := word("speed_at", figureIn(lowAt, length), length), word("speed_at", figureIn(highAt, length), length)
	c.head = []string{xWords + " (" + unit + ")", yWords + " (" + unit + ")", word("mean_ratio"), word("count")}
	ratio := make([]float64, len(p.lowMean))
	for i := range ratio {
		ratio[i] = p.highMean[i] / p.lowMean[i]
	}
	c.rows = rowsOf(p.lowMean, p.highMean, ratio, p.count)
	c.alt = word("two_heights") + ": " + word("not_known")
	if p.n > 0 {
		c.alt = word("two_heights") + ": " + word("ratio_of", p.n, figureIn(highAt, length), length, figure(p.sumHigh/p.sumLow), figureIn(lowAt, length), length)
	}
	c.draw = func(s *sheet) {
		s.legend(entry{ramp4, asBox, nil, word("pairs")}, entry{second, asDot, nil, word("mean_of_bin")}, entry{quiet, asLine, dashed(4, 4), word("equal")})
		one := roundScale(0, p.top, 8, true)
		g := &grid{xWords: xWords + ", " + unit, yWords: yWords + ", " + unit, x: one, y: one}
		g.layers = []layer{p.boxes, curve("equal", quiet, []float64{0, one.max}, []float64{0, one.max}, 4, 4),
			dots("mark", second, p.lowMean, p.highMean, func(i int) string { return pair(p.lowMean[i], unit, p.highMean[i], unit) })}
		s.grid(g)
	}
	return c
}

const pairBoxes = 40

// pairs are counts of pairs by both speeds, and means by the lower height's.
type pairs struct {
	n, most                  int
	top, sumLow, sumHigh     float64
	cells                    [pairBoxes][pairBoxes]int
	lowMean, highMean, count []float64
}

// Bins are the means of the pairs at both heights, and how many there are, for each whole unit of speed at the lower one.
func (d HeightPair) Bins() (lowMean, highMean, count []float64) {
	need(len(d.LowMS), d.HighMS)
	p := pairsOf(&d)
	return p.lowMean, p.highMean, p.count
}

func pairsOf(d *HeightPair) *pairs {
	low, _ := d.Units.speeds(d.LowMS)
	high, _ := d.Units.speeds(d.HighMS)
	const fastest = 300 // of either unit; nothing on earth blows faster
	good := func(i int) bool { return low[i] >= 0 && high[i] >= 0 && low[i] < fastest && high[i] < fastest }
	p := &pairs{}
	for i := range low {
		if good(i) {
			p.top = max(p.top, low[i], high[i])
		}
	}
	p.top = roundScale(0, max(p.top, 1), 8, true).max
	bins := int(math.Ceil(p.top))
	lowSum, highSum, count := make([]float64, bins+1), make([]float64, bins+1), make([]float64, bins+1)
	for i := range low {
		if !good(i) {
			continue
		}
		p.n++
		p.sumLow, p.sumHigh = p.sumLow+low[i], p.sumHigh+high[i]
		row, column := min(int(high[i]/p.top*pairBoxes), pairBoxes-1), min(int(low[i]/p.top*pairBoxes), pairBoxes-1)
		p.cells[row][column]++
		p.most = max(p.most, p.cells[row][column])
		b := min(int(low[i]), bins)
		lowSum[b], highSum[b], count[b] = lowSum[b]+low[i], highSum[b]+high[i], count[b]+1
	}
	for b, n := range count {
		if n > 0 {
			p.lowMean, p.highMean, p.count = append(p.lowMean, lowSum[b]/n), append(p.highMean, highSum[b]/n), append(p.count, n)
		}
	}
	return p
}

// boxes are the counts, by their logarithm, for most pairs crowd at low speeds.
func (p *pairs) boxes(s *sheet, x, y func(float64) vg.Length) {
	s.mark("counts", "", func() {
		wide := p.top / pairBoxes
		for i := range p.cells {
			for k, n := range p.cells[i] {
				if n == 0 {
					continue
				}
				share := 1.0
				if p.most > 1 {
					share = math.Log(float64(n)) / math.Log(float64(p.most))
				}
				r := ramp2 + role(math.Round(share*float64(rampSteps-2)))
				s.box(s.colour[r], x(float64(k)*wide), y(float64(i)*wide), x(float64(k+1)*wide), y(float64(i+1)*wide))
			}
		}
	})
}

package assess

import (
	"math"

	"mastworth/yield"
)

// This file makes the energy of a wind that is stronger or weaker by a factor, which the odds ask for many times.

func (p weibullPower) meanPowerAt(c *yield.Curve, factor float64) float64 {
	if !(factor > 0) {
		return c.Power(0)
	}
	p.w = p.w.Scaled(factor)
	watts, _ := p.meanPower(c)
	return watts
}

func (p histogramPower) meanPowerAt(c *yield.Curve, factor float64) float64 {
	if !(factor > 0) {
		return c.Power(0)
	}
	return c.MeanPowerHistogram(p.h.Scaled(factor))
}

func (b *blend) meanPowerAt(c *yield.Curve, factor float64) float64 {
	return b.mean(func(p powered) float64 { return p.meanPowerAt(c, factor) })
}

// pileWidthMS is how finely a record's speeds are piled up, m/s. A pile stands for its own mean speed, so that what is lost is a
// curve's bend within a hundredth of a metre a second: some 1e-6 of the energy.
const pileWidthMS = 0.02

// piles are a record's speeds at a hub as a few thousand, each with its share of the year.
type piles struct{ speeds, shares []float64 }

func (m *moved) meanPowerAt(c *yield.Curve, factor float64) float64 {
	if m.piled == nil {
		m.piled = m.pile()
	}
	sum := 0.0
	for i, v := range m.piled.speeds {
		sum += m.piled.shares[i] * c.Power(factor*v)
	}
	return sum
}

// pile weighs the months as the year's mean does.
func (m *moved) pile() *piles {
	top := 0.0
	for _, v := range m.speeds {
		top = math.Max(top, v)
	}
	n := int(top/pileWidthMS) + 1
	sums, shares := make([]float64, n), make([]float64, n)
	add := func(speeds []float64, share float64) {
		each := share / float64(len(speeds))
		for _, v := range speeds {
			k := int(v / pileWidthMS)
			sums[k] += each * v
			shares[k] += each
		}
	}
	days := 0
	for k, counts := range m.counts {
		if counts {
			days += yield.DaysInMonth[k]
		}
	}
	if days == 0 {
		add(m.speeds, 1)
	}
	for k, counts := range m.counts {
		if counts && days > 0 {
			add(m.speeds[m.from[k]:m.from[k+1]], float64(yield.DaysInMonth[k])/float64(days))
		}
	}
	var out piles
	for k, share := range shares {
		if share > 0 {
			out.speeds, out.shares = append(out.speeds, sums[k]/share), append(out.shares, share)
		}
	}
	return &out
}

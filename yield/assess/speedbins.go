package assess

import "mastworth/yield"

// SpeedBins is a record's year at a hub by the speed of the wind: how long it blew, and what the machine makes of it.
type SpeedBins struct {
	HubHeightM float64
	WidthMS    float64   // the first bin begins at 0
	TimeShares []float64 // of all time, by bin; with the calms they add up to 1
	GrossKWh   []float64 // a year, by bin; with what the machine makes in a calm they add up to the height's gross energy
	CalmShare  float64   // of all time: speeds of exactly 0, which are in no bin
}

// binWidthMS is the width of the bins, and mostBins how many there are at most: no screened speed at a hub reaches beyond.
const (
	binWidthMS = 1.0
	mostBins   = 200
)

// speedBins parts the best height's year, or the lowest's where none is best, by speed; nil where the wind is not from a record.
func (a *assessment) speedBins(h *Height, i int) *SpeedBins {
	m, ok := a.hubs[i].power.(*moved)
	if !ok {
		return nil
	}
	out := m.bins(a.hubs[i].curve)
	out.HubHeightM = h.HubHeightM
	a.sources = append(a.sources, Provenance{"wind_histogram", "the record's own samples at the hub in bins of 1 m/s, each month of the year weighed by its " +
		"length; the curve's energy summed by bin", "definition"})
	return out
}

// bins counts samples and energy by speed, weighed as year weighs them.
func (m *moved) bins(c *yield.Curve) *SpeedBins {
	out := &SpeedBins{WidthMS: binWidthMS}
	weigh := m.monthWeights()
	var shares, watts [mostBins]float64
	used := 0
	for k, weight := range weigh {
		if weight == 0 {
			continue
		}
		for _, v := range m.speeds[m.from[k]:m.from[k+1]] {
			if v == 0 {
				out.CalmShare += weight
				continue
			}
			b := min(int(v/binWidthMS), mostBins-1)
			used = max(used, b+1)
			shares[b] += weight
			watts[b] += weight * c.Power(v)
		}
	}
	out.TimeShares = append(out.TimeShares, shares[:used]...)
	out.GrossKWh = make([]float64, used)
	for b := range out.GrossKWh {
		out.GrossKWh[b] = yield.AnnualKWh(watts[b])
	}
	return out
}

// monthWeights is what one sample of each month counts for in a mean over the year: see year.
func (m *moved) monthWeights() (each [12]float64) {
	days := 0
	for k, counts := range m.counts {
		if counts {
			days += yield.DaysInMonth[k]
		}
	}
	for k := range each {
		switch {
		case days == 0:
			each[k] = 1 / float64(len(m.speeds))
		case m.counts[k]:
			each[k] = float64(yield.DaysInMonth[k]) / float64(days) / float64(m.from[k+1]-m.from[k])
		}
	}
	return each
}

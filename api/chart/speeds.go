package chart

import (
	"fmt"

	"mastworth/resource"
	"mastworth/yield"
)

// SpeedShares is how often the wind blows how fast.
type SpeedShares struct {
	EdgesMS   []float64        // rising; one more than Shares
	Shares    []float64        // of all time
	Fit       resource.Weibull // of the speeds that are not calm; the zero value for none
	Alone     bool             // the shares are the distribution's own: it is drawn without bars
	Given     bool             // the distribution was given, not fitted
	CalmShare float64          // of all time, in no bin; 0 where calms are in the first
	Units     Units
}

// SpeedHistogram draws the distribution of speeds with the curve fitted to it. Where bins differ in width, what is drawn is the
// share of time a unit of speed, so that areas can be compared.
func SpeedHistogram(d SpeedShares) Chart {
	n := len(d.Shares)
	if n > 0 || len(d.EdgesMS) > 0 {
		need(n+1, d.EdgesMS)
	}
	c := Chart{Name: "speeds", Title: word("speeds"), empty: !anyKnown(d.Shares) || n == 0}
	if c.empty {
		c.alt = word("speeds") + ": " + word("not_known")
		c.head = []string{word("speed"), word("time") + " (%)"}
		return c
	}
	edges, unit := d.Units.speeds(d.EdgesMS)
	fitted := d.Fit.Shape > 0 && d.Fit.Scale > 0 && known(d.Fit.Shape) && known(d.Fit.Scale)
	d.Alone = d.Alone && fitted
	bins := histogram{even: evenly(edges) && !d.Alone, edges: edges, shares: d.Shares, blowing: 1 - d.CalmShare}
	bins.fill(d.EdgesMS, d.Fit, fitted)
	c.head = []string{word("from_speed") + " (" + unit + ")", word("to_speed") + " (" + unit + ")", word("time") + " (%)"}
	columns := [][]float64{edges[:n], edges[1:], over(d.Shares, 0.01)}
	if fitted && !d.Alone {
		c.head = append(c.head, word("fit")+" (%)")
		columns = append(columns, over(bins.expected, 0.01))
	}
	c.rows = rowsOf(columns...)
	readShares(c.rows, 2, len(columns))
	c.alt = word("speeds") + ": " + mostOften(edges, bins.heights, d.Shares, unit)
	scaleShown, _ := d.Units.speeds([]float64{d.Fit.Scale})
	fit := fmt.Sprintf(map[bool]string{true: word("weibull_given"), false: word("weibull")}[d.Given], figure(d.Fit.Shape), figure(scaleShown[0]), unit)
	if fitted {
		c.alt += "; " + fit
	}
	c.draw = func(s *sheet) {
		var entries []entry
		y := word("share_of_time") + ", %"
		if !bins.even {
			y = word("share_each", unit)
		}
		g := &grid{xWords: word("speed") + ", " + unit, yWords: y, y: scaleOf(true, 5, bins.heights, bins.line)}
		g.x = innerScale(8, 0, edges)
		if !d.Alone {
			entries = append(entries, entry{ramp4, asBox, nil, word("measured_time")})
			g.layers = append(g.layers, bars("mark", ramp4, edges[:n], edges[1:], bins.heights, func(i int) string {
				return figure(edges[i]) + "–" + figure(edges[i+1]) + " " + unit + ": " + perCent(d.Shares[i]*100) + " %"
			}))
		}
		if fitted {
			entries = append(entries, entry{ink, asLine, nil, fit})
			g.layers = append(g.layers, curve("fit", ink, bins.at, bins.line))
		}
		s.legend(entries...)
		s.grid(g)
	}
	return c
}

// histogram is what is drawn of one: heights of bars in per cent, and the fitted curve on the same footing.
type histogram struct {
	even                                       bool
	edges, shares, heights, expected, at, line []float64
	blowing                                    float64 // share of time that is not calm
}

func (h *histogram) fill(edgesMS []float64, fit resource.Weibull, fitted bool) {
	width := h.edges[1] - h.edges[0]
	for i, share := range h.shares {
		height := share * 100
		if !h.even {
			height /= h.edges[i+1] - h.edges[i]
		}
		h.heights = append(h.heights, height)
		h.expected = append(h.expected, h.blowing*(fit.CDF(edgesMS[i+1])-fit.CDF(edgesMS[i])))
	}
	if !fitted {
		return
	}
	const points = 120
	last := len(h.edges) - 1
	shown := (h.edges[last] - h.edges[0]) / (edgesMS[last] - edgesMS[0]) // units shown a m/s
	per := 100 * h.blowing / shown
	if h.even {
		per *= width
	}
	for i := range points + 1 {
		v := edgesMS[0] + (edgesMS[last]-edgesMS[0])*(float64(i)+0.01)/(points+0.02) // off 0, where a fit may know no bound
		h.at = append(h.at, v*shown)
		h.line = append(h.line, per*fit.Prob(v))
	}
}

// evenly reports whether all bins are of one width.
func evenly(edges []float64) bool {
	for i := 2; i < len(edges); i++ {
		if d := (edges[i] - edges[i-1]) - (edges[1] - edges[0]); d > 1e-6 || d < -1e-6 {
			return false
		}
	}
	return true
}

func mostOften(edges, heights, shares []float64, unit string) string {
	best := -1
	for i, h := range heights {
		if known(h) && (best < 0 || h > heights[best]) {
			best = i
		}
	}
	return word("most_often", figure(edges[best]), figure(edges[best+1]), unit, figure(shares[best]*100))
}

// CurveInWind is a power curve, and what the wind's speeds give by it.
type CurveInWind struct {
	SpeedMS, PowerW []float64 // the curve
	EdgesMS         []float64 // of bins of speed, rising
	TimeShares      []float64 // of all time, by bin
	EnergyKWh       []float64 // a year, by bin
	Units           Units
}

// EnergyBySpeed draws the power curve over the wind's own distribution: at which speeds the year's energy comes about. WindBins
// makes its bins from a curve and a fitted wind.
func EnergyBySpeed(d CurveInWind) Chart {
	n := len(d.EnergyKWh)
	need(n, d.TimeShares)
	need(len(d.SpeedMS), d.PowerW)
	if n > 0 {
		need(n+1, d.EdgesMS)
	}
	c := Chart{Name: "energy-by-speed", Title: word("energy_by_speed"), empty: n == 0 || !anyKnown(d.EnergyKWh)}
	edges, unit := d.Units.speeds(d.EdgesMS)
	speeds, _ := d.Units.speeds(d.SpeedMS)
	c.head = []string{word("from_speed") + " (" + unit + ")", word("to_speed") + " (" + unit + ")", word("time") + " (%)", word("energy") + " (kWh)",
		word("energy") + " (%)"}
	if c.empty {
		c.alt = word("energy_by_speed") + ": " + word("not_known")
		return c
	}
	time, energy := over(d.TimeShares, 0.01), over(d.EnergyKWh, sum(d.EnergyKWh)/100)
	c.rows = rowsOf(edges[:n], edges[1:], time, d.EnergyKWh, energy)
	readShares(c.rows, 2, 3)
	readShares(c.rows, 4, 5)
	c.alt = word("energy_by_speed") + ": " + halfOf(edges, energy, unit)
	c.draw = func(s *sheet) {
		s.legend(entry{ink, asLine, nil, word("power_curve")}, entry{first, asBox, nil, word("share_of_energy")}, entry{second, asLine, nil, word("share_of_time")})
		x := innerScale(8, 0, edges)
		whole := s.c
		s.c.Min.Y += s.c.Size().Y * 0.5
		unitOfPower, per := powerUnit(d.PowerW)
		power := over(d.PowerW, per)
		upper, percent := scaleOf(true, 3, power), scaleOf(true, 4, time, energy)
		apart := s.widest(percent) - s.widest(upper)
		s.grid(&grid{yWords: word("power") + ", " + unitOfPower, x: x, y: upper, indent: max(0, apart), layers: []layer{curve("line", ink, speeds, power)}})
		whole.Max.Y = s.c.Min.Y - gap
		s.c = whole
		middles := make([]float64, n)
		for i := range middles {
			middles[i] = (edges[i] + edges[i+1]) / 2
		}
		s.grid(&grid{xWords: word("speed") + ", " + unit, yWords: word("share_in_bin"), x: x, y: percent, indent: max(0, -apart), layers: []layer{
			bars("mark", first, edges[:n], edges[1:], energy, func(i int) string {
				return figure(edges[i]) + "–" + figure(edges[i+1]) + " " + unit + ": " + figure(d.EnergyKWh[i]) + " kWh, " + perCent(energy[i]) + " %"
			}), curve("time", second, middles, time)}})
	}
	return c
}

// halfOf names the speeds from a quarter to three quarters of the energy.
func halfOf(edges, percent []float64, unit string) string {
	from, to, seen := 0, len(percent)-1, 0.0
	for i, x := range percent {
		if !known(x) {
			continue
		}
		if seen < 25 && seen+x >= 25 {
			from = i
		}
		if seen < 75 && seen+x >= 75 {
			to = i
		}
		seen += x
	}
	return word("half_from", figure(edges[from]), figure(edges[to+1]), unit)
}

// WindBins parts a year by speed, in bins of a width in m/s up to a speed: shares of time, and energies in kWh by the curve.
// Calms, a share of all time, make nothing and are in no bin. It integrates by the midpoint rule in 64 steps a bin.
func WindBins(curve *yield.Curve, wind resource.Weibull, calmShare, widthMS, toMS float64) (edgesMS, timeShares, energyKWh []float64) {
	const steps = 64
	if !(widthMS > 0) || !(toMS/widthMS <= 400) {
		panic("chart: bins of speed need a width, and at most 400")
	}
	edgesMS = append(edgesMS, 0)
	for i := 0; float64(i)*widthMS < toMS-1e-9; i++ {
		from := float64(i) * widthMS
		power := 0.0
		for k := range steps {
			lo, hi := from+widthMS*float64(k)/steps, from+widthMS*float64(k+1)/steps
			power += curve.Power((lo+hi)/2) * (wind.CDF(hi) - wind.CDF(lo))
		}
		edgesMS = append(edgesMS, from+widthMS)
		timeShares = append(timeShares, (1-calmShare)*(wind.CDF(from+widthMS)-wind.CDF(from)))
		energyKWh = append(energyKWh, yield.AnnualKWh((1-calmShare)*power))
	}
	return edgesMS, timeShares, energyKWh
}

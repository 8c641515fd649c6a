package yield

import "mastworth/resource"

// MeanPowerHistogram is the curve's mean power in W in the wind of a histogram, calms counted at no wind. Within a bin the
// speeds are taken as spread evenly, and the straight pieces of the curve are integrated over it exactly; a bin that has a
// mean of its own stands for that one speed instead.
func (c *Curve) MeanPowerHistogram(h resource.Histogram) float64 {
	sum := h.Calm * c.Power(0)
	for i, share := range h.Shares {
		if share == 0 {
			continue
		}
		if h.Means != nil && h.Means[i] == h.Means[i] {
			sum += share * c.Power(h.Means[i])
			continue
		}
		lo, hi := h.Edges[i], h.Edges[i+1]
		sum += share * (c.area(hi) - c.area(lo)) / (hi - lo)
	}
	return sum
}

// area is ∫ P dv from the curve's first point up to a speed.
func (c *Curve) area(speedMS float64) float64 {
	n := len(c.points)
	switch {
	case speedMS <= c.points[0].SpeedMS:
		return 0
	case speedMS >= c.points[n-1].SpeedMS:
		return c.sums[n-1]
	}
	i := c.table().segment(speedMS)
	d := speedMS - c.points[i].SpeedMS
	return c.sums[i] + d*(c.points[i].PowerW+c.slopes[i]*d/2)
}

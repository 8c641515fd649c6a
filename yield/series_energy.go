package yield

// MeanPowerSpeeds is the mean of the curve's power in W over speeds in m/s. NaN speeds are left out; without any other it
// is NaN.
func (c *Curve) MeanPowerSpeeds(speeds []float64) float64 {
	first, last := c.points[0].SpeedMS, c.points[len(c.points)-1].SpeedMS
	sum, n := 0.0, 0
	for _, v := range speeds {
		if v != v {
			continue
		}
		n++
		if v < first || v > last {
			continue
		}
		i := c.lookup.segment(c.points, v)
		sum += c.points[i].PowerW + c.slopes[i]*(v-c.points[i].SpeedMS)
	}
	return sum / float64(n)
}

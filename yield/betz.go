package yield

import "math"

// BetzLimit is the most of the wind's power that any rotor in free air can take, 16/27 (Betz 1920).
const BetzLimit = 16.0 / 27

// powerCoefficient is a power over that of the wind through a rotor; +Inf for power without wind, 0 for neither.
func (c *Curve) powerCoefficient(p Point, diameterM float64) float64 {
	if p.PowerW == 0 {
		return 0
	}
	area := math.Pi / 4 * diameterM * diameterM
	return p.PowerW / (0.5 * c.density * area * p.SpeedMS * p.SpeedMS * p.SpeedMS)
}

// PeakPowerCoefficient is the highest electrical power coefficient at any of the curve's points, for a rotor of a diameter
// in m, and the speed in m/s it is at. A coefficient above BetzLimit cannot be.
func (c *Curve) PeakPowerCoefficient(diameterM float64) (cp, atSpeedMS float64) {
	for _, p := range c.points {
		if v := c.powerCoefficient(p, diameterM); v > cp {
			cp, atSpeedMS = v, p.SpeedMS
		}
	}
	return cp, atSpeedMS
}

// PeakBetweenPoints is the highest power coefficient on the straight lines between the points. Where points are far apart
// a straight line can lie above what any machine makes, though the points themselves are sound. On a line P = α + βV the
// coefficient is highest where V = −3α/(2β), or at an end; on a line that starts with power at no wind it is +Inf, at 0.
func (c *Curve) PeakBetweenPoints(diameterM float64) (cp, atSpeedMS float64) {
	cp, atSpeedMS = c.PeakPowerCoefficient(diameterM)
	for i, slope := range c.slopes {
		from, to := c.points[i], c.points[i+1]
		v := -1.5 * (from.PowerW - slope*from.SpeedMS) / slope
		if from.SpeedMS == 0 && from.PowerW == 0 && slope > 0 {
			return math.Inf(1), 0
		}
		if v > from.SpeedMS && v < to.SpeedMS {
			p := Point{SpeedMS: v, PowerW: from.PowerW + slope*(v-from.SpeedMS)}
			if x := c.powerCoefficient(p, diameterM); x > cp {
				cp, atSpeedMS = x, v
			}
		}
	}
	return cp, atSpeedMS
}

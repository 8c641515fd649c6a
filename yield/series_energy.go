package yield

import "math"

// MeanPowerSpeeds is the mean of the curve's power in W over speeds in m/s. NaN speeds are left out; without any other it
// is NaN. Speeds outside the curve's points count with no power.
func (c *Curve) MeanPowerSpeeds(speeds []float64) float64 {
	table := c.table()
	if !table.oneStep {
		return c.meanSearching(speeds)
	}
	// Where one step finds the piece, nothing but a gap or a storm makes a branch go another way.
	last := c.points[len(c.points)-1].SpeedMS
	cells, perMS, pieces := table.cells, table.perMS, table.pieces
	sum, n := 0.0, 0
	for _, v := range speeds {
		if !(v >= 0 && v <= last) {
			if !math.IsNaN(v) {
				n++
			}
			continue
		}
		i := int(cells[int(v*perMS)])
		if v >= pieces[i].to {
			i++
		}
		p := &pieces[i]
		sum += p.from + p.slope*(v-p.at)
		n++
	}
	return sum / float64(n)
}

// meanSearching is for curves with points too near to one another for a cell each.
func (c *Curve) meanSearching(speeds []float64) float64 {
	sum, n := 0.0, 0
	for _, v := range speeds {
		if !math.IsNaN(v) {
			sum += c.Power(v)
			n++
		}
	}
	return sum / float64(n)
}

package solar

// bestTilt is the whole degree from 0 to 90 with the highest energy, or one that comes within 1e-4 of it. Mostly the curve has one
// top and is flat there, but planes that face near east or west may have two far from one another, and ripples where the few hours
// that stand for a month pass behind the plane: so it is looked at every 6°, and each top among these is climbed.
func bestTilt(energy func(tiltDeg float64) float64) float64 {
	const every = 6
	var coarse [90/every + 1]float64
	for i := range coarse {
		coarse[i] = energy(float64(i * every))
	}
	best, most := 0.0, coarse[0]
	for i, e := range coarse {
		if i > 0 && coarse[i-1] > e || i+1 < len(coarse) && coarse[i+1] > e {
			continue
		}
		if tilt, top := climb(energy, float64(i*every), e); top > most {
			best, most = tilt, top
		}
	}
	return best
}

// climb goes from a tilt to the top nearby, less than 6° away.
func climb(energy func(tiltDeg float64) float64, tilt, most float64) (top, energyThere float64) {
	for _, step := range [...]float64{3, 2, 1} {
		centre := tilt
		for _, t := range [...]float64{centre - step, centre + step} {
			if t < 0 || t > 90 {
				continue
			}
			if e := energy(t); e > most {
				tilt, most = t, e
			}
		}
	}
	return tilt, most
}

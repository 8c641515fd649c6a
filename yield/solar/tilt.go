package solar

import "math"

// bestTilt is the whole degree from 0 to 90 with the highest energy, or one that comes within 1e-4 of it. Mostly the curve has one
// top and is flat there, but planes that face near east or west may have two far from one another, and ripples where the few hours
// that stand for a month pass behind the plane: so it is looked at every 9°, and each top among these is climbed.
func bestTilt(energy func(tiltDeg float64) float64) float64 {
	const every = 9
	var coarse [90/every + 1]float64
	for i := range coarse {
		coarse[i] = energy(float64(i * every))
	}
	best, most := 0.0, coarse[0]
	for i, e := range coarse {
		left, right := coarse[max(i-1, 0)], coarse[min(i+1, len(coarse)-1)]
		if left > e || right > e {
			continue
		}
		tilt, there := float64(i*every), e
		// The top of the parabola through the three lies near the curve's.
		if bend := 2*e - left - right; bend > 0 && i > 0 && i < len(coarse)-1 {
			guess := tilt + math.Round(every*(right-left)/(2*bend))
			if g := energy(guess); g > there {
				tilt, there = guess, g
			}
		}
		if tilt, there = climb(energy, tilt, there); there > most {
			best, most = tilt, there
		}
	}
	return best
}

// climb goes from a tilt upwards by whole degrees, as far as it rises.
func climb(energy func(tiltDeg float64) float64, tilt, most float64) (top, energyThere float64) {
	for _, step := range [...]float64{1, -1} {
		from := tilt
		for next := tilt + step; next >= 0 && next <= 90; next += step {
			e := energy(next)
			if e <= most {
				break
			}
			tilt, most = next, e
		}
		if tilt != from {
			break // it falls on the other side
		}
	}
	return tilt, most
}

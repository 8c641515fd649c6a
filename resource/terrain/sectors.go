package terrain

import (
	"math"
	"strconv"
)

// angleDust is the angle, degrees, below which a gap or an overlap is the rounding of a border.
const angleDust = 1e-9

// spanDeg is the width of a sector. Zero: the sector is empty.
func spanDeg(from, to float64) float64 {
	if from == 0 && to == 360 {
		return 360
	}
	return clockwise(from, to)
}

// clockwise is the angle from one direction to another, both 0 to 360, in [0, 360).
func clockwise(from, to float64) float64 {
	switch d := to - from; {
	case d < 0:
		return d + 360
	case d >= 360:
		return d - 360
	default:
		return d
	}
}

// overlapDeg lists the parts two sectors have in common, each as from and to; there are at most two, and the second may
// be empty.
func overlapDeg(a, b [2]float64) (parts [2][2]float64, n int) {
	spanA, spanB := spanDeg(a[0], a[1]), spanDeg(b[0], b[1])
	start := clockwise(a[0], b[0])
	if width := math.Min(spanA-start, spanB); width > angleDust {
		parts[n] = [2]float64{b[0], endDeg(b[0] + width)}
		n++
	}
	if width := math.Min(start+spanB-360, spanA); width > angleDust {
		parts[n] = [2]float64{a[0], endDeg(a[0] + width)}
		n++
	}
	return parts, n
}

// wrapDeg brings an angle of 0 to 720 degrees back below 360.
func wrapDeg(deg float64) float64 {
	if deg >= 360 {
		return deg - 360
	}
	return deg
}

// endDeg is wrapDeg for where a sector ends: north is 360 there.
func endDeg(deg float64) float64 {
	if deg > 360 {
		return deg - 360
	}
	return deg
}

// shareOut calls give with each direction the sector touches and the part of that direction, 0 to 1, it takes.
func shareOut(from, to float64, give func(direction int, part float64)) {
	from = math.Mod(from, 360)
	end := from + spanDeg(from, to)
	for k := int((from + directionDeg/2) / directionDeg); ; k++ {
		centre := float64(k) * directionDeg
		low, high := math.Max(from, centre-directionDeg/2), math.Min(end, centre+directionDeg/2)
		if low >= end {
			return
		}
		if high > low {
			give(k%DirectionCount, (high-low)/directionDeg)
		}
	}
}

// degrees writes an angle as a user would.
func degrees(deg float64) string {
	return strconv.FormatFloat(math.Round(deg*1000)/1000, 'f', -1, 64) + "°"
}

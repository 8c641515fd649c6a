package longterm

import "math"

// What the search for a shift goes by. Judgement.
const (
	fewestPairs = 30
	// gainOfShift is the share of the scatter, 1 − r², that a shift must take away to be believed: a lag of the weather
	// between two places always gains a little.
	gainOfShift = 0.05
	// finestShiftS is the smallest step of the search, s: some clocks are set by a quarter of an hour.
	finestShiftS = 900
)

// search is the shift of the reference's clock, within mostS either way, at which the two go together best; 0 unless a
// shift takes a twentieth off the scatter that is left without.
func (a *axis) search(mostS int64) int64 {
	unit := min(a.averageS, max(secondsPerHour, a.fineS))
	if mostS <= 0 {
		return 0
	}
	unmoved := a.r2(0)
	best, bestR2 := int64(0), unmoved
	try := func(shiftS int64) {
		if shiftS < -mostS || shiftS > mostS {
			return
		}
		if r2 := a.r2(shiftS); r2 > bestR2 || (math.IsNaN(bestR2) && !math.IsNaN(r2)) {
			best, bestR2 = shiftS, r2
		}
	}
	for s := unit; s <= mostS; s += unit {
		try(s)
		try(-s)
	}
	for half := unit / 2; half >= finestShiftS && half >= a.fineS && a.fineS < a.averageS; half /= 2 {
		around := best
		try(around - half)
		try(around + half)
	}
	if 1-bestR2 <= (1-gainOfShift)*(1-unmoved) || (math.IsNaN(unmoved) && !math.IsNaN(bestR2)) {
		return best
	}
	return 0
}

// r2 is the squared correlation of the pairs at a shift; NaN for too few, 0 for those that fall together.
func (a *axis) r2(shiftS int64) float64 {
	// Only one of the two is averaged anew for each shift, or neither where whole intervals are shifted.
	a.buffer = a.target.average(a.buffer[:0], nil, a.targetOrigin(shiftS), a.averageS)
	if a.refBuffer == nil || a.targetRigid {
		a.refBuffer = a.ref.average(a.refBuffer[:0], nil, a.refOrigin(shiftS), a.averageS)
	}
	var s sums
	if len(a.buffer) > 0 && len(a.refBuffer) > 0 {
		s.x0, s.y0 = a.refBuffer[0].speed, a.buffer[0].speed
	}
	merge(a.buffer, a.refBuffer, func(t, r *cell) { s.add(r.speed, t.speed) })
	if s.n < fewestPairs {
		return math.NaN()
	}
	r := s.r()
	return math.Max(0, r) * r
}

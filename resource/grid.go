package resource

// grids are the steps, m/s, that instruments write whole numbers of, the widest first.
var grids = [...]float64{1, knotMS, 0.5, mphMS, kmhMS}

const finestGrid = 0.1 // m/s

// GridOf is the step, m/s, whose multiples a channel's usable speeds are: 1 or 0.5 m/s, a knot, a mile or a kilometre an hour, as
// converted and written with one decimal or two, else 0.1 m/s. It is 0 where they lie closer, or on no such grid, or are too few to tell. Bins of speed that are no
// multiple of it hold now one of the speeds that occur, now two or none.
func GridOf(c *Channel) float64 {
	l := latticeOf(c)
	if l == nil {
		return 0
	}
	const oneDecimal, twoDecimals = 0.0501, latticeRounding
	for _, off := range []float64{twoDecimals, oneDecimal} {
		for _, pitch := range grids {
			if l.holds(pitch, off) {
				return pitch
			}
		}
	}
	if l.holds(finestGrid, twoDecimals) {
		return finestGrid
	}
	return 0
}

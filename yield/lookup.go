package yield

import "math"

// lookup finds the straight piece of the curve a speed is in without searching: even cells from 0 to the last point, each
// naming the piece its lower edge is in.
type lookup struct {
	perMS   float64
	cells   []uint16
	pieces  []piece // pieces[0] is the calm below the first point, pieces[i+1] the segment from point i
	oneStep bool    // no cell touches more than one point, so a speed's piece is its cell's or the next
}

// piece is power = from + slope·(v − at) for at ≤ v < to. The last point belongs to the last piece. What the mean over a
// long record needs of a piece lies together, in half a line of the processor's cache.
type piece struct{ at, from, slope, to float64 }

// mostCells bounds the cells to 2 kB, which stay in the nearest cache.
const mostCells = 1024

func newLookup(points []Point, slopes []float64) lookup {
	n := len(points)
	last := points[n-1].SpeedMS
	pieces := make([]piece, n)
	pieces[0].to = points[0].SpeedMS
	nearest := last
	for i, slope := range slopes {
		a, b := points[i], points[i+1]
		pieces[i+1] = piece{at: a.SpeedMS, from: a.PowerW, slope: slope, to: b.SpeedMS}
		nearest = min(nearest, b.SpeedMS-a.SpeedMS)
	}
	pieces[n-1].to = math.Nextafter(last, math.Inf(1))

	count := mostCells
	if enough := math.Ceil(2 * last / nearest); enough < mostCells {
		count = int(enough)
	}
	l := lookup{perMS: float64(count) / last, cells: make([]uint16, count+2), pieces: pieces, oneStep: true}
	i, width := 0, last/float64(count)
	for k := range l.cells {
		// A cell is taken to begin a little early and to end a little late, for the rounding of a speed's place.
		for i < n-1 && pieces[i].to <= (float64(k)-1e-6)*width {
			i++
		}
		l.cells[k] = uint16(i)
		if i+1 < n-1 && pieces[i+1].to <= (float64(k+1)+1e-6)*width {
			l.oneStep = false
		}
	}
	return l
}

// segment is the index of the segment that holds a speed, which must be within the curve.
func (l *lookup) segment(speedMS float64) int {
	i := int(l.cells[int(speedMS*l.perMS)])
	for speedMS >= l.pieces[i].to {
		i++
	}
	return i - 1
}

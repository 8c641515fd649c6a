package bins

import "math"

// How clocks that differ are found. Wind and power change together from one period to the next, gust by gust; the lag at
// which their changes go together best is the difference of the clocks. Changes are used rather than values, for wind itself
// stays much alike for hours. Averages of ten minutes find the neighbourhood, the log's own periods the place. Periods below ten
// seconds are averaged for that: a rotor's inertia and the way from the sensor to it make them say little, and there are too many
// of them. They only refine what is found. Judgement.
const (
	coarseS        = 600
	finestS        = 10
	mostShiftS     = 14 * 3600 // of one time zone against another
	fewestChanges  = 100
	leastRise      = 0.1  // of the correlation, to be believed
	standardErrors = 5    // or so many times 1/√n
	leastAgreement = 0.15 // a correlation below says nothing
	refusedShiftS  = 600  // a shift from here up makes no curve at all
)

// changes are a quantity's changes along an even grid; 0 where either neighbour is missing, which is what the mean change is.
type changes struct {
	wind, power               []float64
	windSquares, powerSquares float64 // sums of squares
}

// findShift compares the clocks of wind and power. It says by how many seconds the power's is ahead, 0 for none found; and
// the correlations with that taken out and as the log stands, NaN where there is too little to tell.
func findShift(p *periods, averagingS int64) (shiftS int64, best, unshifted float64) {
	wind, power := p.grid(averagingS, int(mostShiftS/averagingS)+1)
	nan := math.NaN()
	if wind == nil {
		return 0, nan, nan
	}
	together := int((finestS + averagingS - 1) / averagingS)
	if together <= 1 {
		return clocks(wind, power, averagingS)
	}
	shiftS, best, unshifted = clocks(thinned(wind, together), thinned(power, together), averagingS*int64(together))
	if shiftS == 0 {
		return 0, best, unshifted
	}
	if lag, r := newChanges(wind, power).search(int(shiftS/averagingS), together); r >= leastAgreement {
		shiftS = int64(lag) * averagingS
	}
	return shiftS, best, unshifted
}

// clocks compares two even rows of averages.
func clocks(wind, power []float64, averagingS int64) (shiftS int64, best, unshifted float64) {
	nan := math.NaN()
	most := int(mostShiftS / averagingS)
	fine := newChanges(wind, power)
	n := fine.count()
	if n < fewestChanges {
		return 0, nan, nan
	}
	unshifted = fine.correlation(0)
	per := max(1, int(coarseS/averagingS))
	centre := 0
	if per > 1 {
		coarse := newChanges(thinned(wind, per), thinned(power, per))
		lag, r := coarse.search(0, most/per)
		if coarse.count() >= fewestChanges && r-coarse.correlation(0) > rise(coarse.count()) {
			centre = lag * per
		}
	}
	reach := per + 1
	if per == 1 {
		reach = most
	}
	lag, r := fine.search(centre, reach)
	if lag == 0 || r < leastAgreement || r-unshifted < rise(n) {
		return 0, unshifted, unshifted
	}
	return int64(lag) * averagingS, r, unshifted
}

func rise(n int) float64 { return max(leastRise, standardErrors/math.Sqrt(float64(n))) }

// grid lays the periods on an even grid, NaN where none is; it is not to be changed. A gap longer than longest is cut down to it; nil where the log is
// nearly all gaps.
func (p *periods) grid(averagingS int64, longest int) (wind, power []float64) {
	cells := 0
	step := func(i int) int { return min(int((p.starts[i]-p.starts[i-1])/averagingS), longest) }
	for i := 1; i < len(p.starts); i++ {
		cells += step(i)
	}
	if len(p.starts) == 0 || cells > 5*len(p.starts)+100*longest {
		return nil, nil
	}
	if cells+1 == len(p.starts) {
		return p.speed, p.power
	}
	wind, power = make([]float64, 0, cells+1), make([]float64, 0, cells+1)
	for i := range p.starts {
		if i > 0 {
			for k := step(i); k > 1; k-- {
				wind, power = append(wind, math.NaN()), append(power, math.NaN())
			}
		}
		wind, power = append(wind, p.speed[i]), append(power, p.power[i])
	}
	return wind, power
}

// thinned is the mean of each so many values; NaN for those that hold a NaN.
func thinned(values []float64, per int) []float64 {
	out := make([]float64, len(values)/per)
	for k := range out {
		sum := 0.0
		for _, v := range values[k*per : (k+1)*per] {
			sum += v
		}
		out[k] = sum / float64(per)
	}
	return out
}

func newChanges(wind, power []float64) *changes {
	c := &changes{wind: change(wind), power: change(power)}
	c.windSquares, c.powerSquares = dot(c.wind, c.wind), dot(c.power, c.power)
	return c
}

func change(values []float64) []float64 {
	if len(values) < 2 {
		return nil
	}
	out := make([]float64, len(values)-1)
	for i := range out {
		if d := values[i+1] - values[i]; d == d {
			out[i] = d
		}
	}
	return out
}

// count is how many changes of the power are known and not nothing: a machine that stands still tells nothing.
func (c *changes) count() int {
	n := 0
	for _, d := range c.power {
		if d != 0 {
			n++
		}
	}
	return n
}

// search is the lag of the power, within reach of a centre, with the highest correlation.
func (c *changes) search(centre, reach int) (lag int, r float64) {
	lag, r = centre, c.correlation(centre)
	for k := 1; k <= reach; k++ {
		for _, l := range [...]int{centre - k, centre + k} {
			if x := c.correlation(l); x > r {
				lag, r = l, x
			}
		}
	}
	return lag, r
}

// correlation of the wind's changes with the power's so many steps later; 0 where there is no change.
func (c *changes) correlation(lag int) float64 {
	wind, power := c.wind, c.power
	n := len(wind)
	if lag >= n || -lag >= n {
		return 0
	}
	// The squares of those that are paired are all squares less those that hang over.
	xx, yy := c.windSquares, c.powerSquares
	if lag > 0 {
		xx -= dot(wind[n-lag:], wind[n-lag:])
		yy -= dot(power[:lag], power[:lag])
		wind, power = wind[:n-lag], power[lag:]
	} else if lag < 0 {
		xx -= dot(wind[:-lag], wind[:-lag])
		yy -= dot(power[n+lag:], power[n+lag:])
		wind, power = wind[-lag:], power[:n+lag]
	}
	const hair = 1e-9 // of the squares: what differences leave of nothing
	if !(xx > hair*c.windSquares && yy > hair*c.powerSquares) {
		return 0
	}
	return dot(wind, power) / math.Sqrt(xx*yy)
}

// dot is the sum of products, in four sums at once, so that none waits for the other.
func dot(x, y []float64) float64 {
	y = y[:len(x)]
	var a, b, c, d float64
	i := 0
	for ; i+4 <= len(x); i += 4 {
		xs, ys := x[i:i+4:i+4], y[i:i+4:i+4]
		a += xs[0] * ys[0]
		b += xs[1] * ys[1]
		c += xs[2] * ys[2]
		d += xs[3] * ys[3]
	}
	for ; i < len(x); i++ {
		a += x[i] * y[i]
	}
	return a + b + c + d
}

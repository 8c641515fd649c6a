package resource

import "math"

// Large samples are summed without a logarithm or a power for each speed. The range of speeds is cut into cells so
// narrow, 2⁻⁷ of a power of two, that within one every speed is c·(1+r) with |r| ≤ 2⁻⁸, c being the cell's middle. Then
//
//	Σ v^k = c^k·Σ_p binom(k,p)·Σ r^p
//
// and its derivatives after k give the sums with ln v. Powers up to r⁴ suffice: what is left out is at most binom(k,5)·
// 2⁻⁴⁰ of a term, 10⁻¹² of it at k = 5 and 10⁻¹⁰ at k = 9, beyond which every speed is taken by itself. One pass over
// the speeds fills the cells; the iterations run over cells alone.
const (
	cellBits      = 7                    // of the mantissa
	cellShift     = 52 - cellBits        // from the bits of a float64 to its cell
	cellMask      = 1<<cellShift - 1     // the bits within a cell
	cellMiddle    = 1 << (cellShift - 1) // the bit that leads to a cell's middle
	cellsDown     = 24 << cellBits       // slower than 2⁻²⁴ of the fastest speed: taken one by one
	cellsMaxShape = 9                    // largest shape at which cells are exact enough
	cellsFrom     = 4096                 // fewer speeds are faster one by one
	cellsLow      = 1e-30                // the fourth power of a cell's width must
	cellsHigh     = 1e30                 // neither vanish nor overflow
)

// cellSums gathers the powers of v − c in one cell.
type cellSums struct{ n, d1, d2, d3, d4 float64 }

// cell is a finished cell: x = ln(c/ref), and the sums of rᵖ.
type cell struct{ x, n, r1, r2, r3, r4 float64 }

// cellSample is a large sample in cells, and the few speeds that are too slow for one.
type cellSample struct {
	cells []cell
	slow  logSample
}

// newCellSample counts the speeds above zero into cells; slowest and fastest are their bounds.
func newCellSample(speeds []float64, slowest, fastest float64) cellSample {
	top := int(math.Float64bits(fastest) >> cellShift)
	base := max(int(math.Float64bits(slowest)>>cellShift), top-cellsDown)
	table := make([]cellSums, top-base+1)
	var slow []float64
	for _, v := range speeds {
		bits := math.Float64bits(v)
		j := int(bits>>cellShift) - base
		if uint(j) >= uint(len(table)) { // calm or slow
			if v > 0 {
				slow = append(slow, v)
			}
			continue
		}
		d := v - math.Float64frombits(bits&^cellMask|cellMiddle)
		d2 := d * d
		s := &table[j]
		s.n++
		s.d1 += d
		s.d2 += d2
		s.d3 += d2 * d
		s.d4 += d2 * d2
	}
	out := cellSample{slow: newLogSample(slow, nil, fastest)}
	filled := 0
	for j := range table {
		if table[j].n > 0 {
			filled++
		}
	}
	out.cells = make([]cell, 0, filled)
	for j := range table {
		s := &table[j]
		if s.n == 0 {
			continue
		}
		c := math.Float64frombits(uint64(j+base)<<cellShift | cellMiddle)
		c2 := c * c
		out.cells = append(out.cells, cell{
			x: math.Log(c / fastest), n: s.n, r1: s.d1 / c, r2: s.d2 / c2, r3: s.d3 / (c2 * c), r4: s.d4 / (c2 * c2),
		})
	}
	return out
}

func (d cellSample) sums(k float64) (s0, s1, s2 float64) {
	// binom(k,p) and its first two derivatives after k, p = 1 … 4.
	b1, b2 := k, k*(k-1)/2
	b3, b4 := b2*(k-2)/3, b2*(k-2)*(k-3)/12
	e2, e3, e4 := k-0.5, (3*k*k-6*k+2)/6, (4*k*k*k-18*k*k+22*k-6)/24
	f3, f4 := k-1, (12*k*k-36*k+22)/24
	s0, s1, s2 = d.slow.sums(k)
	for i := range d.cells {
		c := &d.cells[i]
		q0 := c.n + b1*c.r1 + b2*c.r2 + b3*c.r3 + b4*c.r4
		q1 := c.r1 + e2*c.r2 + e3*c.r3 + e4*c.r4
		q2 := c.r2 + f3*c.r3 + f4*c.r4
		power := math.Exp(k * c.x)
		s0 += power * q0
		s1 += power * (c.x*q0 + q1)
		s2 += power * (c.x*(c.x*q0+2*q1) + q2)
	}
	return s0, s1, s2
}

// logs takes ln(1+r) = r − r²/2 + r³/3 − r⁴/4. The variance serves a first guess only: each cell's x stands for all of it.
func (d cellSample) logs() (n, mean, variance float64) {
	sum, squares := 0.0, 0.0
	for i := range d.cells {
		c := &d.cells[i]
		n += c.n
		sum += c.n*c.x + c.r1 - c.r2/2 + c.r3/3 - c.r4/4
		squares += c.n * c.x * c.x
	}
	for _, x := range d.slow.x {
		n++
		sum += x
		squares += x * x
	}
	mean = sum / n
	return n, mean, math.Max(squares/n-mean*mean, 1e-6)
}

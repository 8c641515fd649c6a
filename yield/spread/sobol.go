package spread

import "math/bits"

const (
	// MaxSources bounds the sources of a draw: one dimension of the net each.
	MaxSources = 40
	netBits    = 32
)

// directions are the first direction numbers of Sobol' sequences with good two-dimensional projections: Joe & Kuo 2008, SIAM J.
// Sci. Comput. 30, the table for D(6) (from memory; the tests hold it to Sobol's Property A, which that table is published to
// have, and to primitive polynomials). The first dimension needs none.
var directions = [MaxSources - 1]struct {
	poly   uint32   // the inner coefficients a of the primitive polynomial
	starts []uint32 // m₁, m₂, …; as many as the polynomial's degree
}{
	{0, []uint32{1}}, {1, []uint32{1, 3}}, {1, []uint32{1, 3, 1}}, {2, []uint32{1, 1, 1}}, {1, []uint32{1, 1, 3, 3}},
	{4, []uint32{1, 3, 5, 13}}, {2, []uint32{1, 1, 5, 5, 17}}, {4, []uint32{1, 1, 5, 5, 5}}, {7, []uint32{1, 1, 7, 11, 19}},
	{11, []uint32{1, 1, 5, 1, 1}}, {13, []uint32{1, 1, 1, 3, 11}}, {14, []uint32{1, 3, 5, 5, 31}},
	{1, []uint32{1, 3, 3, 9, 7, 49}}, {13, []uint32{1, 1, 1, 15, 21, 21}}, {16, []uint32{1, 3, 1, 13, 27, 49}},
	{19, []uint32{1, 1, 1, 15, 7, 5}}, {22, []uint32{1, 3, 1, 15, 13, 25}}, {25, []uint32{1, 1, 5, 5, 19, 61}},
	{1, []uint32{1, 3, 7, 11, 23, 15, 103}}, {4, []uint32{1, 3, 7, 13, 13, 15, 69}}, {7, []uint32{1, 1, 3, 13, 7, 35, 63}},
	{8, []uint32{1, 3, 5, 9, 1, 25, 53}}, {14, []uint32{1, 3, 1, 13, 9, 35, 107}}, {19, []uint32{1, 3, 1, 5, 27, 61, 31}},
	{21, []uint32{1, 1, 5, 11, 19, 41, 61}}, {28, []uint32{1, 3, 5, 3, 3, 13, 69}}, {31, []uint32{1, 1, 7, 13, 1, 19, 1}},
	{32, []uint32{1, 3, 7, 5, 13, 19, 59}}, {37, []uint32{1, 1, 3, 9, 25, 29, 41}}, {41, []uint32{1, 3, 5, 13, 23, 1, 55}},
	{42, []uint32{1, 3, 7, 3, 13, 59, 17}}, {50, []uint32{1, 3, 1, 3, 5, 53, 69}}, {55, []uint32{1, 1, 5, 5, 23, 33, 13}},
	{56, []uint32{1, 1, 7, 7, 1, 61, 123}}, {59, []uint32{1, 1, 7, 9, 13, 61, 49}}, {62, []uint32{1, 3, 3, 5, 3, 55, 33}},
	{14, []uint32{1, 3, 1, 15, 31, 13, 49, 245}}, {21, []uint32{1, 3, 5, 15, 31, 59, 63, 97}},
	{22, []uint32{1, 3, 1, 11, 11, 11, 77, 249}},
}

// column is one dimension of a net: its direction numbers, the first bit on top.
type column [netBits]uint32

// sobolColumn is the dimension dim, from 0, by the recurrence of Bratley & Fox 1988 (ACM Algorithm 659).
func sobolColumn(dim int) column {
	var v column
	if dim == 0 {
		for k := range v {
			v[k] = 1 << (netBits - 1 - k)
		}
		return v
	}
	d := directions[dim-1]
	degree := len(d.starts)
	for k := range v {
		if k < degree {
			v[k] = d.starts[k] << (netBits - 1 - k)
			continue
		}
		v[k] = v[k-degree] ^ v[k-degree]>>degree
		for j := 1; j < degree; j++ {
			if d.poly>>(degree-1-j)&1 == 1 {
				v[k] ^= v[k-j]
			}
		}
	}
	return v
}

// fill writes the first len(out) points of the dimension, a power of two of them, in the order of the Gray code (Antonov &
// Saleev 1979) and under nested uniform scrambling (Owen 1995): every digit is flipped at random, the flip depending on all
// digits before it. That leaves a net a net, makes each point even on (0, 1), and scatters like a sum of many small errors, so that
// the means of several scrambles tell the error fairly. (A random matrix is as exact and hides heavy tails.)
//
// The points' leading digits are all the numbers below len(out), so the tree of flips is a table of that length, and the digits
// after them are even random numbers. No point is 0 or 1.
func (v *column) fill(out []float64, random *stream) {
	digits := bits.Len(uint(len(out))) - 1
	leading := make([]uint32, len(out)) // a number's scrambled one
	for have := 1; have < len(out); have *= 2 {
		for p := have - 1; p >= 0; p-- {
			flip := uint32(random.next() >> 63)
			leading[2*p], leading[2*p+1] = 2*leading[p]+flip, 2*leading[p]+1-flip
		}
	}
	width := 1 / float64(len(out))
	x := uint32(0)
	for i := range out {
		rest := (float64(random.next()>>32) + 0.5) * 0x1p-32
		out[i] = (float64(leading[x>>(netBits-digits)]) + rest) * width
		x ^= v[bits.TrailingZeros32(^uint32(i))]
	}
}

package spread

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// The polynomials of the table must be primitive over GF(2): x has the order 2^s − 1 modulo each. And all differ.
func TestDirectionPolynomialsArePrimitive(t *testing.T) {
	seen := map[uint32]bool{}
	for i, d := range directions {
		s := len(d.starts)
		poly := uint32(1)<<s | d.poly<<1 | 1
		if seen[poly] {
			t.Errorf("dimension %d: the polynomial %b is there twice", i+2, poly)
		}
		seen[poly] = true
		x, order := uint32(1), 0
		for {
			x <<= 1
			if x>>s == 1 {
				x ^= poly
			}
			order++
			if x == 1 || order > 1<<s {
				break
			}
		}
		if s > 1 && order != 1<<s-1 {
			t.Errorf("dimension %d: x has the order %d modulo %b, not %d", i+2, order, poly, 1<<s-1)
		}
		for k, m := range d.starts {
			if m%2 == 0 || m >= 1<<(k+1) {
				t.Errorf("dimension %d: m%d = %d must be odd and below %d", i+2, k+1, m, 1<<(k+1))
			}
		}
	}
}

// Sobol's Property A: the first bits of the first d direction numbers of the first d dimensions make a regular matrix over
// GF(2). Joe & Kuo publish it for all of their first 1111 dimensions; a wrong figure in the table would break it half the time.
func TestPropertyA(t *testing.T) {
	for n := 1; n <= MaxSources && n <= netBits; n++ {
		rows := make([]uint64, n)
		for dim := range rows {
			v := sobolColumn(dim)
			for k := range n {
				rows[dim] |= uint64(v[k]>>31) << k
			}
		}
		rank := 0
		for bit := range n {
			for r := rank; r < n; r++ {
				if rows[r]>>bit&1 == 0 {
					continue
				}
				rows[rank], rows[r] = rows[r], rows[rank]
				for other := range rows {
					if other != rank && rows[other]>>bit&1 == 1 {
						rows[other] ^= rows[rank]
					}
				}
				rank++
				break
			}
		}
		if rank != n {
			t.Errorf("the first %d dimensions: rank %d", n, rank)
		}
	}
}

// Scrambling leaves a net a net: of 2^k points every dimension has one in each of 2^k parts, and the first two dimensions one in each
// box of 2^−j by 2^−(k−j) (a (0, k, 2)-net).
func TestScrambledNetStaysANet(t *testing.T) {
	const k = 9
	points := make([][]float64, MaxSources)
	for dim := range points {
		points[dim] = make([]float64, 1<<k)
		v := sobolColumn(dim)
		v.fill(points[dim], newStream(7, uint64(dim)))
		seen := make([]bool, 1<<k)
		for _, u := range points[dim] {
			if !(u > 0 && u < 1) {
				t.Fatalf("dimension %d: point at %g", dim+1, u)
			}
			seen[int(u*(1<<k))] = true
		}
		for part, ok := range seen {
			if !ok {
				t.Fatalf("dimension %d: part %d is empty", dim+1, part)
			}
		}
	}
	for j := range k + 1 {
		seen := map[[2]int]bool{}
		for i := range points[0] {
			seen[[2]int{int(math.Ldexp(points[0][i], j)), int(math.Ldexp(points[1][i], k-j))}] = true
		}
		if len(seen) != 1<<k {
			t.Errorf("boxes of 2^-%d by 2^-%d: %d of %d are filled", j, k-j, len(seen), 1<<k)
		}
	}
}

// The unscrambled sequence's first points in the order of the Gray code, from the definition: 0, ½, ¾, ¼ in one dimension; and in
// two (0,0), (½,½), (¾,¼), (¼,¾), (⅜,⅜), (⅞,⅞), (⅝,⅛), (⅛,⅝) the usual worked table (from memory).
func TestFirstPoints(t *testing.T) {
	want := [][2]float64{{0, 0}, {0.5, 0.5}, {0.75, 0.25}, {0.25, 0.75}, {0.375, 0.375}, {0.875, 0.875}, {0.625, 0.125}, {0.125, 0.625}}
	a, b := sobolColumn(0), sobolColumn(1)
	var x, y uint32
	for i, w := range want {
		if got := [2]float64{float64(x) * 0x1p-32, float64(y) * 0x1p-32}; got != w {
			t.Errorf("point %d: %v, want %v", i, got, w)
		}
		for k, bit := 0, i; ; k, bit = k+1, bit>>1 {
			if bit&1 == 0 {
				x, y = x^a[k], y^b[k]
				break
			}
		}
	}
}

// The error against the number of draws: of the mean of a product of six factors (1 + 0.3(2u−1)), exactly 1.
// Plain sampling falls with the root of the number; the net must fall faster and lie below it throughout.
func TestNetConvergesFasterThanPlainSampling(t *testing.T) {
	const dims, seeds = 6, 40
	product := func(u []float64) float64 {
		f := 1.0
		for _, x := range u {
			f *= 1 + 0.3*(2*x-1)
		}
		return f
	}
	net := func(n int, seed uint64) float64 {
		columns := make([][]float64, dims)
		for dim := range columns {
			columns[dim] = make([]float64, n)
			v := sobolColumn(dim)
			v.fill(columns[dim], newStream(seed, uint64(dim)))
		}
		sum, u := 0.0, make([]float64, dims)
		for i := range n {
			for dim := range u {
				u[dim] = columns[dim][i]
			}
			sum += product(u)
		}
		return sum / float64(n)
	}
	plain := func(n int, seed uint64) float64 {
		r := rand.New(rand.NewPCG(seed, 1))
		sum, u := 0.0, make([]float64, dims)
		for range n {
			for dim := range u {
				u[dim] = r.Float64()
			}
			sum += product(u)
		}
		return sum / float64(n)
	}
	rms := func(f func(int, uint64) float64, n int) float64 {
		sum := 0.0
		for seed := range uint64(seeds) {
			e := f(n, seed) - 1
			sum += e * e
		}
		return math.Sqrt(sum / seeds)
	}
	sizes := []int{64, 256, 1024, 4096}
	var report string
	for _, n := range sizes {
		a, b := rms(net, n), rms(plain, n)
		report += fmt.Sprintf("%d draws: net %.2g, plain %.2g\n", n, a, b)
		if a > b/3 {
			t.Errorf("%d draws: the net's error %.2g is not well below plain sampling's %.2g", n, a, b)
		}
	}
	octaves := math.Log(float64(sizes[len(sizes)-1]) / float64(sizes[0]))
	netSlope := math.Log(rms(net, sizes[len(sizes)-1])/rms(net, sizes[0])) / octaves
	plainSlope := math.Log(rms(plain, sizes[len(sizes)-1])/rms(plain, sizes[0])) / octaves
	t.Logf("%serror ∝ N^%.2f with the net, N^%.2f without", report, netSlope, plainSlope)
	if !(netSlope < -0.9) || !(math.Abs(plainSlope+0.5) < 0.12) {
		t.Errorf("error ∝ N^%.2f with the net, want below -0.9; N^%.2f without, want -0.5", netSlope, plainSlope)
	}
}

// A Latin hypercube has one number in each part, in any order.
func TestLatin(t *testing.T) {
	out := make([]float64, 100)
	newStream(1, 2).latin(out)
	seen := make([]bool, len(out))
	rising := 0
	for i, u := range out {
		seen[int(u*100)] = true
		if i > 0 && u > out[i-1] {
			rising++
		}
	}
	for part, ok := range seen {
		if !ok {
			t.Errorf("part %d is empty", part)
		}
	}
	if rising < 30 || rising > 70 {
		t.Errorf("%d of 99 steps rise; the order is not random", rising)
	}
}

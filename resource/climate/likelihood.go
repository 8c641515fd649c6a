package climate

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// The shapes a fit may have, as in package resource.
const (
	smallestShape = 0.1
	largestShape  = 100
)

// Points are summed without a logarithm or a power for each. The range of speeds is cut into cells so narrow, 2⁻⁷ of a
// power of two, that within one every speed is c·(1+r) with |r| ≤ 2⁻⁸, c being the cell's middle. Then
//
//	Σ w·vᵏ = cᵏ·Σ_p binom(k,p)·Σ w·rᵖ
//
// and its derivatives after k give the sums with ln v. Powers up to r⁴ suffice: what is left out is at most binom(k,5)·2⁻⁴⁰
// of a term, 10⁻¹² of it at k = 5 and 10⁻¹⁰ at k = 9, beyond which every point is a cell of its own, with r = 0.
const (
	cellShift     = 52 - 7
	cellMask      = 1<<cellShift - 1
	cellMiddle    = 1 << (cellShift - 1)
	cellsMaxShape = 9
	cellsLow      = 1e-300 // below, numbers have fewer bits
)

// cell is the weighed points of one narrow range: x = ln(c/ref), and the sums of w·rᵖ.
type cell struct{ x, w, r1, r2, r3, r4 float64 }

type cells []cell

// newCells lays points, which rise, into cells; each into one of its own where singly.
func newCells(points []point, singly bool) cells {
	var out cells
	if singly {
		out = make(cells, 0, len(points))
	}
	ref := points[len(points)-1].v
	logRef := math.Log(ref)
	narrowFrom := max(ref*0x1p-24, cellsLow)
	var key uint64
	var inverse float64
	for _, p := range points {
		if singly || p.v < narrowFrom {
			out = append(out, cell{x: math.Log(p.v) - logRef, w: p.w})
			continue
		}
		bits := math.Float64bits(p.v)
		if k := bits >> cellShift; k != key {
			key = k
			c := math.Float64frombits(bits&^cellMask | cellMiddle)
			inverse = 1 / c
			out = append(out, cell{x: math.Log(c / ref)})
		}
		s := &out[len(out)-1]
		r := (p.v - math.Float64frombits(bits&^cellMask|cellMiddle)) * inverse
		wr, r2 := p.w*r, r*r
		s.w += p.w
		s.r1 += wr
		s.r2 += p.w * r2
		s.r3 += wr * r2
		s.r4 += p.w * r2 * r2
	}
	return out
}

// sums are Σ w·e^(kx), Σ w·x·e^(kx) and Σ w·x²·e^(kx), with x = ln(v/ref).
func (d cells) sums(k float64) (s0, s1, s2 float64) {
	// binom(k,p) and its first two derivatives after k, p = 1 … 4.
	b1, b2 := k, k*(k-1)/2
	b3, b4 := b2*(k-2)/3, b2*(k-2)*(k-3)/12
	e2, e3, e4 := k-0.5, (3*k*k-6*k+2)/6, (4*k*k*k-18*k*k+22*k-6)/24
	f3, f4 := k-1, (12*k*k-36*k+22)/24
	for i := range d {
		c := &d[i]
		q0 := c.w + b1*c.r1 + b2*c.r2 + b3*c.r3 + b4*c.r4
		q1 := c.r1 + e2*c.r2 + e3*c.r3 + e4*c.r4
		q2 := c.r2 + f3*c.r3 + f4*c.r4
		power := math.Exp(k * c.x)
		s0 += power * q0
		s1 += power * (c.x*q0 + q1)
		s2 += power * (c.x*(c.x*q0+2*q1) + q2)
	}
	return s0, s1, s2
}

// logs gives the weight, the mean of x, and a variance of x that serves as a first guess.
func (d cells) logs() (weight, mean, variance float64) {
	squares := 0.0
	for i := range d {
		c := &d[i]
		weight += c.w
		mean += c.w*c.x + c.r1 - c.r2/2 + c.r3/3 - c.r4/4
		squares += c.w * c.x * c.x
	}
	mean /= weight
	return weight, mean, math.Max(squares/weight-mean*mean, 1e-6)
}

// likelihoodFit maximises the weighed likelihood Σ w·ln f(v), that is solves
//
//	Σ w·vᵏ·ln v / Σ w·vᵏ − 1/k − Σ w·ln v / Σ w = 0,   A = (Σ w·vᵏ / Σ w)^(1/k)
//
// the equation of Stevens & Smulders (1979) with weights, which are Seguro & Lambert's (2000) frequencies of single speeds.
// The standard errors are those of the observed information of as many speeds as the weighed ones are worth.
func (s *sample) likelihoodFit() (w resource.Weibull, shapeSE, scaleSE float64, err error) {
	k, sums, err := solveLikelihood(s.cells)
	if err == nil && k > cellsMaxShape {
		k, sums, err = solveLikelihood(newCells(s.points, true))
	}
	if err != nil {
		return w, math.NaN(), math.NaN(), err
	}
	ref := s.fastest()
	w = resource.Weibull{Shape: k, Scale: ref * math.Pow(sums[0]/s.weight, 1/k)}
	shapeSE, scaleSE = standardErrors(w, math.Log(ref/w.Scale), sums)
	root := math.Sqrt(s.effective)
	return w, shapeSE / root, scaleSE / root, nil
}

// solveLikelihood finds the shape by Newton's method, kept inside the bounds that the signs have drawn so far: the left
// side of the equation rises with k throughout. It returns the sums at the solution too.
func solveLikelihood(d cells) (k float64, sums [3]float64, err error) {
	_, meanLog, variance := d.logs()
	k = math.Pi / math.Sqrt(6*variance)
	if !(k > smallestShape && k < largestShape) {
		k = 2
	}
	lo, hi := smallestShape/2, 2.0*largestShape
	for settled := false; !settled; {
		s0, s1, s2 := d.sums(k)
		m := s1 / s0
		g, slope := m-1/k-meanLog, s2/s0-m*m+1/(k*k)
		if g < 0 {
			lo = k
		} else {
			hi = k
		}
		next := k - g/slope
		if !(next >= lo && next <= hi) {
			next = math.Sqrt(lo * hi)
		}
		// Newton's error is squared at each step: the step after one of 1e-8 would be lost in rounding.
		settled = math.Abs(next-k) <= 1e-8*k || hi-lo <= 1e-12*k
		k = next
	}
	if err := checkShape(k); err != nil {
		return k, sums, err
	}
	sums[0], sums[1], sums[2] = d.sums(k)
	return k, sums, nil
}

func checkShape(k float64) error {
	switch {
	case k > largestShape:
		return fmt.Errorf("%w: the shape would be above %d, that is a spread of about 1 %% of the mean; a stuck sensor does that, wind does not",
			resource.ErrConstant, largestShape)
	case !(k >= smallestShape):
		return fmt.Errorf("%w: the shape would be below %g; look for absurdly high or low values", resource.ErrNoShape, smallestShape)
	}
	return nil
}

// standardErrors inverts the observed information of one speed at the maximum; shift is ln(ref/A). With z = (v/A)ᵏ, whose
// mean is 1 there, and y = ln(v/A), the second derivatives of −ln f, averaged, are
//
//	kk: 1/k² + mean(z·y²)    kA: −k·mean(z·y)/A    AA: k²/A²
func standardErrors(w resource.Weibull, shift float64, sums [3]float64) (shapeSE, scaleSE float64) {
	m1, m2 := sums[1]/sums[0], sums[2]/sums[0]
	zy := m1 + shift
	zyy := m2 + 2*shift*m1 + shift*shift
	k, a := w.Shape, w.Scale
	kk, ka, aa := 1/(k*k)+zyy, -k*zy/a, k*k/(a*a)
	det := kk*aa - ka*ka
	return math.Sqrt(aa / det), math.Sqrt(kk / det)
}

// logLikelihood is Σ w·ln f(v) of any distribution, for weights that add up to the number of speeds.
func (s *sample) logLikelihood(w resource.Weibull) float64 {
	k, d := w.Shape, s.cells
	if k > cellsMaxShape {
		d = newCells(s.points, true)
	}
	s0, _, _ := d.sums(k)
	weight, meanLog, _ := d.logs()
	shift := math.Log(s.fastest() / w.Scale) // ln(v/A) = x + shift
	return weight*(math.Log(k/w.Scale)+(k-1)*(meanLog+shift)) - s0*math.Exp(k*shift)
}

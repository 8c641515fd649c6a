package yield

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"mastworth/resource"
)

// survival integrates S(v) = exp(−(v/A)^k) over speeds. With a = 1/k and x = (v/A)^k, so that x^a = v/A,
//
//	from 0 to v:  v·e^−x·Σ xⁿ/((a+1)…(a+n))                                       (NIST Handbook 8.7.1)
//	from v on:    (v/k)·e^−x / (x+1−a − 1(1−a)/(x+3−a − 2(2−a)/(x+5−a − …)))        (8.9.2, even part)
//
// the first up to x = seriesUpTo, the second beyond. Shapes below lowestShape, where neither is at ease, go by gonum's
// incomplete gamma functions.
type survival struct {
	shape, logScale, a float64
	mean               float64 // A·Γ(1+a), the integral over all speeds; 0 until wanted
	scale              float64
	slow               bool
	series             [seriesTerms]float64 // 1/((a+1)…(a+n))
}

const (
	seriesUpTo  = 5
	seriesTerms = 32
	lowestShape = 0.5
	nothing     = 700 // e^−x is next to nothing from here on, and slow to work with
)

// partial is an integral from 0 to a speed, or from it on.
type partial struct {
	value float64
	above bool
}

func (s *survival) begin(w resource.Weibull) {
	s.shape, s.scale, s.logScale, s.a = w.Shape, w.Scale, math.Log(w.Scale), 1/w.Shape
	if w.Shape < lowestShape {
		s.slow = true
		return
	}
	product := 1.0
	s.series[0] = 1
	for n := 1; n < seriesTerms; n++ {
		product *= 1 / (s.a + float64(n))
		s.series[n] = product
	}
}

// reduced is (v/A)^k from the logarithm of v.
func (s *survival) reduced(logSpeed float64) float64 {
	return math.Exp(s.shape * (logSpeed - s.logScale))
}

// to is the integral up to v, or beyond it, whichever has the digits.
func (s *survival) to(v, x float64) partial {
	switch {
	case s.slow:
		return s.slowly(x)
	case x <= seriesUpTo:
		return partial{v * math.Exp(-x) * s.sum(x), false}
	case x > nothing:
		return partial{0, true}
	default:
		return partial{v * s.a * math.Exp(-x) * s.fraction(x), true}
	}
}

// between is the integral from one speed to a higher one.
func (s *survival) between(lower, upper partial) float64 {
	switch {
	case lower.above:
		return lower.value - upper.value
	case upper.above:
		return s.whole() - upper.value - lower.value
	default:
		return upper.value - lower.value
	}
}

func (s *survival) whole() float64 {
	if s.mean == 0 {
		s.mean = s.scale * math.Gamma(1+s.a)
	}
	return s.mean
}

// sum is the series in four interleaved polynomials, which a processor works on at once. With the terms taken, the first
// left out is below 1e-15 of the sum.
func (s *survival) sum(x float64) float64 {
	n := seriesTerms
	switch {
	case x <= 0.3:
		n = 12
	case x <= 1:
		n = 20
	case x <= 2.5:
		n = 24
	}
	c := s.series[:n]
	x2 := x * x
	x4 := x2 * x2
	var p0, p1, p2, p3 float64
	for len(c) >= 4 {
		q := c[len(c)-4:]
		p0, p1, p2, p3 = p0*x4+q[0], p1*x4+q[1], p2*x4+q[2], p3*x4+q[3]
		c = c[:len(c)-4]
	}
	return (p0 + x*p1) + x2*(p2+x*p3)
}

// fraction is the continued fraction by the recurrence of its convergents, which needs one division in all.
func (s *survival) fraction(x float64) float64 {
	levels := 5 + int(60/x)
	b := x + 1 - s.a
	p0, p1 := 0.0, 1.0
	q0, q1 := 1.0, b
	for n := 1.0; n <= float64(levels); n++ {
		b += 2
		f := n * (s.a - n)
		p0, p1 = p1, b*p1+f*p0
		q0, q1 = q1, b*q1+f*q0
	}
	return p1 / q1
}

func (s *survival) slowly(x float64) partial {
	switch {
	case x == 0:
		return partial{0, false}
	case x > nothing:
		return partial{0, true}
	case x > s.a+1:
		return partial{s.whole() * mathext.GammaIncRegComp(s.a, x), true}
	default:
		return partial{s.whole() * mathext.GammaIncReg(s.a, x), false}
	}
}

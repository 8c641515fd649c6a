package resource

import "math"

// powerSums is what maximum likelihood asks of data: with x = ln(v/ref), ref the fastest speed, for any k
//
//	s0 = Σ e^(kx),  s1 = Σ x·e^(kx),  s2 = Σ x²·e^(kx)
type powerSums interface {
	sums(k float64) (s0, s1, s2 float64)
	// logs gives the number (or weight) of speeds, and mean and variance of x.
	logs() (n, mean, variance float64)
}

// likelihoodFit is a solution of the likelihood equation.
type likelihoodFit struct {
	shape, scale     float64
	shapeSE, scaleSE float64 // of one observation: divide by the root of their number
}

// solveLikelihood solves g(k) = s1/s0 − 1/k − mean(x) = 0 (Stevens & Smulders 1979) by Newton's method, kept inside the
// bounds that the signs of g have drawn so far: g rises with k throughout. The first guess is the shape whose ln v
// spreads as the data's, π/(√6·sd).
func solveLikelihood(d powerSums, ref float64) (likelihoodFit, error) {
	_, meanLog, variance := d.logs()
	k := math.Pi / math.Sqrt(6*variance)
	if !(k > smallestShape && k < largestShape) {
		k = 2
	}
	lo, hi := smallestShape/2, 2.0*largestShape
	var s0, s1, s2 float64
	for settled := false; !settled; {
		s0, s1, s2 = d.sums(k)
		m := s1 / s0
		g := m - 1/k - meanLog
		slope := s2/s0 - m*m + 1/(k*k)
		if g < 0 {
			lo = k
		} else {
			hi = k
		}
		step := -g / slope
		if !(k+step >= lo && k+step <= hi) {
			step = math.Sqrt(lo*hi) - k
		}
		// Newton's error is squared at each step: the step after one of 1e-8 would be lost in rounding. The bounds close
		// in at every turn, so that this ends.
		settled = math.Abs(step) <= 1e-8*k || hi-lo <= 1e-12*k
		k += step
		s0 += step * (s1 + step*s2/2) // s0 at the new k
	}
	switch {
	case k > largestShape:
		return likelihoodFit{}, errSteady()
	case k < smallestShape:
		return likelihoodFit{}, errWild()
	}
	n, _, _ := d.logs()
	f := likelihoodFit{shape: k, scale: ref * math.Pow(s0/n, 1/k)}
	f.shapeSE, f.scaleSE = standardErrors(k, f.scale, ref, s0, s1, s2)
	return f, nil
}

// standardErrors inverts the observed information of one observation at the maximum. With z = (v/A)^k, whose mean is 1
// there, and y = ln(v/A), the second derivatives of −ln f, averaged, are
//
//	kk: 1/k² + mean(z·y²)    kA: −k·mean(z·y)/A    AA: k²/A²
func standardErrors(k, scale, ref, s0, s1, s2 float64) (shapeSE, scaleSE float64) {
	shift := math.Log(ref / scale) // y = x + shift
	m1, m2 := s1/s0, s2/s0
	zy := m1 + shift
	zyy := m2 + 2*shift*m1 + shift*shift
	kk, ka, aa := 1/(k*k)+zyy, -k*zy/scale, k*k/(scale*scale)
	det := kk*aa - ka*ka
	return math.Sqrt(aa / det), math.Sqrt(kk / det)
}

// logSample holds every x = ln(v/ref) by itself, with a weight each or, where weights is nil, the weight 1.
type logSample struct {
	x, weights []float64
}

// newLogSample takes the speeds above zero. Weights may be nil.
func newLogSample(speeds, weights []float64, ref float64) logSample {
	d := logSample{x: make([]float64, 0, len(speeds)), weights: weights}
	logRef := math.Log(ref)
	for _, v := range speeds {
		if v > 0 {
			d.x = append(d.x, math.Log(v)-logRef) // v/ref might vanish
		}
	}
	return d
}

func (d logSample) sums(k float64) (s0, s1, s2 float64) {
	if d.weights == nil {
		for _, x := range d.x {
			e := math.Exp(k * x)
			ex := e * x
			s0 += e
			s1 += ex
			s2 += ex * x
		}
		return s0, s1, s2
	}
	for i, x := range d.x {
		e := d.weights[i] * math.Exp(k*x)
		ex := e * x
		s0 += e
		s1 += ex
		s2 += ex * x
	}
	return s0, s1, s2
}

func (d logSample) logs() (n, mean, variance float64) {
	weight := func(i int) float64 {
		if d.weights == nil {
			return 1
		}
		return d.weights[i]
	}
	for i, x := range d.x {
		n += weight(i)
		mean += weight(i) * x
	}
	mean /= n
	for i, x := range d.x {
		variance += weight(i) * (x - mean) * (x - mean)
	}
	return n, mean, variance / n
}

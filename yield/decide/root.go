package decide

import "math"

// mostSteps bounds the search for a root. Halving a bracket of any two numbers until they are neighbours takes fewer than 1100
// steps where the bracket reaches down to zero, and some sixty otherwise.
const mostSteps = 1100

// root finds where f changes its sign between a and b, at which it is fa and fb, one below zero and the other not. It returns
// the two ends of what is left of the bracket, both within tol (and rounding) of the change: the first on a's side of it, the
// second on b's. f may jump or be infinite, then the bracket is halved; where it is NaN the search ends.
//
// The method is Chandrupatla's (1997, Advances in Engineering Software 28, from memory): inverse quadratic interpolation where
// the last three points allow it, halving where they do not.
func root(f func(float64) float64, a, fa, b, fb, tol float64) (onA, onB float64) {
	below := fa < 0
	for t, n := 0.5, 0; n < mostSteps; n++ {
		limit := tol + 0x1p-51*math.Max(math.Abs(a), math.Abs(b))
		if math.Abs(b-a) <= limit {
			break
		}
		// Never nearer to an end than a quarter of what is left to find, so that both ends close in.
		least := math.Min(0.5, 0.25*limit/math.Abs(b-a))
		x := a + math.Min(math.Max(t, least), 1-least)*(b-a)
		fx := f(x)
		if math.IsNaN(fx) || x == a || x == b {
			break
		}
		// The newest point becomes a, b is across the change, c is the point just left behind.
		c, fc := a, fa
		if (fx < 0) != (fa < 0) {
			c, fc, b, fb = b, fb, a, fa
		}
		a, fa = x, fx
		t = step(a, fa, b, fb, c, fc)
	}
	if (fa < 0) == below {
		return a, b
	}
	return b, a
}

// step is the share of the way from a to b at which to look next.
func step(a, fa, b, fb, c, fc float64) float64 {
	xi, phi := (a-b)/(c-b), (fa-fb)/(fc-fb)
	if !(phi*phi < xi && (1-phi)*(1-phi) < 1-xi) {
		return 0.5
	}
	t := fa/(fb-fa)*(fc/(fb-fc)) + (c-a)/(b-a)*(fa/(fc-fa))*(fb/(fc-fb))
	if math.IsNaN(t) {
		return 0.5
	}
	return t
}

package drive

import "math"

// zeroBetween finds where f falls through zero between a and b, f(a) > 0 ≥ f(b), to the last digits. It is the bracketing
// method of Chandrupatla 1997, which takes inverse quadratic steps where they are safe and halves the range elsewhere, so
// that it cannot fail. Of the two ends of the last bracket it gives the one with the smaller |f|.
func zeroBetween(f func(float64) float64, a, b, fa, fb float64) float64 {
	if fb == 0 {
		return b
	}
	// x1 is the newest point, x2 the one across the zero, x3 the point before.
	x1, x2, f1, f2 := b, a, fb, fa
	var x3, f3 float64
	t := 0.5
	for range 100 {
		x := x1 + t*(x2-x1)
		fx := f(x)
		if (fx > 0) == (f1 > 0) {
			x3, f3 = x1, f1
		} else {
			x3, x2, f3, f2 = x2, x1, f2, f1
		}
		x1, f1 = x, fx
		best, fbest := x1, f1
		if math.Abs(f2) < math.Abs(f1) {
			best, fbest = x2, f2
		}
		tolerance := 2.3e-16 * math.Abs(best) / math.Abs(x2-x1)
		if fbest == 0 || !(tolerance < 0.5) {
			return best
		}
		xi, phi := (x1-x2)/(x3-x2), (f1-f2)/(f3-f2)
		t = 0.5
		if phi*phi < xi && (1-phi)*(1-phi) < 1-xi {
			t = f1/(f2-f1)*f3/(f2-f3) + (x3-x1)/(x2-x1)*f1/(f3-f1)*f2/(f3-f2)
		}
		t = min(max(t, tolerance), 1-tolerance)
	}
	if math.Abs(f2) < math.Abs(f1) {
		return x2
	}
	return x1
}

// peak finds the highest point of f between a and b, where f rises and then falls, by golden section.
func peak(f func(float64) float64, a, b float64) float64 {
	const golden = 0.6180339887498949
	c, d := b-golden*(b-a), a+golden*(b-a)
	fc, fd := f(c), f(d)
	for range 40 {
		if fc >= fd {
			b, d, fd = d, c, fc
			c = b - golden*(b-a)
			fc = f(c)
		} else {
			a, c, fc = c, d, fd
			d = a + golden*(b-a)
			fd = f(d)
		}
	}
	return (a + b) / 2
}

// lowest finds the boundary between lo, where reached is false, and hi, where it is true, and gives the upper side.
func lowest(reached func(float64) bool, lo, hi float64) float64 {
	for hi-lo > 1e-9*hi {
		middle := (lo + hi) / 2
		if reached(middle) {
			hi = middle
		} else {
			lo = middle
		}
	}
	return hi
}

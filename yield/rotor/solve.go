package rotor

import "math"

// element is a ring of the rotor; lengths are over the tip radius unless their name has a unit.
type element struct {
	radius   float64
	chordM   float64
	setting  float64 // twist and pitch, rad
	solidity float64 // blades·chord/(2πr)
	area     float64 // of the ring, over the disc's
	tip, hub float64 // Prandtl's exponents but for sin φ; +Inf for none
}

// state is an element at work.
type state struct {
	e        *element
	section  Section
	polar    *Polar
	lambda   float64 // local speed ratio, Ωr/V
	reynolds float64
	friction float64 // added to a polar's drag
}

// flow is what the air does at an inflow angle.
type flow struct {
	phi       float64
	residual  float64
	normal    float64 // force coefficients along the axis and along the turning
	tangent   float64
	stretched float64 // sin²φ/(1−a)
	sin       float64
}

// at is the balance of blade element and momentum at an inflow angle φ from 0 to π.
//
// Where the ring is loaded by the coefficients n along the axis and t along the turning, momentum theory with Prandtl's F
// (Glauert 1935) gives
//
//	a/(1−a) = σn/(4F sin²φ)          up to a = 0.4,
//	8/9 + (4F − 40/9)a + (50/9 − 4F)a² = σn(1−a)²/sin²φ     above (Buhl 2005),
//	W (cos φ − σt/(4F sin φ)) = Ωr,  W sin φ = V(1−a),
//
// and so a residual S(φ) = λ_r sin²φ/(1−a) − sin φ cos φ + σt/(4F) that vanishes where all hold. Drag counts in n and t.
// Unlike the usual form with a and a' apart, S is bounded and continuous on the whole half circle and needs no special case
// at standstill: −σCd/4 or less at φ = 0 and σCd/4 at φ = π, so with any drag there is a root between. Where 1/(1−a) would
// be below 0, it is kept at 0: S is then below 0 for φ < π/2 (there n < 0 only with t < 0) and above 0 for φ > π/2, so that
// no root lies there.
func (s *state) at(phi float64) flow {
	sin, cos := math.Sincos(phi)
	var cl, cd float64
	alpha := phi - s.e.setting
	switch {
	case s.polar == nil:
		cl, cd = s.section.Coefficients(math.Remainder(alpha, 2*math.Pi), s.reynolds)
	case alpha > math.Pi:
		cl, cd = s.polar.at(alpha - 2*math.Pi)
		cd += s.friction
	default:
		cl, cd = s.polar.at(alpha)
		cd += s.friction
	}
	loss := s.e.loss(sin)
	f := flow{phi: phi, sin: sin, normal: cl*cos + cd*sin, tangent: cl*sin - cd*cos}
	square := sin * sin
	load := s.e.solidity * f.normal
	if g := load / (4 * loss); g <= square*(2.0/3) {
		f.stretched = max(square+g, 0)
	} else {
		// With y = 1−a, Buhl's line is 2 − by + cy²; the root is written so that nothing is divided by sin φ.
		b := 20.0/3 - 4*loss
		c := 50.0/9 - 4*loss
		f.stretched = (b*square + sin*math.Sqrt((b*b-8*c)*square+8*load)) / 4
	}
	f.residual = s.lambda*f.stretched - sin*cos + s.e.solidity*f.tangent/(4*loss)
	return f
}

// loss is Prandtl's factor for tip and hub, F = F_tip·F_hub, with (2/π) acos exp(−B(R−r)/(2r sin φ)) for the tip and
// r−R_hub for R−r at the hub. Where the exponent is above 20, F is 1 to eight digits.
func (e *element) loss(sin float64) float64 {
	const negligible = 20
	f := 1.0
	if e.tip < negligible*sin {
		f = 2 / math.Pi * math.Acos(math.Exp(-e.tip/sin))
	}
	if e.hub < negligible*sin {
		f *= 2 / math.Pi * math.Acos(math.Exp(-e.hub/sin))
	}
	return f
}

// solve finds the inflow angle, outwards from a guess. Nearly always there is one balance alone; a stall can make several,
// and then the one that is met first is taken.
func (s *state) solve(guess float64) flow {
	first := s.at(guess)
	step := firstStep * guess
	if first.residual < 0 {
		lo, atLo := guess, first.residual
		for {
			hi := min(lo+step, math.Pi)
			atHi := s.at(hi).residual
			if atHi >= 0 || hi == math.Pi {
				return s.between(lo, atLo, hi, atHi)
			}
			lo, atLo, step = hi, atHi, widening*step
		}
	}
	hi, atHi := guess, first.residual
	for {
		lo := max(hi-step, 0)
		f := s.at(lo)
		if f.residual < 0 {
			return s.between(lo, f.residual, hi, atHi)
		}
		if lo == 0 {
			return f // without drag a blade can be loaded so heavily that it stops the air
		}
		hi, atHi, step = lo, f.residual, widening*step
	}
}

// The first step from a guess, as a share of it, and how much wider each further one is.
const (
	firstStep = 0.05
	widening  = 3
)

// between closes in on a root between two angles of opposite residual, by inverse quadratic steps that are taken only
// where they must succeed and halving otherwise (Chandrupatla 1997).
func (s *state) between(a, fa, b, fb float64) flow {
	const tolerance = 1e-10
	var c, fc float64
	t := 0.5
	if fa != fb {
		t = min(max(fa/(fa-fb), 0.05), 0.95)
	}
	for range 100 {
		x := a + t*(b-a)
		f := s.at(x)
		if f.residual == 0 {
			return f
		}
		if (f.residual > 0) == (fa > 0) {
			c, fc = a, fa
		} else {
			c, fc = b, fb
			b, fb = a, fa
		}
		a, fa = x, f.residual
		width := math.Abs(b - a)
		if width < 2*tolerance || math.Abs(fa) < 1e-12 {
			return f
		}
		xi, ph := (a-b)/(c-b), (fa-fb)/(fc-fb)
		t = 0.5
		if ph*ph < xi && (1-ph)*(1-ph) < 1-xi {
			t = fa/(fb-fa)*fc/(fb-fc) + (c-a)/(b-a)*fa/(fc-fa)*fb/(fc-fb)
		}
		limit := tolerance / width
		t = min(max(t, limit), 1-limit)
	}
	return s.at(a)
}

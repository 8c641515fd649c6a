package yield

import (
	"math"

	"mastworth/resource"
)

// MeanPowerWeibull is the curve's mean power in W in a Weibull wind, in closed form. By parts, with S(v) = exp(−(v/A)^k)
// the share of time above v,
//
//	∫ P f dv = P₀S₀ − PₙSₙ + Σ βᵢ ∫ S dv over each segment,   ∫₀ᵛ S = (A/k) γ(1/k, (v/A)^k)
//
// where βᵢ is the segment's slope and γ the lower incomplete gamma function (NIST Handbook of Mathematical Functions,
// 8.2.1). Good to 1e-10 of itself in thin tails too, since there the integral is taken from above; a curve that begins
// with power at its first point adds 1e-15 of that power. A mean below 1e-18 of the highest power is 0: a wind that would
// bring it once in the age of the universe never starts the rotor. It does not allocate. A shape or scale that is not
// above 0 gives NaN.
func (c *Curve) MeanPowerWeibull(w resource.Weibull) float64 {
	if !(w.Shape > 0 && w.Scale > 0) || math.IsInf(w.Shape, 1) || math.IsInf(w.Scale, 1) {
		return math.NaN()
	}
	var s survival
	s.begin(w)
	last := len(c.points) - 1
	power := 0.0
	if p := c.points[0].PowerW; p != 0 {
		power = p * math.Exp(-s.reduced(c.logs[0]))
	}
	var before partial
	known := false // whether before is the integral to the segment's beginning; level segments want none
	for i, slope := range c.slopes {
		if slope == 0 {
			known = false
			continue
		}
		if !known {
			before = s.to(c.points[i].SpeedMS, s.reduced(c.logs[i]))
		}
		next := s.to(c.points[i+1].SpeedMS, s.reduced(c.logs[i+1]))
		power += slope * s.between(before, next)
		before, known = next, true
	}
	if p := c.points[last].PowerW; p != 0 {
		power -= p * math.Exp(-s.reduced(c.logs[last]))
	}
	if power < 1e-18*c.MaxPower() {
		return 0
	}
	return power
}

package resource

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// Weibull is the two-parameter Weibull distribution of wind speed,
//
//	f(v) = (k/A)·(v/A)^(k−1)·exp(−(v/A)^k)  for v ≥ 0
//
// with shape k and scale A. Its methods are defined for k > 0 and A > 0 and give NaN where either is not.
type Weibull struct {
	Shape float64 // k, greater than 0; 1.5 to 2.5 in most places
	Scale float64 // A, m/s, greater than 0
}

// valid reports whether the parameters are inside the distribution's domain.
func (w Weibull) valid() bool {
	return w.Shape > 0 && w.Scale > 0 && !math.IsInf(w.Shape, 1) && !math.IsInf(w.Scale, 1)
}

func (w Weibull) dist() distuv.Weibull { return distuv.Weibull{K: w.Shape, Lambda: w.Scale} }

// moment is the mean of vʳ: Aʳ·Γ(1+r/k).
func (w Weibull) moment(r float64) float64 {
	if !w.valid() {
		return math.NaN()
	}
	return math.Pow(w.Scale, r) * math.Gamma(1+r/w.Shape)
}

// Mean is the mean speed A·Γ(1+1/k), m/s.
func (w Weibull) Mean() float64 { return w.moment(1) }

// MeanCube is the mean of the cubed speed A³·Γ(1+3/k), m³/s³. Half of it times the air density is the power density.
func (w Weibull) MeanCube() float64 { return w.moment(3) }

// SD is the standard deviation of speed A·√(Γ(1+2/k) − Γ²(1+1/k)), m/s.
func (w Weibull) SD() float64 {
	m := w.moment(1)
	return math.Sqrt(math.Max(0, w.moment(2)-m*m))
}

// PowerDensity is the mean power of the wind through a square metre, W/m², in air of density rho, kg/m³.
func (w Weibull) PowerDensity(rho float64) float64 { return 0.5 * rho * w.MeanCube() }

// EnergyPatternFactor is the mean cube over the cubed mean, Γ(1+3/k)/Γ³(1+1/k): 6/π for k = 2.
func (w Weibull) EnergyPatternFactor() float64 {
	if !w.valid() {
		return math.NaN()
	}
	return math.Exp(logPatternFactor(w.Shape))
}

// Prob is the probability density at speed v, s/m; 0 below zero. At v = 0 it is infinite for k < 1.
func (w Weibull) Prob(v float64) float64 {
	if !w.valid() || math.IsNaN(v) {
		return math.NaN()
	}
	return w.dist().Prob(v)
}

// CDF is the probability that the speed is at most v; 0 below zero.
func (w Weibull) CDF(v float64) float64 {
	if !w.valid() || math.IsNaN(v) {
		return math.NaN()
	}
	if v <= 0 {
		return 0
	}
	return -math.Expm1(-math.Pow(v/w.Scale, w.Shape))
}

// Survival is the probability that the speed is above v: 1 − CDF, without the cancellation at high speeds.
func (w Weibull) Survival(v float64) float64 {
	if !w.valid() || math.IsNaN(v) {
		return math.NaN()
	}
	if v <= 0 {
		return 1
	}
	return math.Exp(-math.Pow(v/w.Scale, w.Shape))
}

// Quantile is the speed not exceeded with probability p, the inverse of CDF, m/s. It is +Inf for p = 1 and NaN for p
// outside 0 to 1.
func (w Weibull) Quantile(p float64) float64 {
	if !w.valid() || !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return w.Scale * math.Pow(-math.Log1p(-p), 1/w.Shape)
}

// Mode is the most frequent speed A·((k−1)/k)^(1/k), m/s; 0 for k ≤ 1.
func (w Weibull) Mode() float64 {
	if !w.valid() {
		return math.NaN()
	}
	return w.dist().Mode()
}

// SpeedOfMostEnergy is the speed at which the wind carries most energy over a year, A·((k+2)/k)^(1/k), m/s.
func (w Weibull) SpeedOfMostEnergy() float64 {
	if !w.valid() {
		return math.NaN()
	}
	return w.Scale * math.Pow((w.Shape+2)/w.Shape, 1/w.Shape)
}

// Scaled is the distribution of all speeds times f, which scales A and leaves k. It is not a distribution for f ≤ 0.
func (w Weibull) Scaled(f float64) Weibull { return Weibull{Shape: w.Shape, Scale: w.Scale * f} }

// PartialMoment1 is the integral of v·f(v) from a to b, m/s: the share of the mean speed that speeds between a and b
// bring. Bounds below zero count as zero and b may be +Inf; it is negative for b < a. With P the regularised lower
// incomplete gamma function,
//
//	A·Γ(1+1/k)·[P(1+1/k, (b/A)^k) − P(1+1/k, (a/A)^k)]
func (w Weibull) PartialMoment1(a, b float64) float64 {
	if !w.valid() || math.IsNaN(a) || math.IsNaN(b) {
		return math.NaN()
	}
	return w.Mean() * (w.gammaShare(1+1/w.Shape, b) - w.gammaShare(1+1/w.Shape, a))
}

// IntegratedSurvival is the integral of 1 − CDF from 0 to v, m/s: the mean of the lesser of the speed and v. Mean power
// over a straight piece of a power curve is its slope times a difference of two of these. It is 0 for v ≤ 0 and the mean
// for v = +Inf; (A/k)·γ(1/k, (v/A)^k) otherwise.
func (w Weibull) IntegratedSurvival(v float64) float64 {
	if !w.valid() || math.IsNaN(v) {
		return math.NaN()
	}
	return w.Mean() * w.gammaShare(1/w.Shape, v)
}

// gammaShare is P(a, (v/A)^k).
func (w Weibull) gammaShare(a, v float64) float64 {
	switch x := math.Pow(math.Max(v, 0)/w.Scale, w.Shape); {
	case x == 0:
		return 0
	case x > 745: // exp(−x) underflows: everything is below
		return 1
	default:
		return mathext.GammaIncReg(a, x)
	}
}

// logPatternFactor is ln(Γ(1+3/k)/Γ³(1+1/k)), which falls from infinity at k → 0 to 0 at k → ∞.
func logPatternFactor(k float64) float64 { return lgamma1p(3/k) - 3*lgamma1p(1/k) }

// logSquareRatio is ln(Γ(1+2/k)/Γ²(1+1/k)) = ln(1 + (sd/mean)²).
func logSquareRatio(k float64) float64 { return lgamma1p(2/k) - 2*lgamma1p(1/k) }

// lgamma1p is ln Γ(1+x) for x ≥ 0.
func lgamma1p(x float64) float64 {
	l, _ := math.Lgamma(1 + x)
	return l
}

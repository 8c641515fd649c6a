package resource

import "errors"

// FitMethod names a way to fit a Weibull distribution.
type FitMethod string

// The methods of fitting. All leave calms (speeds of exactly zero) out.
const (
	// MaximumLikelihood solves 1/k = Σvᵏ ln v / Σvᵏ − mean(ln v), A = (mean vᵏ)^(1/k) (Stevens & Smulders 1979); on a
	// histogram with one speed a bin, weighed by the shares (Seguro & Lambert 2000). It is the default, and the only method
	// with standard errors.
	MaximumLikelihood FitMethod = "maximum_likelihood"
	// Moments keeps the mean and the standard deviation (with n−1) of the data (Justus et al. 1978, solved exactly).
	Moments FitMethod = "moments"
	// MeanAndCube keeps the mean and the mean cube of the data, and so the energy in the wind, exactly. It is the exact
	// solution of the energy pattern factor method; AkdagDinlerShape is its closed form, which is too low above k ≈ 2.5.
	MeanAndCube FitMethod = "mean_and_cube"
	// LeastSquares draws a straight line through ln(−ln(1−F)) over ln v, each point weighed as LeastSquaresWeight says:
	// unweighted, the few values in the tail would tilt it. Graphical is the unweighted line.
	LeastSquares FitMethod = "least_squares"
)

// FitMethods lists the methods, the default first.
func FitMethods() []FitMethod {
	return []FitMethod{MaximumLikelihood, Moments, MeanAndCube, LeastSquares}
}

// ParseFitMethod turns a method's name into the method; the empty name is the default. ok is false for any other.
func ParseFitMethod(name string) (m FitMethod, ok bool) {
	if name == "" {
		return MaximumLikelihood, true
	}
	for _, m := range FitMethods() {
		if string(m) == name {
			return m, true
		}
	}
	return "", false
}

// FewestToFit is the least number of non-calm speeds that is fitted. With 30 the standard error of the shape is about
// 14 % of it (0.78/√n, from the expected information); with fewer the shape says next to nothing. Judgement.
const FewestToFit = 30

// The reasons for refusing a fit. Errors of FitSpeeds and FitHistogram wrap one of them and add the numbers.
var (
	ErrTooFew    = errors.New("too few speeds to fit")
	ErrConstant  = errors.New("the speeds hardly vary")
	ErrNotFinite = errors.New("speeds must be finite numbers")
	ErrNegative  = errors.New("speeds must not be negative")
	// ErrNoShape says that no Weibull distribution is anywhere near the data, as when a few values are absurdly high.
	ErrNoShape = errors.New("no Weibull shape fits")
	// ErrMethod says that a method's name is not one of FitMethods.
	ErrMethod = errors.New("unknown fit method")
)

// Fit is a Weibull distribution fitted to the non-calm speeds of a data set.
type Fit struct {
	Weibull
	Method    FitMethod
	N         float64 // how many non-calm speeds it rests on; the sum of their shares for a histogram without a count
	CalmShare float64 // share of all speeds that are calm, left out of the fit
	// ShapeSE and ScaleSE are the standard errors of Shape and Scale (m/s) from the observed information, NaN where there
	// are none. They take the speeds for independent; wind is not, so true errors are a few times larger.
	ShapeSE, ScaleSE float64
	Distance         float64 // the largest gap between the distribution and that of the data (Kolmogorov–Smirnov), 0 to 1
}

// MeanOf is the plain mean; NaN for an empty slice or where a value is NaN.
func MeanOf(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

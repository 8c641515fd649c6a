package resource

import (
	"fmt"
	"math"
)

// FitSpeeds fits a Weibull distribution to speeds, m/s, by method m (empty: the default). Zeros are calms: counted,
// not fitted. It refuses, with a wrapped sentinel, NaN or infinite speeds (ErrNotFinite: leave missing values out
// first), negative ones (ErrNegative), fewer than FewestToFit above zero (ErrTooFew), fewer than three different ones or
// next to no variation (ErrConstant), and data that no shape comes near (ErrNoShape). The speeds are not changed. Any
// unit serves: Scale is in the speeds' own.
func FitSpeeds(speeds []float64, m FitMethod) (Fit, error) {
	method, ok := ParseFitMethod(string(m))
	if !ok {
		return Fit{}, fmt.Errorf("%w %q", ErrMethod, string(m))
	}
	sample, err := newSample(speeds)
	if err != nil {
		return Fit{}, err
	}
	f := Fit{
		Method: method, N: float64(sample.n), CalmShare: float64(sample.calm) / float64(sample.n+sample.calm),
		ShapeSE: math.NaN(), ScaleSE: math.NaN(),
	}
	switch method {
	case MaximumLikelihood:
		var l likelihoodFit
		if l, err = sample.likelihood(); err == nil {
			f.use(l)
		}
	case Moments:
		mean, sd, _ := sample.moments()
		f.Weibull, err = momentsFit(mean, sd)
	case MeanAndCube:
		mean, _, cube := sample.moments()
		f.Weibull, err = meanAndCubeFit(mean, cube)
	case LeastSquares:
		f.Weibull, err = leastSquaresSpeeds(speeds, sample.n)
	}
	if err != nil {
		return Fit{}, err
	}
	f.Distance = distance(f.Weibull, speeds, sample.n, sample.fastest)
	return f, nil
}

// use takes a solution of the likelihood equation over, for f.N speeds.
func (f *Fit) use(l likelihoodFit) {
	root := math.Sqrt(f.N)
	f.Weibull = Weibull{Shape: l.shape, Scale: l.scale}
	f.ShapeSE, f.ScaleSE = l.shapeSE/root, l.scaleSE/root
}

// sample is speeds fit to be fitted.
type sample struct {
	speeds           []float64
	n, calm          int     // above zero; zero
	slowest, fastest float64 // above zero
}

// newSample checks speeds.
func newSample(speeds []float64) (sample, error) {
	s := sample{speeds: speeds, slowest: math.Inf(1)}
	slowest, fastest := s.slowest, 0.0
	for i, v := range speeds {
		if v > 0 && v <= math.MaxFloat64 {
			if v < slowest {
				slowest = v
			}
			if v > fastest {
				fastest = v
			}
			continue
		}
		switch {
		case v == 0:
			s.calm++
		case v < 0 && v >= -math.MaxFloat64:
			return s, fmt.Errorf("%w: value %d of %d is %g", ErrNegative, i+1, len(speeds), v)
		default:
			return s, fmt.Errorf("%w: value %d of %d is %g", ErrNotFinite, i+1, len(speeds), v)
		}
	}
	s.n, s.slowest, s.fastest = len(speeds)-s.calm, slowest, fastest
	if s.n < FewestToFit {
		return s, fmt.Errorf("%w: %d are above zero (and %d are calm); at least %d are needed", ErrTooFew, s.n, s.calm, FewestToFit)
	}
	return s, s.varied()
}

// varied refuses speeds that take only one or two values.
func (s *sample) varied() error {
	if s.slowest == s.fastest {
		return fmt.Errorf("%w: all %d speeds above zero are %g", ErrConstant, s.n, s.slowest)
	}
	for _, v := range s.speeds {
		if v > 0 && v != s.slowest && v != s.fastest {
			return nil
		}
	}
	return fmt.Errorf("%w: the %d speeds above zero take only the values %g and %g", ErrConstant, s.n, s.slowest, s.fastest)
}

// likelihood fits by cells where the sample is large, and one by one where it is small or the cells are too coarse.
func (s *sample) likelihood() (likelihoodFit, error) {
	if s.n >= cellsFrom && s.slowest >= cellsLow && s.fastest <= cellsHigh {
		f, err := solveLikelihood(newCellSample(s.speeds, s.slowest, s.fastest), s.fastest)
		if err == nil && f.shape <= cellsMaxShape {
			return f, nil
		}
	}
	return solveLikelihood(newLogSample(s.speeds, nil, s.fastest), s.fastest)
}

// moments are the mean, the standard deviation (with n−1) and the mean cube of the speeds above zero.
func (s *sample) moments() (mean, sd, cube float64) {
	n := float64(s.n)
	for _, v := range s.speeds { // zeros add nothing
		mean += v
		cube += v * v * v
	}
	mean /= n
	for _, v := range s.speeds {
		if v > 0 {
			sd += (v - mean) * (v - mean)
		}
	}
	return mean, math.Sqrt(sd / (n - 1)), cube / n
}

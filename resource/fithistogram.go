package resource

import (
	"fmt"
	"math"
)

// FitHistogram fits a Weibull distribution to a histogram by method m (empty: the default). Each bin stands for its
// mean speed, or its middle where the histogram has no means; LeastSquares uses the bins' upper edges. It refuses what
// FitSpeeds refuses, fewer than three bins with speeds in them (ErrConstant), and whatever Histogram.Validate does
// (ErrHistogram). The number of speeds is checked, and standard errors are given, only where the histogram has a Count.
func FitHistogram(h Histogram, m FitMethod) (Fit, error) {
	method, ok := ParseFitMethod(string(m))
	if !ok {
		return Fit{}, fmt.Errorf("%w %q", ErrMethod, string(m))
	}
	if err := h.Validate(); err != nil {
		return Fit{}, err
	}
	b, err := binnedOf(h)
	if err != nil {
		return Fit{}, err
	}
	f := Fit{Method: method, N: b.blowing, CalmShare: 1 - b.blowing, ShapeSE: math.NaN(), ScaleSE: math.NaN()}
	if h.Count > 0 {
		f.N = math.Round(b.blowing * float64(h.Count))
		if f.N < FewestToFit {
			return Fit{}, fmt.Errorf("%w: %g are above zero (of %d); at least %d are needed", ErrTooFew, f.N, h.Count, FewestToFit)
		}
	}
	switch method {
	case MaximumLikelihood:
		fastest := b.speeds[len(b.speeds)-1]
		var l likelihoodFit
		if l, err = solveLikelihood(newLogSample(b.speeds, b.weights, fastest), fastest); err != nil {
			break
		}
		if f.use(l); h.Count <= 0 {
			f.ShapeSE, f.ScaleSE = math.NaN(), math.NaN()
		}
	case Moments:
		mean, sd, _ := b.moments(h.Count)
		f.Weibull, err = momentsFit(mean, sd)
	case MeanAndCube:
		mean, _, cube := b.moments(h.Count)
		f.Weibull, err = meanAndCubeFit(mean, cube)
	case LeastSquares:
		f.Weibull, err = leastSquaresHistogram(h, LeastSquaresWeight)
	}
	if err != nil {
		return Fit{}, err
	}
	f.Distance = binnedDistance(f.Weibull, h)
	return f, nil
}

// binned is a histogram's bins with speeds in them.
type binned struct {
	speeds, weights []float64 // one a bin; weights are shares of all time
	blowing         float64   // their sum, but for calms known apart
}

// binnedOf takes the bins with speeds out of a valid histogram.
func binnedOf(h Histogram) (binned, error) {
	b := binned{speeds: make([]float64, 0, len(h.Shares)), weights: make([]float64, 0, len(h.Shares))}
	total := h.Calm
	for i, share := range h.Shares {
		total += share
		if v := h.speed(i); share > 0 && v > 0 { // a bin whose mean is zero holds calms
			b.speeds = append(b.speeds, v)
			b.weights = append(b.weights, share)
			b.blowing += share
		}
	}
	b.blowing /= total // shares may miss 1 by rounding
	if len(b.speeds) < 3 {
		return b, fmt.Errorf("%w: %d bins hold all speeds above zero; at least 3 are needed", ErrConstant, len(b.speeds))
	}
	return b, nil
}

// moments are the mean, the standard deviation and the mean cube; count speeds (0: unknown) were binned.
func (b *binned) moments(count int) (mean, sd, cube float64) {
	sum := 0.0
	for i, v := range b.speeds {
		sum += b.weights[i]
		mean += b.weights[i] * v
		cube += b.weights[i] * v * v * v
	}
	mean /= sum
	for i, v := range b.speeds {
		sd += b.weights[i] * (v - mean) * (v - mean)
	}
	sd /= sum
	if n := b.blowing * float64(count); n > 1 {
		sd *= n / (n - 1)
	}
	return mean, math.Sqrt(sd), cube / sum
}

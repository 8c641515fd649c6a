package climate

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// FitComparison is a Weibull distribution fitted by one method, and how near it comes to the data. Where Err is not nil its
// numbers are NaN. All methods have two parameters, so that AIC ranks as the likelihood does; both take the speeds for
// independent, which wind is not: small differences mean nothing.
type FitComparison struct {
	// Fit is as resource.FitSpeeds makes it of the record's speeds, or, where the climate is uneven, of the same with the
	// weight of each one's month. N stays the number of speeds above zero. CalmShare is that of the climate.
	resource.Fit
	MeanError     float64 // fitted mean over that of the speeds above zero, less 1
	MeanCubeError float64 // fitted mean cube over that of the speeds above zero, less 1: the error of the energy in the wind
	LogLikelihood float64 // Σ ln f(v), speeds in m/s
	AIC           float64 // 4 − 2·LogLikelihood (Akaike 1974)
	Used          bool    // this is the fit given wherever one alone is
	Why           string  // a sentence: why it is used, or not
	Err           error   // why there is none; wraps a sentinel of package resource
}

var whyNotUsed = map[resource.FitMethod]string{
	resource.MaximumLikelihood: "The usual choice, but it is refused here.",
	resource.Moments:           "Keeps mean and standard deviation, but has no standard errors and follows outliers.",
	resource.MeanAndCube:       "Keeps mean and energy exactly, but has no standard errors and a few of the fastest speeds decide the shape.",
	resource.LeastSquares:      "A straight line on the classical graph: for comparison.",
}

// whyUsed is said of maximum likelihood.
const whyUsed = "It has the smallest standard errors of all methods where the wind is Weibull's, states them, and no few speeds decide it."

// fits makes the fits of all speeds and of the sectors.
func (cl *Climate) fits(g *gathered, weights *[12]float64) {
	sorted := sortEntries(g.entries)
	distinct := 0
	for i := range sorted {
		if i == 0 || sorted[i].v != sorted[i-1].v {
			distinct++
		}
	}
	points := make([]point, 0, distinct)
	all := newSample(sorted, weights, points)
	cl.compare(all)
	cl.rose(g, weights)
	if cl.Sectors == nil {
		return
	}
	bySector := part(sorted, len(cl.Sectors), g.entries)
	for k := range cl.Sectors {
		cl.Sectors[k].fit(newSample(bySector[k], weights, points))
	}
}

// part parts sorted entries by sector into room of the same length; each part stays sorted.
func part(sorted []entry, sectors int, room []entry) [][]entry {
	next := make([]int, sectors+2) // of no sector first
	for i := range sorted {
		next[int(sorted[i].sector)+2]++
	}
	for k := 1; k < len(next); k++ {
		next[k] += next[k-1]
	}
	out := make([][]entry, sectors)
	for k := range out {
		out[k] = room[next[k+1]:next[k+2]]
	}
	for i := range sorted {
		k := int(sorted[i].sector) + 1
		room[next[k]] = sorted[i]
		next[k]++
	}
	return out
}

// compare fits by every method.
func (cl *Climate) compare(s *sample) {
	s.calm = cl.CalmShare
	mean, _, cube := s.moments()
	for _, m := range resource.FitMethods() {
		c := FitComparison{Why: whyNotUsed[m]}
		c.Fit, c.Err = s.fit(m)
		c.MeanError, c.MeanCubeError = c.Mean()/mean-1, c.MeanCube()/cube-1
		c.LogLikelihood, c.AIC = math.NaN(), math.NaN()
		if c.Err == nil {
			c.LogLikelihood = s.logLikelihood(c.Weibull)
			c.AIC = 4 - 2*c.LogLikelihood
			if m == resource.MaximumLikelihood {
				c.Used, c.Why = true, whyUsed
			}
		}
		cl.Fits = append(cl.Fits, c)
	}
}

// fit fits by one method; a refused fit has NaN for a shape and a scale.
func (s *sample) fit(m resource.FitMethod) (resource.Fit, error) {
	nan := math.NaN()
	f := resource.Fit{
		Weibull: resource.Weibull{Shape: nan, Scale: nan}, Method: m, N: float64(s.n), CalmShare: s.calm,
		ShapeSE: nan, ScaleSE: nan, Distance: nan,
	}
	if err := s.check(); err != nil {
		return f, err
	}
	if s.cells == nil {
		s.cells = newCells(s.points, false)
	}
	var w resource.Weibull
	var err error
	shapeSE, scaleSE := nan, nan
	switch m {
	case resource.MaximumLikelihood:
		w, shapeSE, scaleSE, err = s.likelihoodFit()
	case resource.Moments:
		mean, sd, _ := s.moments()
		ratio := sd / mean
		w, err = fromMoments(mean, math.Log1p(ratio*ratio), 2)
	case resource.MeanAndCube:
		mean, _, cube := s.moments()
		w, err = fromMoments(mean, math.Log(cube/(mean*mean*mean)), 3)
	case resource.LeastSquares:
		w, err = s.leastSquares()
	default:
		err = fmt.Errorf("%w %q", resource.ErrMethod, string(m))
	}
	if err != nil {
		return f, err
	}
	f.Weibull, f.ShapeSE, f.ScaleSE = w, shapeSE, scaleSE
	f.Distance = s.distance(w)
	return f, nil
}

// fromMoments is the distribution of a mean and a higher moment: target is ln(mean(vʳ)/meanʳ) = ln Γ(1+r/k) − r·ln Γ(1+1/k),
// which falls as k rises. Halving the range of ln k cannot fail, and 60 steps reach the last digit.
func fromMoments(mean, target, r float64) (resource.Weibull, error) {
	excess := func(logK float64) float64 {
		k := math.Exp(logK)
		one, _ := math.Lgamma(1 + 1/k)
		high, _ := math.Lgamma(1 + r/k)
		return high - r*one - target
	}
	lo, hi := math.Log(smallestShape), math.Log(largestShape)
	if !(excess(lo) >= 0) {
		return resource.Weibull{}, checkShape(smallestShape / 2)
	}
	if excess(hi) > 0 {
		return resource.Weibull{}, checkShape(largestShape * 2)
	}
	for range 60 {
		if middle := (lo + hi) / 2; excess(middle) > 0 {
			lo = middle
		} else {
			hi = middle
		}
	}
	k := math.Exp((lo + hi) / 2)
	return resource.Weibull{Shape: k, Scale: mean / math.Gamma(1+1/k)}, nil
}

// leastSquares draws the line of resource.LeastSquares: one point a speed, at the middle of its ranks, with the weight of
// all its occurrences.
func (s *sample) leastSquares() (resource.Weibull, error) {
	var w, x, y, xx, xy, below float64
	for _, p := range s.points {
		f := (below + p.w/2) / s.weight
		below += p.w
		l := math.Log1p(-f)
		weight := p.w * (1 - f) * l * l / f // resource.LeastSquaresWeight, its logarithm shared
		px, py := math.Log(p.v), math.Log(-l)
		w += weight
		x += weight * px
		y += weight * py
		xx += weight * px * px
		xy += weight * px * py
	}
	x, y = x/w, y/w
	k := (xy/w - x*y) / (xx/w - x*x)
	if err := checkShape(k); err != nil {
		return resource.Weibull{}, err
	}
	return resource.Weibull{Shape: k, Scale: math.Exp(x - y/k)}, nil
}

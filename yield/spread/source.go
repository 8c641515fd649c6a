package spread

import (
	"math"
	"slices"
)

// Kind says what a source of uncertainty multiplies.
type Kind string

// The kinds of sources. Each multiplies its quantity by a factor of mean 1.
const (
	WindSpeed   Kind = "wind_speed"   // every wind speed at the hub: sensors, long run, extrapolation, obstacles
	WindEnergy  Kind = "wind_energy"  // the machine's net energy: power curve, losses
	Costs       Kind = "costs"        // all that the machine costs
	Capital     Kind = "capital"      // what is paid at the start
	Upkeep      Kind = "upkeep"       // yearly costs and replacements
	Price       Kind = "price"        // the price of a bought kWh
	SolarEnergy Kind = "solar_energy" // the array's energy
	SolarCost   Kind = "solar_cost"   // all that the array costs
)

// Kinds are all kinds of sources.
func Kinds() []Kind {
	return []Kind{WindSpeed, WindEnergy, Costs, Capital, Upkeep, Price, SolarEnergy, SolarCost}
}

// Distribution is the shape a source's factor is drawn from.
type Distribution string

// The distributions (JCGM 101:2008, section 6.4). All have mean 1 and the source's standard uncertainty.
const (
	Normal      Distribution = "normal"      // the empty string means it too; a factor below 0 is drawn up to 0 and told of
	Lognormal   Distribution = "lognormal"   // always above 0
	Rectangular Distribution = "rectangular" // even between 1 ± √3 u
	Triangular  Distribution = "triangular"  // highest at 1, nothing beyond 1 ± √6 u
)

// Distributions are all distributions.
func Distributions() []Distribution {
	return []Distribution{Normal, Lognormal, Rectangular, Triangular}
}

// RectangularStandard is the standard uncertainty of a value known to lie anywhere within ± halfWidth (JCGM 101, 6.4.2).
func RectangularStandard(halfWidth float64) float64 { return halfWidth / math.Sqrt(3) }

// TriangularStandard is the standard uncertainty of a value within ± halfWidth that is likelier in the middle.
func TriangularStandard(halfWidth float64) float64 { return halfWidth / math.Sqrt(6) }

// Source is one independent source of uncertainty. One number is drawn for it and serves all heights.
type Source struct {
	Name         string
	Kind         Kind
	Distribution Distribution // empty: Normal
	// Standard is the standard uncertainty, a share from 0 to 1 of the quantity.
	Standard float64
	// PerHeight, where not nil, is Standard height by height, as for vertical extrapolation: the errors grow with height but
	// go together.
	PerHeight []float64
	// EveryYear is for what varies from year to year, such as the wind: each year of the life is drawn anew. For WindSpeed,
	// WindEnergy and SolarEnergy alone.
	EveryYear bool
	// TruncateAt, where not 0, leaves out what a normal or lognormal distribution has beyond so many standard deviations of
	// the normal; from 1. What remains is a little narrower than Standard.
	TruncateAt float64
}

// validate returns the first fault of a source for a number of heights.
func (s *Source) validate(heights int) error {
	switch {
	case s.Name == "":
		return faultf("", "name", "every source of uncertainty needs a name")
	case !slices.Contains(Kinds(), s.Kind):
		return faultf(s.Name, "kind", "%q is no kind of source; choose from %q", s.Kind, Kinds())
	case s.Distribution != "" && !slices.Contains(Distributions(), s.Distribution):
		return faultf(s.Name, "distribution", "%q is no distribution; choose from %q", s.Distribution, Distributions())
	case s.EveryYear && s.Kind != WindSpeed && s.Kind != WindEnergy && s.Kind != SolarEnergy:
		return faultf(s.Name, "every_year", "only wind speed, wind energy and solar energy are drawn anew each year, not %s", s.Kind)
	case s.TruncateAt != 0 && !(s.TruncateAt >= 1 && s.TruncateAt <= 10):
		return faultf(s.Name, "truncate_at", "must be from 1 to 10 standard deviations, or 0 for no bound, not %g", s.TruncateAt)
	case s.TruncateAt != 0 && s.bounded():
		return faultf(s.Name, "truncate_at", "a %s distribution ends by itself; leave the bound out", s.Distribution)
	}
	if s.PerHeight == nil {
		return s.checkStandard("standard", s.Standard)
	}
	if s.Kind != WindSpeed && s.Kind != WindEnergy && s.Kind != Costs && s.Kind != Capital && s.Kind != Upkeep {
		return faultf(s.Name, "per_height", "%s has no height; give one standard uncertainty", s.Kind)
	}
	if len(s.PerHeight) != heights {
		return faultf(s.Name, "per_height", "has %d values for %d heights; give one a height", len(s.PerHeight), heights)
	}
	for _, v := range s.PerHeight {
		if err := s.checkStandard("per_height", v); err != nil {
			return err
		}
	}
	return nil
}

func (s *Source) checkStandard(field string, v float64) error {
	switch {
	case math.IsNaN(v):
		return faultf(s.Name, field, "is not a number; give a share from 0 to 1")
	case v < 0:
		return faultf(s.Name, field, "a spread cannot be negative, but it is %g", v)
	case v > 1:
		return faultf(s.Name, field, "is %g %%, above 100 %%; give a share, such as 0.06 for 6 %%", 100*v)
	}
	return nil
}

// bounded reports whether the distribution ends by itself.
func (s *Source) bounded() bool { return s.Distribution == Rectangular || s.Distribution == Triangular }

// at is the standard uncertainty at a height.
func (s *Source) at(height int) float64 {
	if s.PerHeight != nil {
		return s.PerHeight[height]
	}
	return s.Standard
}

// score turns even numbers on (0, 1) into scores of mean 0 and standard deviation 1 (before truncation), in place.
func (s *Source) score(u []float64) {
	switch s.Distribution {
	case Rectangular:
		for i, p := range u {
			u[i] = math.Sqrt(3) * (2*p - 1)
		}
	case Triangular:
		for i, p := range u {
			if p < 0.5 {
				u[i] = math.Sqrt(6) * (math.Sqrt(2*p) - 1)
			} else {
				u[i] = math.Sqrt(6) * (1 - math.Sqrt(2*(1-p)))
			}
		}
	default:
		inside := 1.0
		if s.TruncateAt != 0 {
			inside = math.Erf(s.TruncateAt / math.Sqrt2)
		}
		for i, p := range u {
			u[i] = math.Sqrt2 * math.Erfinv(inside*(2*p-1)) // 2p − 1 is exact for the net's numbers
		}
	}
}

// multiply multiplies each of to by the source's factor for a score and a standard uncertainty, and counts the factors that
// would have been below 0.
func (s *Source) multiply(to, scores []float64, standard float64) (clipped int) {
	if standard == 0 {
		return 0
	}
	scores = scores[:len(to)]
	if s.Distribution == Lognormal {
		v := math.Log1p(standard * standard)
		sd := math.Sqrt(v)
		for i, z := range scores {
			to[i] *= math.Exp(sd*z - v/2)
		}
		return 0
	}
	for i, z := range scores {
		f := 1 + standard*z
		if f < 0 {
			f = 0
			clipped++
		}
		to[i] *= f
	}
	return clipped
}

// factor is the source's factor at a score.
func (s *Source) factor(score, standard float64) float64 {
	one := [1]float64{1}
	s.multiply(one[:], []float64{score}, standard)
	return one[0]
}

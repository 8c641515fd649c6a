package terrain

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// Walls and limits of relief.
const (
	lowestReliefM   = 1
	highestReliefM  = 500
	shortestReliefM = 10
	longestReliefM  = 5000
	steepest        = 0.5  // slope above which the flow parts from the ground
	steep           = 0.3  // slope above which the formula loses its grounds
	longReliefM     = 1000 // half-length above which turning and stratification matter
	slightSpeedUp   = 0.05 // gain at the ground below which it is lost in what is not known of the ground
	mostReliefs     = 360
)

// ReliefFaults lists what is wrong with a description of relief: each one's in their order, then the overlaps. Heights of
// 1 to 500 m and half-lengths of 10 m to 5 km are taken; slopes above 0.5 are not, except for a valley and a lee, which gain
// nothing, and whose height and half-length may be NaN.
func ReliefFaults(rs []Relief) []Fault {
	if n := len(rs); n > mostReliefs {
		return []Fault{{-1, "", fmt.Sprintf("there are %d reliefs; at most %d are taken: give the one the mast stands on", n, mostReliefs)}}
	}
	var faults []Fault
	for i, r := range rs {
		faults = r.faults(faults, i)
	}
	return overlapFaults(faults, len(rs), func(i int) [2]float64 { return [2]float64{rs[i].FromDeg, rs[i].ToDeg} })
}

func (r Relief) faults(faults []Fault, i int) []Fault {
	add := func(field, format string, args ...any) {
		faults = append(faults, Fault{i, field, fmt.Sprintf(format, args...)})
	}
	_, b := r.Shape.coefficients()
	gains := b > 0
	if !gains && r.Shape != Valley && r.Shape != Lee {
		add("shape", "%q is not a shape of relief; it is one of ridge, hill, escarpment, valley and lee", string(r.Shape))
	}
	within := func(v, low, high float64) bool { return v >= low && v <= high || !gains && math.IsNaN(v) }
	sized := true
	if !within(r.HeightM, lowestReliefM, highestReliefM) {
		sized = false
		add("height_m", "a height of %g m is not that of small-scale relief; it must be %d to %d m: leave lower relief away, "+
			"and describe a hollow as a valley", r.HeightM, lowestReliefM, highestReliefM)
	}
	if !within(r.HalfLengthM, shortestReliefM, longestReliefM) {
		sized = false
		add("half_length_m", "a half-length of %g m is not that of small-scale relief; it must be %d to %d m, measured from the top to where "+
			"the ground is half of the height lower", r.HalfLengthM, shortestReliefM, longestReliefM)
	}
	if s := r.Slope(); gains && sized && s > steepest {
		add("half_length_m", "the slope of %.3g (height %g m over half-length %g m) is above %g: there the flow parts from the ground and "+
			"no simple formula holds; leave the relief away, and measure", s, r.HeightM, r.HalfLengthM, steepest)
	}
	return arcFaults(faults, i, r.FromDeg, r.ToDeg)
}

// ReliefWarnings lists what is weak in a description of relief, whatever the height of the mast: relief_valley,
// relief_lee, relief_steep for slopes above 0.3, relief_long for half-lengths above 1 km, relief_slight for speed-ups below
// 5 % at the ground. ReliefHeightWarnings adds what depends on the height.
func ReliefWarnings(rs []Relief) []resource.Warning {
	var out []resource.Warning
	for i, r := range rs {
		warn := func(code, format string, args ...any) {
			out = append(out, resource.Warning{Code: code, Detail: r.words(i) + ": " + fmt.Sprintf(format, args...)})
		}
		_, b := r.Shape.coefficients()
		switch {
		case r.Shape == Valley:
			warn("relief_valley", "in a valley the wind is weaker than over the land around, and along it it is turned; nothing is taken off for "+
				"that, so that the estimate is too high for these directions: measure")
		case r.Shape == Lee:
			warn("relief_lee", "in the lee of higher ground the wind is weaker and gusty; nothing is taken off for that, so that the estimate "+
				"is too high for these directions: measure, or move the mast")
		case b == 0:
		default:
			if s := r.Slope(); s > steep {
				warn("relief_steep", "the slope of %.3g is above %g, up to which the formula holds; the flow may part from the ground, so take its "+
					"speed-up for a rough guess", s, steep)
			}
			if r.HalfLengthM > longReliefM {
				warn("relief_long", "the half-length of %g m is above %d m, up to which the formula holds; over larger hills the wind "+
					"turns and the layering of the air matters", r.HalfLengthM, int(longReliefM))
			}
			if s := r.SpeedUp(0); s < slightSpeedUp {
				warn("relief_slight", "the speed-up is at most %.2g %%, less than what is not known of the ground; it may as well be left away", 100*s)
			}
		}
	}
	return out
}

// ReliefHeightWarnings lists relief with a half-length below the height zM above its top, m (relief_above): there the
// speed-up is nearly gone and the formula is not tested.
func ReliefHeightWarnings(rs []Relief, zM float64) []resource.Warning {
	var out []resource.Warning
	for i, r := range rs {
		if _, b := r.Shape.coefficients(); b > 0 && zM > r.HalfLengthM {
			out = append(out, resource.Warning{Code: "relief_above", Detail: fmt.Sprintf("%s: a height of %g m is above its half-length of "+
				"%g m, up to which the formula is tested; its speed-up there is %.2g %%", r.words(i), zM, r.HalfLengthM, 100*r.SpeedUp(zM))})
		}
	}
	return out
}

// words is how a warning names a relief.
func (r Relief) words(i int) string {
	return fmt.Sprintf("relief [%d], %s from %s to %s", i, r.Shape, degrees(r.FromDeg), degrees(r.ToDeg))
}

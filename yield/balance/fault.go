package balance

import (
	"fmt"
	"math"
)

// What a set of blades may be.
const (
	MinBlades  = 2
	MaxBlades  = 12    // the orders of 12 blades can be searched to the end in a moment; those of many more cannot
	MinMassG   = 0.1   // a model's blade
	MaxMassG   = 1e6   // 1 t
	MinCentreM = 0.005 // of its centre of gravity from the axis
	MaxCentreM = 30
)

// Fault says which blade cannot be, and why.
type Fault struct {
	Index  int    // of the blade, from 0; −1 for the set as a whole
	Field  string // "blades", "mass" or "centre"
	Reason string // with the remedy
}

func (f *Fault) Error() string {
	if f.Index < 0 {
		return "rotor blades: " + f.Reason
	}
	return fmt.Sprintf("rotor blades, blade %d, %s: %s", f.Index+1, f.Field, f.Reason)
}

// check is the first fault of a set of blades, and whether their centres of gravity are known.
func check(blades []Blade) (known bool, err error) {
	if n := len(blades); n < MinBlades || n > MaxBlades {
		return false, &Fault{-1, "blades", fmt.Sprintf("the best order is found for %d to %d blades, not %d; with one blade "+
			"balance it by a counterweight, with more blades order them by hand, heavy opposite heavy and light beside them",
			MinBlades, MaxBlades, n)}
	}
	known = !math.IsNaN(blades[0].CentreM)
	for i, b := range blades {
		switch {
		case math.IsNaN(b.MassG):
			return false, &Fault{i, "mass", "the mass is not a number; weigh the blade and give it in grams"}
		case !(b.MassG >= MinMassG && b.MassG <= MaxMassG):
			return false, &Fault{i, "mass", fmt.Sprintf("the mass must be from %g to %.0f g, not %g; give it in grams", MinMassG,
				MaxMassG, b.MassG)}
		case math.IsNaN(b.CentreM) == known:
			return false, &Fault{i, "centre", "the centre of gravity is known of some blades only; find it of all, by laying each " +
				"across an edge, or of none"}
		case known && !(b.CentreM >= MinCentreM && b.CentreM <= MaxCentreM):
			return false, &Fault{i, "centre", fmt.Sprintf("the centre of gravity must lie from %g to %d m from the rotor's axis, not "+
				"%g; measure in metres from the axis, or give NaN where it is not known", MinCentreM, MaxCentreM, b.CentreM)}
		}
	}
	return known, nil
}

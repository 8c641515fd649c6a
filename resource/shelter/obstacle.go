package shelter

import (
	"fmt"
	"math"
)

// Obstacle is something that the wind must go around, over or through, as seen from the mast.
type Obstacle struct {
	Name           string
	BearingDeg     float64 // of its middle, clockwise from north, 0 to 360
	DistanceM      float64 // from the mast to its nearest face, from ClosestM on
	HeightM        float64 // above the ground at the mast, above 0
	WidthM         float64 // across the line of sight, above 0
	Porosity       float64 // share of its face that lets wind through, 0 to 1; NaN counts as 0, a solid wall
	GrowthMPerYear float64 // how fast its height grows, 0 or more
}

// Limits of an obstacle, m. Nothing further off than FarthestM bears on a garden's wind.
const (
	ClosestM   = 0.5
	FarthestM  = 5000
	HighestM   = 150
	WidestM    = 5000
	GrowthMost = 3 // m per year
)

// Fault says which field of an obstacle, or of what it is made from, cannot be used, and what would mend it. Field is as
// on the wire: "bearing_deg", "distance_m", "height_m", "width_m", "porosity", "growth_m_per_year" or "geometry".
type Fault struct{ Field, Reason string }

// Error joins field and reason.
func (f *Fault) Error() string { return f.Field + ": " + f.Reason }

func fault(field, format string, args ...any) *Fault {
	return &Fault{Field: field, Reason: fmt.Sprintf(format, args...)}
}

// Validate gives the first *Fault of the obstacle, or nil. NaN is at fault everywhere but in Porosity.
func (o Obstacle) Validate() error { return first(o.Faults()) }

// Faults gives every fault of the obstacle, none or one of each field; those of its place come first.
func (o Obstacle) Faults() []*Fault {
	var out []*Fault
	if !(o.BearingDeg >= 0 && o.BearingDeg <= 360) {
		out = append(out, fault("bearing_deg", "must be from 0 to 360, clockwise from north, not %g", o.BearingDeg))
	}
	switch {
	case !(o.DistanceM >= ClosestM):
		out = append(out, fault("distance_m", "%g m puts it at the mast's own foot; measure from the mast to its nearest face, at least %g m, "+
			"or move the mast away from it", o.DistanceM, ClosestM))
	case !(o.DistanceM <= FarthestM):
		out = append(out, fault("distance_m", "must be at most %d m, not %g: leave out what is so far off, the ground's roughness stands for it",
			FarthestM, o.DistanceM))
	}
	if !(o.WidthM > 0 && o.WidthM <= WidestM) {
		out = append(out, fault("width_m", "must be above 0 and at most %d m, not %g: give the width across the line of sight from the mast",
			WidestM, o.WidthM))
	}
	return append(out, body(o.HeightM, o.Porosity, o.GrowthMPerYear)...)
}

// first is the first of some faults as an error, or nil.
func first(all []*Fault) error {
	if len(all) == 0 {
		return nil
	}
	return all[0]
}

// body checks what an obstacle is by itself, wherever it stands.
func body(height, porosity, growth float64) []*Fault {
	var out []*Fault
	if !(height > 0 && height <= HighestM) {
		out = append(out, fault("height_m", "must be above 0 and at most %d m, not %g: give the height above the ground at the mast; "+
			"leave out what lies lower", HighestM, height))
	}
	switch {
	case porosity > 1 && porosity <= 100:
		out = append(out, fault("porosity", "must be from 0 (a wall) to 1 (nothing there), not %g; if that is in per cent, write %g",
			porosity, porosity/100))
	case porosity < 0 || porosity > 1:
		out = append(out, fault("porosity", "must be from 0 (a wall) to 1 (nothing there), not %g; dense trees have 0.35 to 0.5", porosity))
	}
	if !(growth >= 0 && growth <= GrowthMost) {
		out = append(out, fault("growth_m_per_year", "must be from 0 to %d m a year, not %g; for a hedge that is kept short write 0",
			GrowthMost, growth))
	}
	return out
}

// Extent is the arc that the obstacle fills, seen from the mast, degrees: its half is atan(width/2 / distance). It goes
// clockwise from fromDeg to toDeg, both 0 up to 360, so that it may pass north.
func (o Obstacle) Extent() (fromDeg, toDeg float64) {
	half := o.halfAngle()
	return turn(o.BearingDeg - half), turn(o.BearingDeg + half)
}

func (o Obstacle) halfAngle() float64 { return degrees(math.Atan2(o.WidthM/2, o.DistanceM)) }

// HeightAt is the height, m, that it has grown to after so many years.
func (o Obstacle) HeightAt(year float64) float64 { return o.HeightM + o.GrowthMPerYear*year }

// solidity is the share of the face that stops wind.
func (o Obstacle) solidity() float64 {
	if math.IsNaN(o.Porosity) {
		return 1
	}
	return 1 - o.Porosity
}

func degrees(radians float64) float64 { return radians * (180 / math.Pi) }
func radians(degrees float64) float64 { return degrees * (math.Pi / 180) }

// turn brings an angle into 0 up to 360 degrees.
func turn(deg float64) float64 {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	if deg >= 360 { // a tiny negative angle rounds up to a full turn
		return 0
	}
	return deg
}

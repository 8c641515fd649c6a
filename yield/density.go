package yield

import "math"

// Regulation is how a machine keeps its power down in high wind. It decides how its curve follows air density.
type Regulation uint8

// The kinds of regulation.
const (
	Furling     Regulation = iota // the rotor turns out of the wind
	Stall                         // the flow breaks away from the blades
	Pitch                         // the blades turn about their length
	Unregulated                   // nothing does
)

var regulationNames = [...]string{Furling: "furling", Stall: "stall", Pitch: "pitch", Unregulated: "none"}

// String is the regulation's name on the wire; "unknown" for anything else.
func (r Regulation) String() string {
	if int(r) < len(regulationNames) {
		return regulationNames[r]
	}
	return "unknown"
}

// ParseRegulation is the inverse of String; ok is false for a name it does not know.
func ParseRegulation(name string) (r Regulation, ok bool) {
	for i, n := range regulationNames {
		if n == name {
			return Regulation(i), true
		}
	}
	return 0, false
}

// AtDensity is the curve in air of another density, in kg/m³ (IEC 61400-12-1, density normalisation):
//
//	furling, stall, none   P' = P · ρ'/ρ
//	pitch                  V' = V · (ρ/ρ')^(1/3)
//
// A density that is not above 0 panics: it is the caller's slip.
func (c *Curve) AtDensity(airDensityKgM3 float64, r Regulation) *Curve {
	if !(airDensityKgM3 > 0) {
		panic("yield: the air density must be above 0")
	}
	if airDensityKgM3 == c.density {
		return c
	}
	points := append([]Point(nil), c.points...)
	if r == Pitch {
		speeds := math.Cbrt(c.density / airDensityKgM3)
		for i := range points {
			points[i].SpeedMS *= speeds
		}
		return newCurve(points, logsOf(points), airDensityKgM3)
	}
	powers := airDensityKgM3 / c.density
	for i := range points {
		points[i].PowerW *= powers
	}
	return newCurve(points, c.logs, airDensityKgM3)
}

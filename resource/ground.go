package resource

import (
	"math"
	"strings"
)

// Ground is what the wind blows over.
type Ground struct {
	RoughnessM    float64 // roughness length z0, m, above 0
	DisplacementM float64 // displacement height d, m, at least 0: how high a closed canopy lifts the wind's floor
}

// Class is one class of ground cover after Davenport and Wieringa.
type Class struct {
	Words      string  // its name, such as "roughly open"
	RoughnessM float64 // roughness length z0, m
	Landscape  string  // what it looks like
}

// Ground is the class's roughness without displacement, which the classes say nothing about.
func (c Class) Ground() Ground { return Ground{RoughnessM: c.RoughnessM} }

// coverClasses after Wieringa 1992; roughness lengths also in the U.S. EPA's guidance on meteorological monitoring,
// table 6-10. The last class begins at 2 m.
var coverClasses = [...]Class{
	{"sea", 0.0002, "open water with 5 km of fetch or more, tidal flats, smooth desert, flat snow, tarmac"},
	{"smooth", 0.005, "beaches, mud flats, pack ice, snow-covered fields"},
	{"open", 0.03, "flat grassland with few single obstacles; an airport"},
	{"roughly open", 0.10, "low crops with a large obstacle now and then, more than 20 of its heights apart"},
	{"rough", 0.25, "tall crops, hedges, vineyards; obstacles 15 to 20 of their heights apart"},
	{"very rough", 0.5, "parkland, bushes, orchards, scattered buildings; obstacles about 10 heights apart"},
	{"closed", 1.0, "evenly covered by large obstacles: suburb, village, forest"},
	{"chaotic", 2.0, "city centre of high and low buildings, irregular forest with clearings"},
}

// CoverClasses lists the classes of ground cover from smooth to rough. The slice is the caller's.
func CoverClasses() []Class { return append([]Class(nil), coverClasses[:]...) }

var asSpaces = strings.NewReplacer("-", " ", "_", " ")

// CoverClass finds a class by its name, such as "roughly open". Case, spaces around it, and a hyphen or underscore in
// place of a space do not matter. ok is false for a name it does not know.
func CoverClass(words string) (class Class, ok bool) {
	words = asSpaces.Replace(strings.TrimSpace(words))
	for _, c := range coverClasses {
		if strings.EqualFold(c.Words, words) {
			return c, true
		}
	}
	return Class{}, false
}

// counihanLowestM is where Counihan's parabola has its minimum; left of it the exponent would rise again.
const counihanLowestM = 0.001

// CounihanExponent is the exponent of the power law over ground of roughness length z0, m (Counihan 1975):
//
//	α = 0.24 + 0.096·log10 z0 + 0.016·(log10 z0)²
//
// z0 below 0.001 m, where the parabola turns, counts as 0.001 m (α = 0.096). It suits layers of 10 to 100 m; between 10
// and 30 m the logarithmic law rises faster. NaN, zero and negative z0 give NaN.
func CounihanExponent(z0 float64) float64 {
	if !(z0 > 0) {
		return math.NaN()
	}
	l := math.Log10(math.Max(z0, counihanLowestM))
	return 0.24 + 0.096*l + 0.016*l*l
}

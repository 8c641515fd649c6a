package shelter

import "math"

const (
	// EddyHeights is how far behind an obstacle, in its heights, the eddy reaches in which no formula for the wake holds.
	EddyHeights = 5
	// EddyPorosity is the porosity above which the wind through an obstacle keeps an eddy from forming behind it. From
	// memory, of wind-tunnel work on fences: the reversed flow is gone between 0.3 and 0.5; the cautious end is taken.
	EddyPorosity = 0.5
	// eddyRise is by what share of a solid obstacle's height its eddy stands above it. Judgement.
	eddyRise = 0.25
)

// Constants of the wake behind a long fence (Perera 1981, from memory).
const (
	wakeStrength = 9.75
	wakeSpread   = 0.32
	wakePower    = 0.47
	wakeFall     = 0.67
)

// Deficit is the share of the wind's speed at height zM that is lost at a distance xM behind a long straight fence of
// height hM and the given porosity, over ground of roughness length z0, all in m (Perera, "Shelter behind
// two-dimensional solid and porous fences", J. Wind Eng. Ind. Aerodyn. 8, 1981; the formula is from memory):
//
//	ΔU/U(h) = 9.75 (1−P) (h/x) η exp(−0.67 η^1.5),  η = (z/h) (K x/h)^−0.47,  K = 0.32 / ln(h/z0)
//
// brought from the undisturbed speed at the fence's height to that at zM by the logarithmic law, and held between 0 and
// 1. The scatter of measurements about it is some ±30 % of the deficit. It is NaN outside its domain: closer than
// EddyHeights of the fence's heights, a fence or a height not above z0, z0 not above 0, porosity outside 0 to 1, NaN.
func Deficit(hM, porosity, xM, zM, z0 float64) float64 {
	if !(porosity >= 0 && porosity <= 1 && xM >= EddyHeights*hM && zM > z0 && hM > z0 && z0 > 0) {
		return math.NaN()
	}
	w := newFence(hM, xM).wake(zM, math.Log(zM), math.Log(z0))
	return math.Min(1, (1-porosity)*w.strength*w.shape())
}

// AddedTurbulence is the standard deviation of wind speed that the wake of a long straight fence adds to what the wind
// brings along, as a share of the undisturbed speed at zM; arguments are those of Deficit, and so is where it is NaN.
//
// In a plane wake that has found its form the deviation is about 0.3 of the greatest deficit at that distance (Townsend
// 1956; from memory). So it is taken up to the height where the deficit falls off most steeply, and from there up it
// dies away as the deficit does. It falls as h/x, from 20 heights on a little more, and is nought from 50 heights on.
// A rule of thumb: good to a factor of 1.5.
func AddedTurbulence(hM, porosity, xM, zM, z0 float64) float64 {
	if !(porosity >= 0 && porosity <= 1 && xM >= EddyHeights*hM && zM > z0 && hM > z0 && z0 > 0) {
		return math.NaN()
	}
	w := newFence(hM, xM).wake(zM, math.Log(zM), math.Log(z0))
	return w.stir(1-porosity, xM/hM, w.shape())
}

// fence is what the wake knows of a fence h high at a distance x.
type fence struct {
	logH     float64 // ln h
	reach    float64 // (0.32·x/h)^−0.47 / h
	strength float64 // 9.75·h/x
}

func newFence(h, x float64) fence {
	return fence{math.Log(h), math.Exp(-wakePower*math.Log(wakeSpread*x/h)) / h, wakeStrength * h / x}
}

// wake is the state of the wake at one place.
type wake struct {
	eta      float64 // height, scaled by the wake's depth
	strength float64 // deficit of a solid fence over its shape, against the undisturbed speed at the place
}

// wake needs fence and height z to be above the roughness length, whose logarithm is given with that of z.
func (f fence) wake(z, logZ, logZ0 float64) wake {
	rise := f.logH - logZ0
	return wake{
		eta:      z * f.reach * math.Exp(wakePower*math.Log(rise)),
		strength: f.strength * rise / (logZ - logZ0),
	}
}

// shape is η·exp(−0.67·η^1.5).
func (w wake) shape() float64 { return wakeShape(w.eta) }

func wakeShape(eta float64) float64 { return eta * math.Exp(-wakeFall*eta*math.Sqrt(eta)) }

// Of the shape: it is greatest where η^1.5 = 1/(1.5·0.67), and falls most steeply where η^1.5 = 2.5/(1.5·0.67).
var (
	wakePeak    = wakeShape(math.Pow(1/(1.5*wakeFall), 2.0/3))
	steepestEta = math.Pow(2.5/(1.5*wakeFall), 2.0/3)
	steepest    = wakeShape(steepestEta)
)

const (
	stirShare  = 0.3 // standard deviation over the greatest deficit
	fadesFrom  = 20  // heights behind
	fadedBy    = 50
	fadeLength = fadedBy - fadesFrom
)

// stir is the standard deviation added, over the undisturbed speed, so many heights behind.
func (w wake) stir(solidity, heights, shape float64) float64 {
	if heights >= fadedBy {
		return 0
	}
	s := stirShare * math.Min(1, solidity*w.strength*wakePeak)
	if w.eta > steepestEta {
		s *= shape / steepest
	}
	if heights > fadesFrom {
		s *= (fadedBy - heights) / fadeLength
	}
	return s
}

// Recirculates reports whether any part of a rotor (radius 0: the hub) stands in the eddy behind the obstacle, after so
// many years of growth, when the wind comes from there: closer than EddyHeights of its heights, and lower than its
// height and, if it is solid, a quarter more (less by its porosity). In there the wind reverses and gusts, no formula
// holds and no turbine lasts. Obstacles more porous than EddyPorosity have no such eddy. An eddy behind something narrow
// is shorter than that; see At for how its width counts.
func Recirculates(o Obstacle, hubM, rotorRadiusM, year float64) bool {
	return o.solidity() >= 1-EddyPorosity && inEddy(o.HeightAt(year), o.solidity(), o.DistanceM, hubM-rotorRadiusM)
}

func inEddy(h, solidity, x, z float64) bool { return x < EddyHeights*h && z < eddyTop(h, solidity) }

func eddyTop(h, solidity float64) float64 { return h * (1 + eddyRise*solidity) }

package terrain

import "math"

// layerScale is the factor by which the height of an internal layer may be wrong either way.
const layerScale = 3

// The equilibrium layer reaches up to equilibriumShare of the internal layer's height; from undisturbedShare upwards the
// wind is still that of the ground upwind (Sempreviva et al. 1990, from memory).
const (
	equilibriumShare = 0.09
	undisturbedShare = 0.3
)

// InternalLayer is the height δ of the internal boundary layer, m above the (displaced) ground, at xM m behind a change
// of roughness, by the form of Panofsky and Miyake (from memory):
//
//	(δ/z0)(ln(δ/z0) − 1) = 0.9·x/z0
//
// z0M is the larger of the two roughness lengths, m. It holds for neutral air, and for distances from some hundred
// roughness lengths to where δ nears the top of the surface layer, some ten km. At the change itself it is e·z0, not 0.
// It is the height where the change is first felt; Wood's form gives a third of it, and the fully adjusted layer is a tenth
// of it: take it for right within a factor of 3. NaN unless z0M is above 0 and xM at least 0, both
// finite.
func InternalLayer(z0M, xM float64) float64 {
	if !(z0M > 0 && xM >= 0) || math.IsInf(z0M, 1) || math.IsInf(xM, 1) {
		return math.NaN()
	}
	// With y = δ/z0 and f = y(ln y − 1) − c: f' = ln y, f'' = 1/y. Halley's steps are cubic, so that one of less than 1e-5
	// is the last.
	c := 0.9 * xM / z0M
	y := (math.E + 2*c) / math.Log(math.E+c)
	for {
		l := math.Log(y)
		newton := (y*(l-1) - c) / l
		step := newton / (1 - newton/(2*y*l))
		y -= step
		if !(math.Abs(step) > 1e-5*y) {
			return y * z0M
		}
	}
}

// InternalLayerWood is the height of the internal boundary layer by Wood 1982 (from memory), 0.28·z0·(x/z0)^0.8, m, for
// comparison with InternalLayer, whose limits and arguments it shares.
func InternalLayerWood(z0M, xM float64) float64 {
	if !(z0M > 0 && xM >= 0) || math.IsInf(z0M, 1) || math.IsInf(xM, 1) {
		return math.NaN()
	}
	return 0.28 * z0M * math.Pow(xM/z0M, 0.8)
}

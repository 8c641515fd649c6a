package resource

import (
	"errors"
	"fmt"
	"math"
)

// BlendingHeightM is the height above ground, m, at which the wind no longer feels the ground of one field but of the
// whole district: wind over one ground is carried up to it, and down from it over another (Wieringa 1986).
const BlendingHeightM = 60

// ErrInsideCanopy says that a height lies inside what covers the ground, where no profile holds. The error that wraps it
// names the height, the displacement and what would do.
var ErrInsideCanopy = errors.New("inside what covers the ground")

// ErrGround says that a ground has no roughness length above zero, or a displacement height below it.
var ErrGround = errors.New("not a ground")

// ErrHeight says that a height is not a finite number above zero.
var ErrHeight = errors.New("not a height")

// LogFactor is the wind speed at height toM over that at height fromM, both m above ground, by the logarithmic law of
// neutral air:
//
//	ln((to−d)/z0) / ln((from−d)/z0)
//
// It fails with ErrInsideCanopy where a height is not above d + z0, and with ErrGround or ErrHeight where a number is
// not what it must be. It is a poor guide below about twice the height of what covers the ground and above some 100 m.
func LogFactor(g Ground, fromM, toM float64) (float64, error) {
	from, err := logHeight(g, fromM)
	if err != nil {
		return math.NaN(), err
	}
	to, err := logHeight(g, toM)
	if err != nil {
		return math.NaN(), err
	}
	return to / from, nil
}

// logHeight is ln((z−d)/z0).
func logHeight(g Ground, z float64) (float64, error) {
	floor := g.DisplacementM + g.RoughnessM
	switch {
	case !(g.RoughnessM > 0) || math.IsInf(g.RoughnessM, 1):
		return 0, fmt.Errorf("%w: its roughness length is %g m; it must be above 0", ErrGround, g.RoughnessM)
	case !(g.DisplacementM >= 0) || math.IsInf(g.DisplacementM, 1):
		return 0, fmt.Errorf("%w: its displacement height is %g m; it must not be below 0", ErrGround, g.DisplacementM)
	case math.IsNaN(z) || math.IsInf(z, 0):
		return 0, fmt.Errorf("%w: %g m", ErrHeight, z)
	case z <= floor:
		return 0, fmt.Errorf("%w: a height of %g m is not above displacement height %g m plus roughness length %g m; "+
			"go well above %g m, or describe the ground as more open", ErrInsideCanopy, z, g.DisplacementM, g.RoughnessM, floor)
	}
	return math.Log((z - g.DisplacementM) / g.RoughnessM), nil
}

// PowerFactor is the wind speed at height toM over that at height fromM by the power law (to/from)^alpha. Heights are in
// m above the wind's floor: above ground, less the displacement height where there is one. It fails with ErrInsideCanopy
// where a height is not above 0, and with ErrHeight where a number is not finite.
func PowerFactor(alpha, fromM, toM float64) (float64, error) {
	for _, z := range [...]float64{fromM, toM} {
		switch {
		case math.IsNaN(z) || math.IsInf(z, 0):
			return math.NaN(), fmt.Errorf("%w: %g m", ErrHeight, z)
		case z <= 0:
			return math.NaN(), fmt.Errorf("%w: a height of %g m is not above the wind's floor (the ground, or the displacement "+
				"height of what covers it); go higher", ErrInsideCanopy, z)
		}
	}
	if math.IsNaN(alpha) || math.IsInf(alpha, 0) {
		return math.NaN(), fmt.Errorf("%w: the exponent is %g", ErrHeight, alpha)
	}
	return math.Pow(toM/fromM, alpha), nil
}

// ExposureFactor is the wind speed at height toM over the site's ground over that at height fromM over the ground it was
// measured on: up to BlendingHeightM by the logarithmic law over the one, down from it over the other (Wieringa 1986;
// the formula as in WMO-No. 8, from memory). Displacement counts at both heights. Over equal grounds it is LogFactor.
// Its errors are those of LogFactor.
func ExposureFactor(measured, site Ground, fromM, toM float64) (float64, error) {
	if measured == site {
		return LogFactor(site, fromM, toM)
	}
	up, err := LogFactor(measured, fromM, BlendingHeightM)
	if err != nil {
		return math.NaN(), fmt.Errorf("where the wind was measured: %w", err)
	}
	down, err := LogFactor(site, BlendingHeightM, toM)
	if err != nil {
		return math.NaN(), fmt.Errorf("at the site: %w", err)
	}
	return up * down, nil
}

// ShearExponent is the power law's exponent between speed v1 at height z1 and speed v2 at height z2,
// ln(v2/v1)/ln(z2/z1). It is NaN unless all four are above 0 and the heights differ.
func ShearExponent(v1, z1, v2, z2 float64) float64 {
	if !(v1 > 0 && v2 > 0 && z1 > 0 && z2 > 0) || z1 == z2 {
		return math.NaN()
	}
	return math.Log(v2/v1) / math.Log(z2/z1)
}

// RoughnessFrom is the roughness length, m, that the logarithmic law without displacement needs to give speed v1 at
// height z1 and speed v2 at height z2: exp((v2·ln z1 − v1·ln z2)/(v2 − v1)). It is NaN unless all four are above 0 and
// the speed rises with height.
func RoughnessFrom(v1, z1, v2, z2 float64) float64 {
	if !(v1 > 0 && v2 > 0 && z1 > 0 && z2 > 0) || z1 == z2 || (v2 > v1) != (z2 > z1) || v1 == v2 {
		return math.NaN()
	}
	return math.Exp((v2*math.Log(z1) - v1*math.Log(z2)) / (v2 - v1))
}

package terrain

import (
	"errors"
	"fmt"
	"math"

	"mastworth/resource"
)

// Shape is a shape of small-scale relief.
type Shape string

// The shapes. The wind blows across a ridge and up an escarpment; a hill is as long as it is wide. A mast in a valley, or
// in the lee of higher ground, gains nothing: there the wind may lose, and no simple formula says how much.
const (
	Ridge      Shape = "ridge"
	Hill       Shape = "hill"
	Escarpment Shape = "escarpment"
	Valley     Shape = "valley"
	Lee        Shape = "lee"
)

// Shapes lists the shapes.
func Shapes() []Shape { return []Shape{Ridge, Hill, Escarpment, Valley, Lee} }

// reliefError is the share of a speed-up it may be wrong by, either way.
const reliefError = 0.3

// ErrRelief says that a description of relief has faults. The error that wraps it gives the first; ReliefFaults gives
// them all.
var ErrRelief = errors.New("faulty relief")

// Relief is a hill or edge with the mast on its top, for the wind directions that blow over it.
type Relief struct {
	Shape Shape

	// HeightM is the height of the top over the ground around, m.
	HeightM float64

	// HalfLengthM is the horizontal distance from the top, upwind, to where the ground is half of the height lower, m.
	HalfLengthM float64

	// FromDeg and ToDeg bound the wind directions, as in Patch.
	FromDeg, ToDeg float64
}

// coefficients of Taylor & Lee 1984, from memory: B scales the speed-up at the ground, A its decay with height. Both are 0
// for shapes that gain nothing.
func (s Shape) coefficients() (a, b float64) {
	switch s {
	case Ridge:
		return 3, 2
	case Hill:
		return 4, 1.6
	case Escarpment:
		return 2.5, 0.8
	}
	return 0, 0
}

// Slope is the height over the half-length.
func (r Relief) Slope() float64 { return r.HeightM / r.HalfLengthM }

// SpeedUp is the fractional gain ΔS of wind speed at height zM above the top, m, over that at the same height above level
// ground upwind (Taylor & Lee 1984, coefficients from memory):
//
//	ΔS = B·h/L·exp(−A·z/L)
//
// with B 2.0 and A 3 for a ridge, 1.6 and 4 for a hill, 0.8 and 2.5 for an escarpment. It is 0 for a valley, a lee, an
// unknown shape and for heights and half-lengths that are not above 0; NaN where one of them or zM is NaN.
//
// It holds to ±30 % for near-neutral winds above 6 m/s, half-lengths up to about 1 km and slopes up to about 0.3, above the
// lowest few metres.
func (r Relief) SpeedUp(zM float64) float64 {
	a, b := r.Shape.coefficients()
	if b == 0 || r.HeightM <= 0 || r.HalfLengthM <= 0 {
		return 0
	}
	return b * r.HeightM / r.HalfLengthM * math.Exp(-a*zM/r.HalfLengthM)
}

// ReliefFactors are the factors 1 + ΔS by which the wind at height zM, m above the top, gains by direction, with ±30 % of
// ΔS as the band; 1 in directions without relief, and for valleys and lees, where the band says nothing of what is lost. A
// direction that a relief covers in part gets that part of its speed-up.
//
// It fails with ErrRelief where the description has faults; reliefs that overlap are among them. The mast stands on one
// top, so that two for one wind contradict each other: to multiply their gains would count one slope twice, and to take
// the larger would silently choose the better news. It fails with resource.ErrHeight unless zM is finite and above 0.
func ReliefFactors(rs []Relief, zM float64) ([DirectionCount]Exposure, error) {
	if !(zM > 0) || math.IsInf(zM, 1) {
		return allUnknown(), fmt.Errorf("%w: %g m over the top of the relief; it must be above 0", resource.ErrHeight, zM)
	}
	if faults := ReliefFaults(rs); len(faults) > 0 {
		return allUnknown(), fmt.Errorf("%w: %s", ErrRelief, faults[0])
	}
	var gain [DirectionCount]float64
	for _, r := range rs {
		speedUp := r.SpeedUp(zM)
		shareOut(r.FromDeg, r.ToDeg, func(d int, part float64) { gain[d] += part * speedUp })
	}
	var out [DirectionCount]Exposure
	for d, g := range gain {
		out[d] = Exposure{Factor: 1 + g, Low: 1 + (1-reliefError)*g, High: 1 + (1+reliefError)*g}
	}
	return out, nil
}

package terrain

import (
	"errors"
	"fmt"

	"mastworth/resource"
)

// DirectionCount is the number of directions, 10° each; index 0 is centred on north, index 9 on east.
const DirectionCount = 36

// directionDeg is the width of a direction.
const directionDeg = 360.0 / DirectionCount

const directionPanic = "terrain: a direction is 0 to 35"

// ErrGrounds says that a description has faults. The error that wraps it gives the first; Faults gives them all.
var ErrGrounds = errors.New("faulty ground by sector")

// Patch is a sector around the mast and the ground in it.
type Patch struct {
	// FromDeg and ToDeg bound the sector, degrees clockwise from north, each 0 to 360; 330 to 30 crosses north, 0 to 360
	// is the whole round.
	FromDeg, ToDeg float64

	// Ground is what the mast stands on in that direction.
	Ground resource.Ground

	// ChangeAtM is the distance upwind of the mast, m, where that ground ends and Beyond begins; above 0, at most 20 km.
	// NaN: it does not end.
	ChangeAtM float64

	// Beyond is the ground upwind of the change; nil: the ground everywhere. It must be nil where there is no change.
	Beyond *resource.Ground
}

// Grounds is the ground around a mast.
type Grounds struct {
	Everywhere resource.Ground // where no patch says otherwise
	Patches    []Patch         // in any order; they must not overlap
}

// Exposure is a factor between two wind speeds, and the band it lies in.
//
// For ground, the band comes from the height of the internal boundary layer, taken three times less and three times
// more: so far apart are the formulas for it. It is the factor itself where no ground changes. For relief it is 30 %
// of the speed-up either way.
type Exposure struct{ Factor, Low, High float64 }

// certain is a factor without a band.
func certain(factor float64) Exposure { return Exposure{factor, factor, factor} }

// At is the wind speed at height zM, m above ground, over the regional wind at resource.BlendingHeightM, for one of the
// directions; the band is that of the internal layer. Over unchanging ground it is resource.LogFactor from the blending
// height. Behind a change of ground it is the three-layer profile of Sempreviva et al. 1990 (from memory) in an internal
// layer of InternalLayer's height: low down the local ground's, high up that of the ground beyond, in between linear in the
// logarithm of the height. It is never outside what the two grounds alone would give.
//
// It holds for neutral air and one change along the flow. Nearer than some ten heights to the edge of a wood the flow is
// that at an obstacle, and the profile a rough guess. Below the tops of what covers the ground beyond, that ground's
// wind counts as 0.
//
// It fails with ErrGrounds where the description has faults, and with resource.ErrInsideCanopy or resource.ErrHeight,
// naming the direction, where the height will not do. It panics unless direction is 0 to DirectionCount−1.
// For many heights or directions, use Prepare.
func (g Grounds) At(direction int, zM float64) (Exposure, error) {
	p, err := Prepare(g)
	if err != nil {
		return unknown(), err
	}
	return p.At(direction, zM)
}

// All is At for every direction. It fails with the first direction that fails.
func (g Grounds) All(zM float64) ([DirectionCount]Exposure, error) {
	p, err := Prepare(g)
	if err != nil {
		return allUnknown(), err
	}
	return p.All(zM)
}

// Near is the ground the mast stands on in one of the directions: that of the patch over the direction's centre, else the
// ground everywhere. On a border it is that of the patch that begins there. It panics unless direction is 0 to
// DirectionCount−1.
func (g Grounds) Near(direction int) resource.Ground {
	if direction < 0 || direction >= DirectionCount {
		panic(directionPanic)
	}
	for _, p := range g.Patches {
		arc := [2]float64{p.FromDeg, p.ToDeg}
		if goodArc(arc) && clockwise(p.FromDeg, float64(direction)*directionDeg) < spanDeg(p.FromDeg, p.ToDeg) {
			return p.Ground
		}
	}
	return g.Everywhere
}

// Transfer is the wind speed at height toM over the site's grounds over that at height fromM over the grounds it was
// measured on, by direction: up to the regional wind at resource.BlendingHeightM and down from it (Wieringa 1986), each
// with its changes of ground. Heights are in m above ground.
//
// Where a direction has one ground at either place it is exactly resource.ExposureFactor, hence resource.LogFactor where
// the two are equal. Where it is mixed, it is the ratio of the two mean factors.
//
// The band: where a direction is described alike at both places, they are taken for one place, whose internal layer is
// what it is at both heights. Otherwise either layer may err its own way, and the band spans all pairs.
//
// It fails as At does, saying at which of the places; also where the low end of the measuring place's factor is 0, since
// nothing can be concluded from a wind that may not have been there.
func Transfer(measured, site Grounds, fromM, toM float64) ([DirectionCount]Exposure, error) {
	from, err := Prepare(measured)
	if err != nil {
		return allUnknown(), fmt.Errorf("where the wind was measured: %w", err)
	}
	to, err := Prepare(site)
	if err != nil {
		return allUnknown(), fmt.Errorf("at the site: %w", err)
	}
	return to.TransferFrom(from, fromM, toM)
}

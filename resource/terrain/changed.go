package terrain

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// stretch is the ground upwind of the mast in some direction: one ground, or one and beyond a distance another. It is
// comparable: stretches of like ground are equal.
type stretch struct {
	ground, beyond resource.Ground // equal where nothing changes
	changeM        float64         // 0 where nothing changes
}

func (p Patch) stretch(everywhere resource.Ground) stretch {
	s := stretch{ground: p.Ground, beyond: p.Ground}
	if math.IsNaN(p.ChangeAtM) {
		return s
	}
	beyond := everywhere
	if p.Beyond != nil {
		beyond = *p.Beyond
	}
	if beyond != p.Ground {
		s.beyond, s.changeM = beyond, p.ChangeAtM
	}
	return s
}

func (s stretch) changes() bool { return s.changeM > 0 }

// profile is the wind over a stretch, over the regional wind at the blending height.
//
// Behind a change it has three layers (Sempreviva et al. 1990, from memory), δ being the height of the internal layer
// over the local ground's displacement:
//
//   - from 0.3 δ upwards the profile of the ground beyond;
//   - up to 0.09 δ the logarithmic profile of the local ground, its friction velocity such that it meets the profile
//     beyond at the height δ, or at the blending height where δ is above it: there the wind is the regional one, whatever
//     the ground;
//   - in between linear in the logarithm of the height.
//
// Thus it goes over into the plain profile of the ground beyond as the change comes close, and into that of the local
// ground as it goes far away. Each ground keeps its own displacement.
//
// It holds for neutral air and one change along the flow, away from the edge of tall cover: nearer than some ten heights
// to the edge of a wood the flow is that behind or before an obstacle. Below the top of what covers the ground beyond,
// its profile counts as 0, so that a clearing's mast is refused, or judged low, rather than given a wind out of the wood.
type profile struct {
	stretch
	localLog  float64 // ln((60−d)/z0) over the local ground
	beyondLog float64 // ln((60−d)/z0) over the ground beyond
	z0Log     float64 // ln z0 of the local ground
	heightM   float64 // δ
	heightLog float64 // ln δ
	slowing   band    // local equilibrium profile over the plain profile of the local ground
}

// The internal layer's height for the parts of a band, over that of InternalLayer.
var (
	scales    = band{1.0 / layerScale, 1, layerScale}
	scaleLogs = band{-math.Log(layerScale), 0, math.Log(layerScale)}
)

var (
	equilibriumLog = math.Log(equilibriumShare)
	undisturbedLog = math.Log(undisturbedShare)
)

// newProfile fails where cover beyond reaches the blending height.
func newProfile(s stretch) (profile, error) {
	p := profile{stretch: s, localLog: blendingLog(s.ground)}
	if !s.changes() {
		return p, nil
	}
	p.beyondLog = blendingLog(s.beyond)
	if !(p.beyondLog > 0) {
		_, err := resource.LogFactor(s.beyond, resource.BlendingHeightM, resource.BlendingHeightM)
		return p, fmt.Errorf("beyond the change of ground %g m upwind: %w", s.changeM, err)
	}
	p.z0Log = math.Log(s.ground.RoughnessM)
	p.heightM = InternalLayer(max(s.ground.RoughnessM, s.beyond.RoughnessM), s.changeM)
	p.heightLog = math.Log(p.heightM)
	for i := range p.slowing {
		p.slowing[i] = 1 // they meet at the blending height, where both are 1
		if meet := s.ground.DisplacementM + p.heightM*scales[i]; meet < resource.BlendingHeightM {
			p.slowing[i] = p.undisturbed(meet) / p.local(p.heightLog+scaleLogs[i])
		}
	}
	return p, nil
}

// blendingLog is ln((60−d)/z0), NaN or not above 0 where cover reaches the blending height.
func blendingLog(g resource.Ground) float64 {
	return math.Log((resource.BlendingHeightM - g.DisplacementM) / g.RoughnessM)
}

// undisturbed is the plain factor over the ground beyond at height z, m, 0 inside its cover.
func (p *profile) undisturbed(z float64) float64 {
	return math.Log(max(z-p.beyond.DisplacementM, p.beyond.RoughnessM)/p.beyond.RoughnessM) / p.beyondLog
}

// local is the plain factor over the local ground, by the logarithm of the height above displacement.
func (p *profile) local(logHeight float64) float64 { return (logHeight - p.z0Log) / p.localLog }

// at is the factor at height z, m.
func (p *profile) at(z float64) (band, error) {
	above := (z - p.ground.DisplacementM) / p.ground.RoughnessM
	if !(z > p.ground.DisplacementM+p.ground.RoughnessM && z <= math.MaxFloat64 && p.localLog > 0) {
		_, err := resource.LogFactor(p.ground, resource.BlendingHeightM, z)
		return band{}, err
	}
	aboveLog := math.Log(above)
	plain := aboveLog / p.localLog // as resource.LogFactor has it
	if !p.changes() {
		return band{plain, plain, plain}, nil
	}
	undisturbed := p.undisturbed(z)
	low, high := min(plain, undisturbed), max(plain, undisturbed)
	var b band
	for i := range b {
		var f float64
		bottom, top := p.edges(i, z > resource.BlendingHeightM)
		switch {
		case z >= top:
			f = undisturbed
		case z <= bottom:
			f = p.slowing[i] * plain
		default:
			f = p.between(i, bottom, top, aboveLog+p.z0Log)
		}
		// Chords of bent curves may stray a little where the grounds differ in displacement; no wind behind a change is
		// outside what the two grounds would give it.
		b[i] = max(low, min(high, f))
	}
	if !(b[1] > 0) {
		return b, p.lostInCover(z)
	}
	return b, nil
}

// edges are the heights of the middle layer's bottom and top, m above ground. At the blending height the wind is the
// regional one, so it may not reach across, coming from below or from above.
func (p *profile) edges(scale int, above bool) (bottom, top float64) {
	delta := p.heightM * scales[scale]
	bottom, top = p.ground.DisplacementM+equilibriumShare*delta, p.ground.DisplacementM+undisturbedShare*delta
	if above {
		return max(bottom, resource.BlendingHeightM), max(top, resource.BlendingHeightM)
	}
	return min(bottom, resource.BlendingHeightM), min(top, resource.BlendingHeightM)
}

// between is the factor in the middle layer, by the logarithm of the height above displacement.
func (p *profile) between(scale int, bottom, top, logHeight float64) float64 {
	heightLog := p.heightLog + scaleLogs[scale]
	bottomLog, topLog := heightLog+equilibriumLog, heightLog+undisturbedLog
	atTop := 1.0
	if bottom == resource.BlendingHeightM {
		bottomLog = p.localLog + p.z0Log
	}
	if top == resource.BlendingHeightM {
		topLog = p.localLog + p.z0Log
	} else {
		atTop = p.undisturbed(top)
	}
	atBottom := p.slowing[scale] * p.local(bottomLog)
	return atBottom + (atTop-atBottom)*(logHeight-bottomLog)/(topLog-bottomLog)
}

func (p *profile) lostInCover(z float64) error {
	d, z0 := p.beyond.DisplacementM, p.beyond.RoughnessM
	return fmt.Errorf("%w: a height of %g m is not above the cover beyond the change of ground %g m upwind, displacement height %g m "+
		"plus roughness length %g m, and the change is too near for the ground before it to matter; go well above %g m, or describe "+
		"the ground as more open", resource.ErrInsideCanopy, z, p.changeM, d, z0, d+z0)
}

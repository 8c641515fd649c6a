package terrain

import (
	"fmt"
	"slices"

	"mastworth/resource"
)

// Prepared is a description of ground worked out for all directions, for many heights. It is never changed and may be
// used by many at once.
type Prepared struct {
	profiles []profile
	mixes    [DirectionCount][]share
}

// share is the part of a direction, above 0 to 1, that a profile takes.
type share struct {
	profile int
	part    float64
}

// Prepare works a description out. It fails with ErrGrounds where that has faults, and with resource.ErrInsideCanopy,
// naming the sector, where the cover beyond a change reaches the blending height.
func Prepare(g Grounds) (*Prepared, error) {
	if faults := g.Faults(); len(faults) > 0 {
		return nil, fmt.Errorf("%w: %s", ErrGrounds, faults[0])
	}
	p := &Prepared{profiles: make([]profile, 0, len(g.Patches)+1)}
	backing := make([]share, 3*DirectionCount) // three are enough for sectors of 10° and more
	for d := range p.mixes {
		p.mixes[d] = backing[3*d : 3*d : 3*d+3]
	}
	for _, patch := range g.Patches {
		i, err := p.profile(patch.stretch(g.Everywhere))
		if err != nil {
			return nil, fmt.Errorf("in the sector from %s to %s: %w", degrees(patch.FromDeg), degrees(patch.ToDeg), err)
		}
		shareOut(patch.FromDeg, patch.ToDeg, func(d int, part float64) { p.mixes[d] = add(p.mixes[d], i, part) })
	}
	for d, mix := range p.mixes {
		rest := 1.0
		for _, s := range mix {
			rest -= s.part
		}
		if rest*directionDeg > angleDust {
			i, err := p.profile(stretch{ground: g.Everywhere, beyond: g.Everywhere})
			if err != nil {
				return nil, err
			}
			mix = add(mix, i, rest)
		}
		if len(mix) == 1 {
			mix[0].part = 1
		}
		p.mixes[d] = mix
	}
	return p, nil
}

// profile finds the profile of a stretch, or makes it.
func (p *Prepared) profile(s stretch) (int, error) {
	for i := range p.profiles {
		if p.profiles[i].stretch == s {
			return i, nil
		}
	}
	made, err := newProfile(s)
	p.profiles = append(p.profiles, made)
	return len(p.profiles) - 1, err
}

// add gives a profile a part of a direction, or more of it.
func add(mix []share, profile int, part float64) []share {
	for i := range mix {
		if mix[i].profile == profile {
			mix[i].part += part
			return mix
		}
	}
	return append(mix, share{profile, part})
}

// At is Grounds.At.
func (p *Prepared) At(direction int, zM float64) (Exposure, error) {
	if direction < 0 || direction >= DirectionCount {
		panic(directionPanic)
	}
	var sum band
	for _, s := range p.mixes[direction] {
		b, err := p.profiles[s.profile].at(zM)
		if err != nil {
			return unknown(), inDirection(direction, err)
		}
		sum.add(b, s.part)
	}
	return sum.exposure(), nil
}

// All is Grounds.All.
func (p *Prepared) All(zM float64) ([DirectionCount]Exposure, error) {
	var buffer [DirectionCount + 1]heightResult
	at := p.height(zM, buffer[:0])
	var out [DirectionCount]Exposure
	for d := range out {
		b, err := p.mixed(d, at)
		if err != nil {
			return allUnknown(), err
		}
		out[d] = b.exposure()
	}
	return out, nil
}

// heightResult is what a profile gives at one height. An error counts only in directions that use it.
type heightResult struct {
	band
	err error
}

// height works all profiles out at one height, each once.
func (p *Prepared) height(zM float64, into []heightResult) []heightResult {
	for i := range p.profiles {
		b, err := p.profiles[i].at(zM)
		into = append(into, heightResult{b, err})
	}
	return into
}

// mixed is the mean over a direction.
func (p *Prepared) mixed(direction int, at []heightResult) (sum band, err error) {
	for _, s := range p.mixes[direction] {
		r := &at[s.profile]
		if r.err != nil {
			return sum, inDirection(direction, r.err)
		}
		sum.add(r.band, s.part)
	}
	return sum, nil
}

// plain is the one unchanging ground of a direction, if that is all there is.
func (p *Prepared) plain(direction int) (ground resource.Ground, ok bool) {
	mix := p.mixes[direction]
	if len(mix) != 1 || p.profiles[mix[0].profile].changes() {
		return resource.Ground{}, false
	}
	return p.profiles[mix[0].profile].ground, true
}

// alike reports whether a direction is described alike in both.
func (p *Prepared) alike(q *Prepared, direction int) bool {
	return slices.EqualFunc(p.mixes[direction], q.mixes[direction], func(a, b share) bool {
		return a.part == b.part && p.profiles[a.profile].stretch == q.profiles[b.profile].stretch
	})
}

func inDirection(direction int, err error) error {
	return fmt.Errorf("in the direction %d°: %w", direction*int(directionDeg), err)
}

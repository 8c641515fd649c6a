package rotor

import (
	"fmt"
	"math"
	"sort"

	"mastworth/resource"
)

// The bounds of a rotor and of its solution.
const (
	MaxBlades       = 24
	MaxStations     = 500
	MaxDiameterM    = 250
	MaxElements     = 500
	DefaultElements = 20
)

// Station is a place along the blade.
type Station struct {
	RadiusM  float64 // from the axis, m
	ChordM   float64 // width of the blade, m
	TwistDeg float64 // from the plane of rotation, degrees, largest at the root
}

// Rotor is what is built. Chord and twist run straight between the stations; the blade begins at the first station or at
// the hub, whichever is further out, and nothing is taken to act on a bare spar inside it.
type Rotor struct {
	DiameterM    float64
	HubDiameterM float64 // 0: none
	Blades       int
	Stations     []Station // by rising radius, the last at the tip
	PitchDeg     float64   // added to the twist all along the blade
	Section      Section
	Elements     int // rings the blade is cut into; 0: DefaultElements
}

// Board is a rotor of plain boards, flat and untwisted, tapered straight from a chord at the hub to one at the tip in m
// and set at one angle in degrees from the plane of rotation. Its Section may be changed before it is prepared.
func Board(diameterM, hubDiameterM float64, blades int, rootChordM, tipChordM, pitchDeg float64) Rotor {
	return Rotor{
		DiameterM: diameterM, HubDiameterM: hubDiameterM, Blades: blades, PitchDeg: pitchDeg, Section: FlatPlate(),
		Stations: []Station{{RadiusM: hubDiameterM / 2, ChordM: rootChordM}, {RadiusM: diameterM / 2, ChordM: tipChordM}},
	}
}

// root is the radius the blade begins at.
func (r *Rotor) root() float64 { return max(r.HubDiameterM/2, r.Stations[0].RadiusM) }

// blade is chord in m and twist with pitch in degrees at a radius in m.
func (r *Rotor) blade(radiusM float64) (chordM, settingDeg float64) {
	s := r.Stations
	i := sort.Search(len(s), func(i int) bool { return s[i].RadiusM > radiusM })
	switch {
	case i == 0:
		return s[0].ChordM, s[0].TwistDeg + r.PitchDeg
	case i == len(s):
		return s[i-1].ChordM, s[i-1].TwistDeg + r.PitchDeg
	}
	from, to := s[i-1], s[i]
	share := (radiusM - from.RadiusM) / (to.RadiusM - from.RadiusM)
	return from.ChordM + share*(to.ChordM-from.ChordM), from.TwistDeg + share*(to.TwistDeg-from.TwistDeg) + r.PitchDeg
}

// Prepared is a rotor cut into elements. It does not change once made, so many callers may share one.
type Prepared struct {
	rotor    Rotor
	section  Section
	polar    *Polar // the section, when it is one
	radiusM  float64
	elements []element
	aspect   float64
	solidity float64
}

// New checks a rotor and cuts its blades into elements. The error is that of Validate. A *Polar section without an aspect
// ratio gets that of the blade.
func New(r Rotor) (*Prepared, error) {
	if err := r.Validate(); err != nil {
		return nil, err
	}
	r.Stations = append([]Station(nil), r.Stations...)
	n := r.Elements
	if n == 0 {
		n = DefaultElements
	}
	p := &Prepared{rotor: r, section: r.Section, radiusM: r.DiameterM / 2, elements: make([]element, n)}
	root, tip := r.root(), p.radiusM
	var area float64
	for i := range p.elements {
		// Rings narrow towards root and tip, where the losses bend the loading.
		from := root + (tip-root)*(1-math.Cos(math.Pi*float64(i)/float64(n)))/2
		to := root + (tip-root)*(1-math.Cos(math.Pi*float64(i+1)/float64(n)))/2
		radius := (from + to) / 2
		chord, setting := r.blade(radius)
		blades := float64(r.Blades)
		e := element{radius: radius / tip, chordM: chord, setting: setting * math.Pi / 180,
			solidity: blades * chord / (2 * math.Pi * radius), area: 2 * radius * (to - from) / (tip * tip),
			tip: blades * (tip - radius) / (2 * radius), hub: math.Inf(1)}
		if root > 0 {
			e.hub = blades * (radius - root) / (2 * radius)
		}
		p.elements[i] = e
		area += chord * (to - from)
	}
	p.aspect = (tip - root) * (tip - root) / area
	p.solidity = float64(r.Blades) * area / (math.Pi * tip * tip)
	if polar, ok := p.section.(*Polar); ok {
		if math.IsNaN(polar.aspectRatio) {
			polar = polar.WithAspectRatio(p.aspect)
		}
		p.section, p.polar = polar, polar
	}
	return p, nil
}

// Rotor is what was prepared.
func (p *Prepared) Rotor() Rotor {
	r := p.rotor
	r.Stations = append([]Station(nil), r.Stations...)
	return r
}

// AspectRatio is a blade's span over its mean chord.
func (p *Prepared) AspectRatio() float64 { return p.aspect }

// Solidity is the share of the rotor's disc that the blades would cover lying flat in it.
func (p *Prepared) Solidity() float64 { return p.solidity }

// Warnings says what in the rotor and its section leans on something weak, for a wind in m/s and a tip-speed ratio it is to
// work at: how it is twisted, and how far the section's figures lie from the Reynolds number at three quarters of the
// radius.
func (p *Prepared) Warnings(windMS, lambda float64) []resource.Warning {
	out := p.rotor.twistWarnings()
	if p.polar == nil {
		return out
	}
	out = append(out, p.polar.warnings...)
	chord, _ := p.rotor.blade(0.75 * p.radiusM)
	_, _, density := resource.StandardAir(0)
	reynolds := density * windMS * math.Hypot(1, 0.75*lambda) * chord / AirViscosityPaS
	if known := p.polar.reynolds; reynolds > 0 && !p.polar.plate && (reynolds*reynoldsFactor < known || reynolds > known*reynoldsFactor) {
		out = append(out, resource.Warning{Code: "reynolds_far", Detail: fmt.Sprintf("The section's figures hold for a Reynolds number of "+
			"%.0f, but at %.3g m/s the blade works at about %.0f. Small or slow blades lift less and drag more than figures from a larger "+
			"one; use a table measured nearer to that number.", known, windMS, reynolds)})
	}
	return out
}

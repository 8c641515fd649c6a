package rotor

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// Fault says what of a rotor cannot be, where, and what to do about it.
type Fault struct {
	Field  string // "diameter", "hub", "blades", "stations", "radius", "chord", "twist", "pitch", "section" or "elements"
	Index  int    // of the station, from 0; −1 for the rotor as a whole
	Reason string // with the remedy
}

func (f *Fault) Error() string {
	if f.Index < 0 {
		return "rotor, " + f.Field + ": " + f.Reason
	}
	return fmt.Sprintf("rotor, station %d, %s: %s", f.Index+1, f.Field, f.Reason)
}

// Validate is the first of Faults, a *Fault, or nil.
func (r Rotor) Validate() error {
	if faults := r.Faults(); len(faults) > 0 {
		return faults[0]
	}
	return nil
}

// Faults is everything that keeps a rotor from being solved: sizes out of range, stations that do not rise or do not reach
// the tip, boards wider than the circumference allows, and angles counted the wrong way.
func (r Rotor) Faults() []*Fault {
	var out []*Fault
	fault := func(field string, index int, format string, values ...any) {
		out = append(out, &Fault{field, index, fmt.Sprintf(format, values...)})
	}
	if !(r.DiameterM > 0 && r.DiameterM <= MaxDiameterM) {
		fault("diameter", -1, "must be above 0 and up to %d m, not %g", MaxDiameterM, r.DiameterM)
	}
	if !(r.HubDiameterM >= 0 && r.HubDiameterM < 0.9*r.DiameterM) {
		fault("hub", -1, "the hub's diameter must be from 0 m to less than nine tenths of the rotor's, %g m, not %g m", r.DiameterM, r.HubDiameterM)
	}
	if r.Blades < 1 || r.Blades > MaxBlades {
		fault("blades", -1, "a rotor has from 1 to %d blades here, not %d", MaxBlades, r.Blades)
	}
	if !(math.Abs(r.PitchDeg) <= 90) {
		fault("pitch", -1, "must lie from −90 to 90° from the plane of rotation, not %g", r.PitchDeg)
	}
	if r.Section == nil {
		fault("section", -1, "the blades need a section: a flat or curved plate, an aerofoil, or a table of lift and drag")
	}
	if r.Elements < 0 || r.Elements > MaxElements {
		fault("elements", -1, "must be from 1 to %d, or 0 for %d, not %d", MaxElements, DefaultElements, r.Elements)
	}
	if n := len(r.Stations); n < 2 || n > MaxStations {
		fault("stations", -1, "a blade needs from 2 to %d stations, at least one at its root and one at its tip, not %d", MaxStations, n)
	}
	if len(out) > 0 {
		return out // what follows would only repeat it
	}
	if out = append(out, r.stationFaults()...); len(out) > 0 {
		return out
	}
	return append(out, r.shapeFaults()...)
}

// stationFaults looks at the stations one by one and at how far they reach.
func (r Rotor) stationFaults() []*Fault {
	var out []*Fault
	fault := func(field string, index int, format string, values ...any) {
		out = append(out, &Fault{field, index, fmt.Sprintf(format, values...)})
	}
	tip := r.DiameterM / 2
	for i, s := range r.Stations {
		switch {
		case !(s.RadiusM >= 0 && s.RadiusM <= tip*1.001):
			fault("radius", i, "must be from 0 m to the rotor's radius, %g m, not %g; is it a diameter?", tip, s.RadiusM)
		case i > 0 && s.RadiusM <= r.Stations[i-1].RadiusM:
			fault("radius", i, "%g m does not rise above that of the station before, %g m; put the stations in order from root to tip",
				s.RadiusM, r.Stations[i-1].RadiusM)
		}
		if !(s.ChordM > 0 && s.ChordM <= r.DiameterM) {
			fault("chord", i, "must be above 0 and no more than the rotor's diameter, %g m, not %g m", r.DiameterM, s.ChordM)
		}
		if !(math.Abs(s.TwistDeg) <= 90) || !(math.Abs(s.TwistDeg+r.PitchDeg) <= 90) {
			fault("twist", i, "twist and pitch together must lie from −90 to 90° from the plane of rotation, not %g° and %g°", s.TwistDeg, r.PitchDeg)
		}
	}
	if len(out) > 0 {
		return out
	}
	last := len(r.Stations) - 1
	if s := r.Stations[last]; s.RadiusM < 0.99*tip {
		fault("radius", last, "the last station lies at %g m, but the tip is at %g m; add the tip, or make the diameter %g m",
			s.RadiusM, tip, 2*s.RadiusM)
	}
	if r.root() > 0.95*tip {
		fault("radius", 0, "the blade begins at %g m, next to the tip at %g m; give the radius its root lies at", r.root(), tip)
	}
	return out
}

// shapeFaults looks at the blades as a whole.
func (r Rotor) shapeFaults() []*Fault {
	root := r.root()
	check := func(i int, radius float64) *Fault {
		chord, setting := r.blade(radius)
		room := 2 * math.Pi * radius / float64(r.Blades)
		if seen := chord * math.Cos(setting*math.Pi/180); seen > room*(1+1e-9) {
			return &Fault{"chord", i, fmt.Sprintf("%d blades of chord %.3g m at %.3g° would lie over each other at %.3g m from the axis: "+
				"the circumference leaves %.3g m for each, and each covers %.3g m; make them narrower there, fewer, or begin them further out",
				r.Blades, chord, setting, radius, room, seen)}
		}
		return nil
	}
	if root > 0 {
		if f := check(-1, root); f != nil {
			return []*Fault{f}
		}
	}
	for i, s := range r.Stations {
		if s.RadiusM > root {
			if f := check(i, s.RadiusM); f != nil {
				return []*Fault{f}
			}
		}
	}
	if mean := r.outerSetting(); mean < -2 {
		return []*Fault{{"twist", -1, fmt.Sprintf("twist and pitch together are %.3g° on average over the outer half of the blade; a rotor "+
			"set so does not turn the way it should. Count the angle from the plane of rotation, above 0 with the leading edge turned into "+
			"the wind, largest at the root: change the sign of the table", mean)}}
	}
	return nil
}

// outerSetting is twist and pitch, degrees, on average over the outer half of the blade.
func (r Rotor) outerSetting() float64 {
	root, tip := r.root(), r.DiameterM/2
	const n = 20
	sum := 0.0
	for i := range n {
		_, setting := r.blade(tip - (tip-root)*(float64(i)+0.5)/(2*n))
		sum += setting
	}
	return sum / n
}

// twistWarnings notes a twist that can be, but seldom is meant.
func (r Rotor) twistWarnings() []resource.Warning {
	var out []resource.Warning
	root, tip := r.root(), r.DiameterM/2
	_, atRoot := r.blade(root)
	_, atTip := r.blade(tip)
	if atTip > atRoot+2 {
		out = append(out, resource.Warning{Code: "twist_rises", Detail: fmt.Sprintf("The blade is set at %.3g° at the root and %.3g° at the "+
			"tip; the wind asks for the larger angle at the root. Look whether the table runs from tip to root.", atRoot, atTip)})
	}
	lowest, where := 0.0, 0.0
	for _, s := range r.Stations {
		if v := s.TwistDeg + r.PitchDeg; s.RadiusM >= root && v < lowest {
			lowest, where = v, s.RadiusM
		}
	}
	if lowest < 0 {
		out = append(out, resource.Warning{Code: "twist_below_zero", Detail: fmt.Sprintf("Twist and pitch together are %.3g° at %.3g m: the "+
			"leading edge is turned out of the wind there, and the blade brakes when it is slow. Check the sign, or add pitch.", lowest, where)})
	}
	return out
}

package document

import (
	"fmt"
	"strings"

	"mastworth/openapi"
)

// turbine checks that the machine is given in one way, and what that way alone can get wrong.
func (s *shape) turbine(at string, in *openapi.TurbineInput) {
	s.name(at+".name", in.Name)
	if !s.exactlyOne(at, []choice{{"power_curve", in.PowerCurve != nil}, {"design", in.Design != nil}, {"test_log", in.TestLog != nil},
		{"curve", in.Curve != nil}}) {
		return
	}
	switch {
	case in.PowerCurve != nil:
		s.curve(at+".power_curve.points", in.PowerCurve.Points)
		s.needsDiameter(at, in)
	case in.TestLog != nil:
		s.needsDiameter(at, in)
		s.testLog(at+".test_log", in.TestLog)
	case in.Design != nil:
		if in.RotorDiameterM != nil {
			s.add(at+".rotor_diameter_m", "is the design's own: leave it out here")
		}
		s.design(at+".design", in.Design)
	default:
		if in.RotorDiameterM != nil || in.RatedPowerW != nil || in.Regulation != nil {
			s.add(at+".curve", "brings everything but the name with it: leave the other fields out")
		}
		if !IsID(in.Curve.ID) {
			s.add(at+".curve.id", "is no id of a curve, which is made of up to 64 letters, digits, - and _")
		}
	}
}

type choice struct {
	name string
	is   bool
}

// exactlyOne reports whether one of some fields is given, and adds a fault if not.
func (s *shape) exactlyOne(at string, of []choice) bool {
	var names, given []string
	for _, c := range of {
		names = append(names, c.name)
		if c.is {
			given = append(given, c.name)
		}
	}
	switch len(given) {
	case 1:
		return true
	case 0:
		s.add(at, "give one of %s", oneOf(names))
	default:
		s.add(at, "give exactly one of %s, not %s; drop all but one", oneOf(names), strings.Join(given, " and "))
	}
	return false
}

func (s *shape) needsDiameter(at string, in *openapi.TurbineInput) {
	if in.RotorDiameterM == nil {
		s.add(at+".rotor_diameter_m", "is missing; without it no slip of a unit can be seen")
	}
}

// design checks choices and lengths; numbers are the domain's, but for those that the domain does not know by their name.
func (s *shape) design(at string, in *openapi.DesignInput) {
	before := len(*s)
	r := &in.Rotor
	s.exactlyOne(at+".rotor", []choice{{"board", r.Board != nil}, {"stations", r.Stations != nil}})
	if r.Section != nil && r.Polar != nil {
		s.add(at+".rotor", "give section or polar, not both")
	}
	if r.Stations != nil && (len(r.Stations) < leastBladeStations || len(r.Stations) > maxStations) {
		s.add(at+".rotor.stations", "must have from %d to %d stations, not %d", leastBladeStations, maxStations, len(r.Stations))
	}
	if p := r.Polar; p != nil && (len(p.Points) < leastPolarPoints || len(p.Points) > maxPolarPoints) {
		s.add(at+".rotor.polar.points", "must have from %d to %d points, not %d", leastPolarPoints, maxPolarPoints, len(p.Points))
	}
	g := &in.Generator
	s.exactlyOne(at+".generator", []choice{{"volts_per_rpm", g.VoltsPerRPM != nil}, {"torque_nm_per_a", g.TorqueNmPerA != nil}})
	if in.Gear != nil && s.exactlyOne(at+".gear", []choice{{"ratio", in.Gear.Ratio != nil}, {"generator_per_rotor", in.Gear.GeneratorPerRotor != nil}}) &&
		in.Gear.Ratio != nil {
		s.length(at+".gear.ratio", *in.Gear.Ratio, 1, maxGearWords)
	}
	l := &in.Load
	s.exactlyOne(at+".load", []choice{{"battery", l.Battery != nil}, {"resistor", l.Resistor != nil}, {"tracking", l.Tracking != nil},
		{"short_circuit", l.ShortCircuit != nil}})
	if l.ShortCircuit != nil && !*l.ShortCircuit {
		s.add(at+".load.short_circuit", "can only be true; leave it out otherwise")
	}
	if w := in.Wire; w != nil && s.exactlyOne(at+".wire", []choice{{"area_mm2", w.AreaMM2 != nil}, {"awg", w.AWG != nil}}) && w.AWG != nil {
		s.length(at+".wire.awg", *w.AWG, 1, maxGaugeCharacters)
	}
	s.sweepShape(at+".sweep", in.Sweep)
	s.ranges(at, in)
	if len(*s) > before {
		return
	}
	d, faults := toDesign(in)
	*s = append(*s, faults...)
	if len(faults) == 0 {
		s.machineFaults(at, in, d)
	}
}

func (s *shape) sweepShape(at string, in *openapi.SweepInput) {
	if in == nil {
		return
	}
	whole := 1
	for _, l := range []struct {
		name string
		n    int
	}{{"gear_ratios", len(in.GearRatios)}, {"turns_ratios", len(in.TurnsRatios)}, {"battery_volts_v", len(in.BatteryVoltsV)}} {
		s.atMost(at+"."+l.name, l.n, maxSweepEach)
		whole *= max(1, l.n)
	}
	for i, words := range in.GearRatios {
		s.length(fmt.Sprintf("%s.gear_ratios[%d]", at, i), words, 1, maxGearWords)
	}
	if whole > maxSweepWhole {
		s.add(at, "asks for %d combinations; at most %d are tried at once", whole, maxSweepWhole)
	}
}

func (s *shape) testLog(at string, in *openapi.TestLogInput) {
	s.record(at+".record", &in.Record)
	s.atMost(at+".leave_out", len(in.LeaveOut), maxLeaveOut)
	for i, sector := range in.LeaveOut {
		if len(sector) != 2 {
			s.add(fmt.Sprintf("%s.leave_out[%d]", at, i), "must be two directions, from and to, not %d numbers", len(sector))
			continue
		}
		for k := range sector {
			s.bounds(at, []bound{{fmt.Sprintf("leave_out[%d][%d]", i, k), &sector[k], 0, 360, "degrees", false}})
		}
	}
	s.logRanges(at, in)
}

package machine

import (
	"errors"
	"fmt"
	"strings"

	"mastworth/yield/drive"
	"mastworth/yield/rotor"
)

// Design is a machine as it is to be built. The zero value is not valid; see Faults.
type Design struct {
	Rotor     rotor.Rotor
	Generator drive.Generator
	Gear      drive.Gear
	Load      drive.Load
	Wire      drive.Wire
	Furling   drive.Furling
}

// Fault says which part of a design cannot be, and why, with the remedy.
type Fault struct {
	Field  string // path within the design: "rotor.stations[2].chord_m", "generator.resistance_ohm", "load.battery.volts_v"
	Reason string
}

func (f *Fault) Error() string { return f.Field + ": " + f.Reason }

// machine is the design with a rotor that is solved.
func (d *Design) machine(aero drive.Aero) drive.Machine {
	return drive.Machine{
		RotorRadiusM: d.Rotor.DiameterM / 2, Aero: aero, Generator: d.Generator, Gear: d.Gear, Load: d.Load, Wire: d.Wire,
		Furling: d.Furling,
	}
}

// Faults is everything that can be seen wrong with a design without solving it, the rotor's first; none is nil. That a rotor
// does not drive itself is found by Solve alone. Fields are rotor.diameter_m, hub_diameter_m, blades, pitch_deg, section,
// elements, stations and stations[i].radius_m, chord_m, twist_deg; generator.constant_v_s_per_rad, resistance_ohm,
// iron_torque_nm, eddy_nm_per_rad_s, cogging_nm, rated_current_a; gear.ratio, efficiency, drag_nm; load, load.battery.volts_v,
// diode_drop_v, internal_ohm, load.resistor.ohm, diode_drop_v, load.tracking.efficiency, start_v, max_w, diode_drop_v;
// wire.length_m, area_mm2, awg, temperature_c; furling.start_m_s, full_m_s, power_limit_w.
func (d Design) Faults() []Fault {
	var out []Fault
	sized := true
	for _, f := range d.Rotor.Faults() {
		if f.Field == "hub" && !sized && d.Rotor.HubDiameterM >= 0 {
			continue // it is measured against a diameter that cannot be
		}
		out = append(out, d.rotorFault(f))
		sized = sized && f.Field != "diameter"
	}
	m := d.machine(sound{})
	if !sized {
		m.RotorRadiusM = 1 // told already
	}
	for range mostFaults {
		var f *drive.Fault
		if err := m.Validate(); !errors.As(err, &f) {
			break
		}
		out = append(out, d.driveFault(f))
		mend(&m, f.Field)
	}
	return out
}

// mostFaults is above the number of fields that drive looks at.
const mostFaults = 32

// sound is a rotor with nothing wrong, to try the other parts with.
type sound struct{}

func (sound) Cq(lambda float64) float64   { return 0.3 * (12 - lambda) / 36 }
func (s sound) Cp(lambda float64) float64 { return lambda * s.Cq(lambda) }
func (sound) Ct(lambda float64) float64   { return 0.8 }

// mend puts something sound where a fault was told, so that the next can be seen.
func mend(m *drive.Machine, field string) {
	part, name, _ := strings.Cut(field, ".")
	switch part {
	case "rotor":
		m.RotorRadiusM = 1
	case "generator":
		mendGenerator(&m.Generator, name)
	case "gear":
		switch name {
		case "efficiency":
			m.Gear.Efficiency = 1
		case "drag_nm":
			m.Gear.DragNm = 0
		default:
			m.Gear.GeneratorPerRotor = 1
		}
	case "load":
		mendLoad(m, name)
	case "wire":
		switch name {
		case "length_m":
			m.Wire.LengthM = 1
		case "temperature_c":
			m.Wire.TemperatureC = drive.TableTemperatureC
		default:
			m.Wire.AWG, m.Wire.AreaMM2 = "", 1
		}
	case "furling":
		if name == "power_limit_w" {
			m.Furling.PowerLimitW = 0
		} else if name == "start_ms" {
			m.Furling.StartMS, m.Furling.FullMS = 0, 0
		} else {
			m.Furling.FullMS = 0
		}
	}
}

func mendGenerator(g *drive.Generator, name string) {
	switch name {
	case "constant_vs_per_rad":
		g.ConstantVsPerRad = 1
	case "resistance_ohm":
		g.ResistanceOhm = 1
	case "iron_torque_nm":
		g.IronTorqueNm = 0
	case "eddy_nm_per_rad_s":
		g.EddyNmPerRadS = 0
	case "cogging_nm":
		g.CoggingNm = 0
	default:
		g.RatedCurrentA = 0
	}
}

func mendLoad(m *drive.Machine, name string) {
	switch l := m.Load.(type) {
	case drive.Battery:
		switch name {
		case "volts_v":
			l.VoltsV = 12
		case "diode_drop_v":
			l.DiodeDropV = 0
		default:
			l.InternalOhm = 0
		}
		m.Load = l
	case drive.Resistor:
		if name == "ohm" {
			l.Ohm = 1
		} else {
			l.DiodeDropV = 0
		}
		m.Load = l
	case drive.Tracking:
		switch name {
		case "efficiency":
			l.Efficiency = 1
		case "start_v":
			l.StartV = 0
		case "max_w":
			l.MaxW = 0
		default:
			l.DiodeDropV = 0
		}
		m.Load = l
	default:
		m.Load = drive.NoLoad{}
	}
}

// rotorFault gives a rotor's fault its place in the design.
func (d *Design) rotorFault(f *rotor.Fault) Fault {
	names := map[string]string{"diameter": "diameter_m", "hub": "hub_diameter_m", "pitch": "pitch_deg", "radius": "radius_m",
		"chord": "chord_m", "twist": "twist_deg"}
	name, known := names[f.Field]
	switch {
	case !known:
		name = f.Field
	case f.Index >= 0:
		name = fmt.Sprintf("stations[%d].%s", f.Index, name)
	case f.Field == "chord": // at the root, which may lie between two stations
		name = "stations"
		if s := d.Rotor.Stations; len(s) > 0 && s[0].RadiusM >= d.Rotor.HubDiameterM/2 {
			name = "stations[0].chord_m"
		}
	case f.Field == "twist": // over the outer half
		name = "pitch_deg"
		for _, s := range d.Rotor.Stations {
			if s.TwistDeg != 0 {
				name = "stations"
			}
		}
	}
	return Fault{"rotor." + name, f.Reason}
}

// driveFault gives a fault of the machine its place in the design.
func (d *Design) driveFault(f *drive.Fault) Fault {
	field := f.Field
	switch field {
	case "rotor.radius_m":
		return Fault{"rotor.diameter_m", "half of it " + f.Reason}
	case "generator.constant_vs_per_rad":
		field = "generator.constant_v_s_per_rad"
	case "gear.generator_per_rotor":
		field = "gear.ratio"
	case "furling.start_ms":
		field = "furling.start_m_s"
	case "furling.full_ms":
		field = "furling.full_m_s"
	default:
		if name, ok := strings.CutPrefix(field, "load."); ok {
			field = "load." + d.loadName() + name
		}
	}
	return Fault{field, f.Reason}
}

func (d *Design) loadName() string {
	switch d.Load.(type) {
	case drive.Battery:
		return "battery."
	case drive.Resistor:
		return "resistor."
	case drive.Tracking:
		return "tracking."
	}
	return ""
}

// placed gives a drive.Fault within an error its place in the design and keeps what is said around it; any other error stays.
func (d *Design) placed(err error) error {
	var f *drive.Fault
	if !errors.As(err, &f) {
		return err
	}
	before := strings.TrimSuffix(err.Error(), f.Error())
	own := d.driveFault(f)
	return fmt.Errorf("%smachine design, %w", before, &own)
}

package document

import (
	"strings"

	"mastworth/openapi"
	"mastworth/yield/assess"
)

// machineFaults are those that the domain sees in a design without solving it, each at the field that was written.
func (s *shape) machineFaults(at string, in *openapi.DesignInput, d *assess.Design) {
	for _, f := range d.Faults() {
		s.add(at+"."+designPlace(in, f.Field), "%s", f.Reason)
	}
	if in.Sweep != nil && len(in.Sweep.BatteryVoltsV) > 0 && in.Load.Battery == nil {
		s.add(at+".sweep.battery_volts_v", "are of a battery, and the load is another: leave them out, or give load.battery")
	}
}

// designPlace is where a document has what the domain's design calls by another name.
func designPlace(in *openapi.DesignInput, field string) string {
	switch field {
	case "generator.constant_v_s_per_rad", "generator.constant_vs_per_rad":
		if in.Generator.TorqueNmPerA != nil {
			return "generator.torque_nm_per_a"
		}
		return "generator.volts_per_rpm"
	case "gear.ratio", "gear.generator_per_rotor":
		switch {
		case in.Gear == nil:
			return "gear"
		case in.Gear.GeneratorPerRotor != nil:
			return "gear.generator_per_rotor"
		}
		return "gear.ratio"
	case "rotor.section":
		if in.Rotor.Polar != nil {
			return "rotor.polar"
		}
	case "rotor.elements":
		return "rotor"
	}
	if in.Rotor.Board != nil && strings.HasPrefix(field, "rotor.stations") {
		return boardPlace(in.Rotor.Board, field)
	}
	return field
}

// boardPlace is where a board has what the domain sees as two stations, root and tip.
func boardPlace(b *openapi.BoardInput, field string) string {
	switch {
	case strings.HasSuffix(field, ".radius_m"):
		return "rotor.hub_diameter_m"
	case strings.HasSuffix(field, ".twist_deg"):
		return "rotor.pitch_deg"
	case b.TipChordM != nil && strings.HasPrefix(field, "rotor.stations[1]"):
		return "rotor.board.tip_chord_m"
	}
	return "rotor.board.root_chord_m"
}

package document

import (
	"math"
	"strconv"
	"strings"

	"mastworth/openapi"
)

// bound is a number that the contract bounds and the domain does not know by that name, or takes 0 of for "not given".
type bound struct {
	name      string
	v         *float64
	low, high float64
	unit      string
	above     bool // low itself is too low
}

func (s *shape) bounds(at string, all []bound) {
	for _, b := range all {
		switch {
		case b.v == nil:
		case b.above && !(*b.v > b.low && *b.v <= b.high):
			s.add(joined(at, b.name), "must be above %s and up to %s, not %s", plain(b.low), measure(b.high, b.unit), plain(*b.v))
		case !b.above && !(*b.v >= b.low && *b.v <= b.high):
			s.add(joined(at, b.name), "must be from %s to %s, not %s", plain(b.low), measure(b.high, b.unit), plain(*b.v))
		}
	}
}

// plain writes a number as people do, 1000000 rather than 1e+06, unless it is too long for that.
func plain(v float64) string {
	if a := math.Abs(v); a != 0 && (a < 1e-6 || a > 1e9) {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func measure(v float64, unit string) string { return strings.TrimSpace(plain(v) + " " + unit) }

// ranges are the contract's bounds of a design.
func (s *shape) ranges(at string, in *openapi.DesignInput) {
	r, g := &in.Rotor, &in.Generator
	s.bounds(at+".rotor", []bound{{"diameter_m", &r.DiameterM, 0.2, 60, "m", false}, {"hub_diameter_m", r.HubDiameterM, 0, 30, "m", false},
		{"pitch_deg", r.PitchDeg, -45, 90, "degrees", false}, {"camber_share", r.CamberShare, 0, 0.15, "", true}})
	if r.Blades < 1 || r.Blades > 24 {
		s.add(at+".rotor.blades", "must be from 1 to 24, not %d", r.Blades)
	}
	if b := r.Board; b != nil {
		s.bounds(at+".rotor.board", []bound{{"root_chord_m", &b.RootChordM, 0.005, 5, "m", false}, {"tip_chord_m", b.TipChordM, 0.005, 5, "m", false}})
	}
	for i := range r.Stations {
		st := &r.Stations[i]
		s.bounds(at+".rotor.stations"+indexed(i), []bound{{"radius_m", &st.RadiusM, 0, 30, "m", false},
			{"chord_m", &st.ChordM, 0.005, 5, "m", false}, {"twist_deg", st.TwistDeg, -90, 90, "degrees", false}})
	}
	if p := r.Polar; p != nil {
		s.bounds(at+".rotor.polar", []bound{{"reynolds", p.Reynolds, 1000, 1e8, "", false}})
	}
	s.bounds(at+".generator", []bound{{"volts_per_rpm", g.VoltsPerRPM, 0.0001, 100, "V", false},
		{"torque_nm_per_a", g.TorqueNmPerA, 0.0001, 1000, "N·m/A", false}, {"resistance_ohm", &g.ResistanceOhm, 0.0001, 1000, "ohm", false}, {"iron_torque_nm", g.IronTorqueNm, 0, 100, "N·m", false},
		{"eddy_nm_per_rad_s", g.EddyNmPerRadS, 0, 10, "N·m·s", false}, {"cogging_nm", g.CoggingNm, 0, 100, "N·m", false},
		{"rated_current_a", g.RatedCurrentA, 0, 10000, "A", true}})
	if gear := in.Gear; gear != nil {
		s.bounds(at+".gear", []bound{{"generator_per_rotor", gear.GeneratorPerRotor, 0.01, 200, "turns", false},
			{"efficiency", gear.Efficiency, 0.1, 1, "", false}, {"drag_nm", gear.DragNm, 0, 1000, "N·m", false}})
	}
	s.loadRanges(at+".load", &in.Load)
	if w := in.Wire; w != nil {
		s.bounds(at+".wire", []bound{{"length_m", &w.LengthM, 0, 5000, "m", false}, {"area_mm2", w.AreaMM2, 0.05, 1000, "mm²", false},
			{"temperature_c", w.TemperatureC, -50, 150, "°C", false}})
	}
	if f := in.Furling; f != nil {
		s.bounds(at+".furling", []bound{{"start_m_s", f.StartMS, 2, 60, "m/s", false}, {"full_m_s", f.FullMS, 2, 100, "m/s", false},
			{"power_limit_w", f.PowerLimitW, 1, 1e6, "W", false}})
	}
	if sw := in.Sweep; sw != nil {
		for i := range sw.TurnsRatios {
			s.bounds(at+".sweep", []bound{{"turns_ratios" + indexed(i), &sw.TurnsRatios[i], 0.1, 10, "", false}})
		}
		for i := range sw.BatteryVoltsV {
			s.bounds(at+".sweep", []bound{{"battery_volts_v" + indexed(i), &sw.BatteryVoltsV[i], 1, 1000, "V", false}})
		}
	}
}

func (s *shape) loadRanges(at string, in *openapi.LoadInput) {
	if b := in.Battery; b != nil {
		s.bounds(at+".battery", []bound{{"volts_v", &b.VoltsV, 1, 1000, "V", false}, {"diode_drop_v", b.DiodeDropV, 0, 10, "V", false},
			{"internal_ohm", b.InternalOhm, 0, 10, "ohm", false}})
	}
	if r := in.Resistor; r != nil {
		s.bounds(at+".resistor", []bound{{"ohm", &r.Ohm, 0.001, 1e5, "ohm", false}, {"diode_drop_v", r.DiodeDropV, 0, 10, "V", false}})
	}
	if t := in.Tracking; t != nil {
		s.bounds(at+".tracking", []bound{{"efficiency", t.Efficiency, 0.1, 1, "", false}, {"start_v", t.StartV, 0, 1000, "V", false},
			{"max_w", t.MaxW, 0, 1e6, "W", true}, {"diode_drop_v", t.DiodeDropV, 0, 10, "V", false}})
	}
}

// logRanges are the contract's bounds of a test log.
func (s *shape) logRanges(at string, in *openapi.TestLogInput) {
	s.bounds(at, []bound{{"sensor_height_m", in.SensorHeightM, 0, 200, "m", true}, {"hub_height_m", in.HubHeightM, 0, 200, "m", true},
		{"shear_exponent", in.ShearExponent, -0.1, 0.8, "", false}, {"elevation_m", in.ElevationM, -430, 6000, "m", false},
		{"cut_out_m_s", in.CutOutMS, 5, 60, "m/s", false}, {"speed_uncertainty", in.SpeedUncertainty, 0.0001, 0.5, "", false},
		{"power_uncertainty", in.PowerUncertainty, 0.0001, 0.5, "", false}})
	whole := func(name string, v *int, low, high int) {
		if v != nil && (*v < low || *v > high) {
			s.add(at+"."+name, "must be from %d to %d s, not %d", low, high, *v)
		}
	}
	whole("averaging_s", in.AveragingS, 1, 3600)
	whole("power_shift_s", in.PowerShiftS, -86400, 86400)
	if g := in.Generator; g != nil {
		s.bounds(at+".generator", []bound{{"volts_per_rpm", &g.VoltsPerRPM, 0.0001, 100, "V", false}, {"resistance_ohm", &g.ResistanceOhm, 0.0001, 1000, "ohm", false},
			{"battery_v", g.BatteryV, 1, 1000, "V", false}, {"load_ohm", g.LoadOhm, 0.001, 1e5, "ohm", false},
			{"diode_drop_v", g.DiodeDropV, 0, 10, "V", false}})
	}
}

func indexed(i int) string { return "[" + strconv.Itoa(i) + "]" }

func joined(at, name string) string {
	if at == "" {
		return name
	}
	return at + "." + name
}

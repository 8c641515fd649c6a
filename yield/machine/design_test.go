package machine

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"mastworth/yield/drive"
)

func TestFaultsNameTheirPlace(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		field string
		spoil func(*Design)
	}{
		{"rotor.diameter_m", func(d *Design) { d.Rotor.DiameterM = -2 }},
		{"rotor.diameter_m", func(d *Design) { d.Rotor.DiameterM = nan }},
		{"rotor.diameter_m", func(d *Design) {
			d.Rotor.DiameterM, d.Rotor.HubDiameterM = 220, 1
			d.Rotor.Stations[1].RadiusM = 110
		}},
		{"rotor.hub_diameter_m", func(d *Design) { d.Rotor.HubDiameterM = 3 }},
		{"rotor.blades", func(d *Design) { d.Rotor.Blades = 0 }},
		{"rotor.pitch_deg", func(d *Design) { d.Rotor.PitchDeg = 120 }},
		{"rotor.pitch_deg", func(d *Design) { d.Rotor.PitchDeg = -20 }},
		{"rotor.stations", func(d *Design) { d.Rotor.Stations[0].TwistDeg, d.Rotor.PitchDeg = 1, -20 }},
		{"rotor.section", func(d *Design) { d.Rotor.Section = nil }},
		{"rotor.stations", func(d *Design) { d.Rotor.Stations = nil }},
		{"rotor.stations[1].chord_m", func(d *Design) { d.Rotor.Stations[1].ChordM = nan }},
		{"rotor.stations[1].radius_m", func(d *Design) { d.Rotor.Stations[1].RadiusM = 0.5 }},
		{"rotor.stations[0].twist_deg", func(d *Design) { d.Rotor.Stations[0].TwistDeg = 100 }},
		{"rotor.stations[0].chord_m", func(d *Design) { d.Rotor.Stations[0].ChordM = 0.3 }},
		{"generator.constant_v_s_per_rad", func(d *Design) { d.Generator.ConstantVsPerRad = 0 }},
		{"generator.resistance_ohm", func(d *Design) { d.Generator.ResistanceOhm = 0 }},
		{"generator.iron_torque_nm", func(d *Design) { d.Generator.IronTorqueNm = -1 }},
		{"generator.eddy_nm_per_rad_s", func(d *Design) { d.Generator.EddyNmPerRadS = nan }},
		{"generator.cogging_nm", func(d *Design) { d.Generator.CoggingNm = -1 }},
		{"generator.rated_current_a", func(d *Design) { d.Generator.RatedCurrentA = -1 }},
		{"gear.ratio", func(d *Design) { d.Gear.GeneratorPerRotor = 0 }},
		{"gear.efficiency", func(d *Design) { d.Gear.Efficiency = 95 }},
		{"gear.drag_nm", func(d *Design) { d.Gear.DragNm = -1 }},
		{"load", func(d *Design) { d.Load = nil }},
		{"load.battery.volts_v", func(d *Design) { d.Load = drive.Battery{} }},
		{"load.battery.diode_drop_v", func(d *Design) { d.Load = drive.Battery{VoltsV: 24, DiodeDropV: -1} }},
		{"load.battery.internal_ohm", func(d *Design) { d.Load = drive.Battery{VoltsV: 24, InternalOhm: -1} }},
		{"load.resistor.ohm", func(d *Design) { d.Load = drive.Resistor{} }},
		{"load.resistor.diode_drop_v", func(d *Design) { d.Load = drive.Resistor{Ohm: 1, DiodeDropV: 99} }},
		{"load.tracking.efficiency", func(d *Design) { d.Load = drive.Tracking{Efficiency: 90} }},
		{"load.tracking.start_v", func(d *Design) { d.Load = drive.Tracking{Efficiency: 0.9, StartV: -1} }},
		{"load.tracking.max_w", func(d *Design) { d.Load = drive.Tracking{Efficiency: 0.9, MaxW: -1} }},
		{"load.tracking.diode_drop_v", func(d *Design) { d.Load = drive.Tracking{Efficiency: 0.9, DiodeDropV: -1} }},
		{"wire.length_m", func(d *Design) { d.Wire.LengthM = -1 }},
		{"wire.temperature_c", func(d *Design) { d.Wire.TemperatureC = 500 }},
		{"wire.awg", func(d *Design) { d.Wire.AWG = "99" }},
		{"wire.area_mm2", func(d *Design) { d.Wire.AWG = "" }},
		{"furling.start_m_s", func(d *Design) { d.Furling.StartMS = -1 }},
		{"furling.full_m_s", func(d *Design) { d.Furling = drive.Furling{StartMS: 9, FullMS: 8} }},
		{"furling.power_limit_w", func(d *Design) { d.Furling.PowerLimitW = nan }},
	} {
		d := sixBoards(t)
		c.spoil(&d)
		faults := d.Faults()
		if len(faults) != 1 || faults[0].Field != c.field || faults[0].Reason == "" {
			t.Errorf("%s: %v", c.field, faults)
		}
		_, err := Solve(d, seaLevel)
		var f *Fault
		if !errors.As(err, &f) || f.Field != c.field || !strings.Contains(err.Error(), c.field) {
			t.Errorf("%s: %v", c.field, err)
		}
	}
	if faults := sixBoards(t).Faults(); faults != nil {
		t.Errorf("faults in a sound design: %v", faults)
	}
}

// All that is wrong is told at once.
func TestFaultsTogether(t *testing.T) {
	d := Design{}
	var fields []string
	for _, f := range d.Faults() {
		fields = append(fields, f.Field)
	}
	for _, want := range []string{"rotor.diameter_m", "rotor.blades", "rotor.section", "rotor.stations", "load",
		"generator.constant_v_s_per_rad", "generator.resistance_ohm", "gear.ratio", "gear.efficiency"} {
		if !slices.Contains(fields, want) {
			t.Errorf("%s is missing in %v", want, fields)
		}
	}
	seen := slices.Clone(fields)
	slices.Sort(seen)
	if len(slices.Compact(seen)) != len(fields) {
		t.Errorf("told twice: %v", fields)
	}
}

func TestRotorThatNeverDrives(t *testing.T) {
	d := sixBoards(t)
	d.Rotor.PitchDeg = 89
	d.Rotor.Blades = 1
	d.Rotor.Section = dragOnly{}
	_, err := Solve(d, seaLevel)
	var f *Fault
	if !errors.As(err, &f) || f.Field != "rotor" {
		t.Errorf("%v", err)
	}
	for _, rho := range []float64{0, 1225, math.NaN()} {
		if _, err := Solve(sixBoards(t), rho); err == nil || !strings.Contains(err.Error(), "air density") {
			t.Errorf("density %g: %v", rho, err)
		}
	}
}

// dragOnly is a section without lift, of a drag that always brakes.
type dragOnly struct{}

func (dragOnly) Coefficients(float64, float64) (cl, cd float64) { return 0, 0.1 }

// Loads that take no useful power are told, and a converter is noted.
func TestLoads(t *testing.T) {
	d := sixBoards(t)
	for _, load := range []drive.Load{drive.NoLoad{}, drive.ShortCircuit{}} {
		d.Load = load
		s := solve(t, d)
		if s.Result.Delivered.MaxPower() != 0 || !hasWarning(s.Warnings, "delivers_nothing") {
			t.Errorf("%T: %g W, %v", load, s.Result.Delivered.MaxPower(), s.Warnings)
		}
	}
	d.Load, d.Wire, d.Generator.RatedCurrentA = drive.Tracking{Efficiency: 0.9}, drive.Wire{}, 0
	s := solve(t, d)
	if !s.ConversionIncluded || s.WiringIncluded || !hasWarning(s.Warnings, "rating_unknown") {
		t.Errorf("%v %v %v", s.ConversionIncluded, s.WiringIncluded, s.Warnings)
	}
	// The converter holds the best tip-speed ratio, each wind to what the Reynolds number moves.
	p := s.Result.Points[15]
	near(t, "λ held in 8 m/s", p.Lambda, s.BestLambda, 1e-6)
}

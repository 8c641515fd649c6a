package drive

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"mastworth/resource"
)

func hasWarning(list []resource.Warning, code string) bool {
	return slices.ContainsFunc(list, func(w resource.Warning) bool { return w.Code == code })
}

// boards is a slow six-board rotor with a geared motor on a 12 V battery.
func boards() Machine {
	gear, _, _ := ParseGear("1:4")
	return Machine{
		RotorRadiusM: 1.2, Aero: broad,
		Generator: Generator{ConstantVsPerRad: 0.40, ResistanceOhm: 0.50, IronTorqueNm: 0.05, CoggingNm: 0.1, RatedCurrentA: 20},
		Gear:      gear,
		Load:      Battery{VoltsV: 12.6, DiodeDropV: 1.4},
		Wire:      Wire{LengthM: 20, AreaMM2: 10, TemperatureC: 20},
	}
}

// The cut-in of a rotor without drag is where the free rotor, at its runaway ratio, reaches charging speed; for the parabola that
// is half the wind of the worked number at its best ratio of 6, 5.542 m/s (shared reference notes, section 11).
func TestCutIn(t *testing.T) {
	r, err := worked().Curve(1.225, DefaultWinds())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "cut-in", r.CutInMS, 5.542/2, 0.0005)
	near(t, "start", r.StartWindMS, 0, 0)
	near(t, "best λ", r.BestLambda, 6, 1e-6)
	near(t, "best Cp", r.BestCp, 0.35, 1e-9)
	if n := len(r.Points); n != 60 || r.Curve.Power(12) != r.Points[23].TerminalW || r.Delivered.Power(12) != r.Points[23].DeliveredW {
		t.Errorf("the curve is not the points'")
	}
}

func TestOverspeed(t *testing.T) {
	m := worked()
	r, err := m.Curve(1.225, DefaultWinds())
	if err != nil {
		t.Fatal(err)
	}
	// Without drag the free rotor turns at twice its best ratio: 12·25 m/s.
	near(t, "tips with the load lost", r.Overspeed.LoadLost.TipSpeedMS, 300, 1e-6)
	near(t, "volts", r.Overspeed.LoadLost.VoltsV, 0.4*300-0.7, 1e-6)
	if !(r.Overspeed.OnLoad.TipSpeedMS < 200) || !hasWarning(r.Warnings, "overspeed") || !hasWarning(r.Warnings, "open_voltage") {
		t.Errorf("%+v %v", r.Overspeed.OnLoad, r.Warnings)
	}
	m.Furling.StartMS = 10
	if r, err = m.Curve(1.225, DefaultWinds()); err != nil {
		t.Fatal(err)
	}
	near(t, "furled by wind", r.Overspeed.LoadLost.TipSpeedMS, 120, 1e-6)
	near(t, "furling stuck", r.Overspeed.Runaway.TipSpeedMS, 300, 1e-6)
	m.Furling = Furling{PowerLimitW: 100}
	if r, err = m.Curve(1.225, DefaultWinds()); err != nil {
		t.Fatal(err)
	}
	near(t, "a limit by power does not act", r.Overspeed.LoadLost.TipSpeedMS, 300, 1e-6)
}

func TestFurlingHoldsOrFalls(t *testing.T) {
	m := boards()
	m.Furling = Furling{PowerLimitW: 150}
	r, err := m.Curve(1.225, DefaultWinds())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "limit", r.Curve.MaxPower(), 150, 1e-4)
	near(t, "held", r.Points[59].TerminalW, 150, 1e-4)
	unfurled := m
	unfurled.Furling = Furling{}
	near(t, "begins where the unfurled machine reaches it", unfurled.Operate(r.FurlMS, 1.225).TerminalW, 150, 1e-4)
	m.Furling = Furling{StartMS: 10, FullMS: 20}
	if r, err = m.Curve(1.225, DefaultWinds()); err != nil {
		t.Fatal(err)
	}
	near(t, "half way", r.Points[29].ThroughRotorMS, 5, 1e-12)
	if r.Points[30].TerminalW > r.Points[29].TerminalW || r.Points[45].State != Furled || r.Points[45].RotorRPM != 0 {
		t.Errorf("%+v", r.Points[45])
	}
}

func TestCautions(t *testing.T) {
	codes := func(change func(*Machine)) []resource.Warning {
		m := boards()
		change(&m)
		r, err := m.Curve(1.225, DefaultWinds())
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range r.Warnings {
			if strings.Contains(w.Detail, "NaN") || strings.Contains(w.Detail, "%!") {
				t.Errorf("%s: %s", w.Code, w.Detail)
			}
		}
		return r.Warnings
	}
	for code, change := range map[string]func(*Machine){
		"never_charges":            func(m *Machine) { m.Load = Battery{VoltsV: 1400} },
		"gear_slows_generator":     func(m *Machine) { m.Gear.GeneratorPerRotor = 0.25 },
		"does_not_start":           func(m *Machine) { m.Generator.CoggingNm = 50; m.Furling.StartMS = 8 },
		"over_current":             func(m *Machine) { m.Generator.RatedCurrentA = 5 },
		"rotor_stalled":            func(m *Machine) { m.Gear.GeneratorPerRotor = 12 },
		"wire_loss":                func(m *Machine) { m.Wire.LengthM, m.Wire.AreaMM2 = 50, 1.5 },
		"brake_without_inductance": func(m *Machine) { m.Load = ShortCircuit{} },
		"load_does_not_catch": func(m *Machine) {
			m.Aero, m.Load, m.RotorRadiusM, m.Gear.GeneratorPerRotor = slim{}, ShortCircuit{}, 1.2, 1
			m.Generator.ConstantVsPerRad, m.Generator.ResistanceOhm = 0.55, 0.3
		},
		"converter_limit": func(m *Machine) { m.Load = Tracking{Efficiency: 0.9, MaxW: 50} },
		"electrical_cp_high": func(m *Machine) {
			m.Aero = parabola{0.58, 2}
			m.Load = Tracking{Efficiency: 1}
			m.Generator.ResistanceOhm = 0.01
		},
	} {
		if got := codes(change); !hasWarning(got, code) {
			t.Errorf("%s is not among %v", code, got)
		}
	}
}

func TestFaults(t *testing.T) {
	for field, change := range map[string]func(*Machine){
		"rotor":                         func(m *Machine) { m.Aero = nil },
		"rotor ":                        func(m *Machine) { m.Aero = parabola{0.6, 6} },
		"rotor  ":                       func(m *Machine) { m.Aero = parabola{-0.3, 6} },
		"rotor   ":                      func(m *Machine) { m.Aero = parabola{0.3, 60} },
		"rotor    ":                     func(m *Machine) { m.Aero = parabola{math.NaN(), 4} },
		"load":                          func(m *Machine) { m.Load = nil },
		"load.volts_v":                  func(m *Machine) { m.Load = Battery{} },
		"load.ohm":                      func(m *Machine) { m.Load = Resistor{} },
		"load.efficiency":               func(m *Machine) { m.Load = Tracking{} },
		"generator.resistance_ohm":      func(m *Machine) { m.Generator.ResistanceOhm = 0 },
		"generator.constant_vs_per_rad": func(m *Machine) { m.Generator.ConstantVsPerRad = math.NaN() },
		"gear.generator_per_rotor":      func(m *Machine) { m.Gear = Gear{} },
		"wire.area_mm2":                 func(m *Machine) { m.Wire = Wire{LengthM: 10} },
		"wire.awg":                      func(m *Machine) { m.Wire.AWG = "10" },
		"wire.awg ":                     func(m *Machine) { m.Wire = Wire{LengthM: 10, AWG: "5/0"} },
		"furling.full_ms":               func(m *Machine) { m.Furling = Furling{StartMS: 10, FullMS: 9} },
	} {
		m := boards()
		change(&m)
		var f *Fault
		if err := m.Validate(); !errors.As(err, &f) || f.Field != strings.TrimSpace(field) {
			t.Errorf("%s: %v", field, err)
		}
		if _, err := m.Curve(1.225, DefaultWinds()); !errors.As(err, &f) {
			t.Errorf("%s: %v", field, err)
		}
	}
	if err := boards().Validate(); err != nil {
		t.Error(err)
	}
	for _, winds := range [][]float64{nil, {5}, {5, 4}, {1, math.NaN()}} {
		if _, err := boards().Curve(1.225, winds); err == nil {
			t.Errorf("winds %v are taken", winds)
		}
	}
	if _, err := boards().Curve(0, DefaultWinds()); err == nil {
		t.Error("no air is taken")
	}
}

func BenchmarkCurve(b *testing.B) {
	m, winds := boards(), DefaultWinds()
	for b.Loop() {
		if _, err := m.Curve(1.225, winds); err != nil {
			b.Fatal(err)
		}
	}
}

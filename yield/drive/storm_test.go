package drive

import (
	"errors"
	"math"
	"strings"
	"sync/atomic"
	"testing"

	"pgregory.net/rapid"

	"mastworth/resource"
	"mastworth/yield"
)

func detail(t testing.TB, list []resource.Warning, code string) string {
	t.Helper()
	for _, w := range list {
		if w.Code == code {
			return w.Detail
		}
	}
	t.Fatalf("%s is not among %v", code, list)
	return ""
}

// A rotor that has lost its load and stands edgewise in the storm was fast on the way there: without drag the free rotor turns at
// twice its best ratio (closed form of the parabola), and furling from 9 m/s on lets it have 9 m/s at most.
func TestFastestFreeRotor(t *testing.T) {
	m := worked()
	m.Furling = Furling{StartMS: 9, FullMS: 14}
	r, err := m.Curve(1.225, DefaultWinds())
	if err != nil {
		t.Fatal(err)
	}
	lost := r.Overspeed.LoadLost
	near(t, "the wind it happens in", lost.WindMS, 9, 0)
	near(t, "tips", lost.TipSpeedMS, 12*9, 1e-6)
	words := detail(t, r.Warnings, "overspeed")
	if strings.Contains(words, " 0 rpm,") || !strings.Contains(words, "in a wind of 9.0 m/s") || !strings.Contains(words, "1031 rpm") { // 108 m/s at 1 m
		t.Error(words)
	}
	lostNow := m
	lostNow.Load = NoLoad{}
	for v := 0.5; v <= OverspeedMS; v += 0.5 {
		if p := lostNow.OperateRunning(v, 1.225); p.RotorRPM > lost.RotorRPM*(1+1e-12) {
			t.Errorf("in %g m/s the free rotor turns at %g rpm, %g is told", v, p.RotorRPM, lost.RotorRPM)
		}
	}
}

func TestTipsBeyondTheMethod(t *testing.T) {
	for _, x := range []struct {
		startMS float64
		want    []string
	}{
		{0, []string{"300 m/s", "beyond the method"}}, // 12·25 m/s
		{5, []string{"300 m/s", "furling stuck"}},
	} {
		m := worked()
		m.Furling.StartMS = x.startMS
		r, err := m.Curve(1.225, DefaultWinds())
		if err != nil {
			t.Fatal(err)
		}
		words := detail(t, r.Warnings, "tips_beyond_method")
		for _, w := range x.want {
			if !strings.Contains(words, w) {
				t.Errorf("%q lacks %q", words, w)
			}
		}
	}
	m := worked()
	m.Aero = parabola{0.35, 8} // tips at 16·25 = 400 m/s
	r, err := m.Curve(1.225, DefaultWinds())
	if err != nil {
		t.Fatal(err)
	}
	if words := detail(t, r.Warnings, "tips_beyond_method"); !strings.Contains(words, "faster than sound") {
		t.Error(words)
	}
	m.Aero = parabola{0.35, 1.6} // 80 m/s, and 96 in the highest of the winds
	if r, err = m.Curve(1.225, DefaultWinds()); err != nil || hasWarning(r.Warnings, "tips_beyond_method") {
		t.Error(err, r.Warnings)
	}
}

// humped has torque a + bλ² up to its hump and then falls to nothing at 8.
type humped struct{ a, b float64 }

const humpAt = 5

func (h humped) Cq(l float64) float64 {
	if l <= humpAt {
		return h.a + h.b*l*l
	}
	return (h.a + h.b*humpAt*humpAt) * (8 - l) / (8 - humpAt)
}
func (h humped) Cp(l float64) float64 { return l * h.Cq(l) }
func (humped) Ct(float64) float64     { return 0.8 }
func (humped) String() string         { return "humped" }
func brakeOf(h humped) (m Machine) {
	m = worked()
	m.Aero, m.Load, m.Generator.IronTorqueNm, m.Generator.CoggingNm = h, ShortCircuit{}, 0, 0
	m.Gear = Direct()
	return m
}

// A brake asks K²ω/R. Against a rotor of a + bλ² that is a + bλ² = cλ/V with c = 2K²/(R·ρ·π·r⁴), which has a solution as long as
// (c/V)² ≥ 4ab: the wind tears it loose at V = c/(2√(ab)), closed form of a quadratic equation.
func TestBrakeFails(t *testing.T) {
	h := humped{0.004, 0.0008}
	m := brakeOf(h)
	g, radius := m.Generator, m.RotorRadiusM
	c := 2 * g.ConstantVsPerRad * g.ConstantVsPerRad / (g.ResistanceOhm * 1.225 * math.Pi * math.Pow(radius, 4))
	want := c / (2 * math.Sqrt(h.a*h.b))
	m.Generator.ResistanceOhm *= want / 15 // so that it fails in 15 m/s
	r, err := m.Curve(1.225, DefaultWinds())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "fails", r.BrakeFailMS, 15, 0.02) // equilibria are looked for in 128 steps
	words := detail(t, r.Warnings, "brake")
	away := m.Operate(r.BrakeFailMS, 1.225)
	near(t, "all of it heats the winding", away.CopperLossW, away.AeroW, 1e-9)
	if !strings.Contains(words, "up to 15.0 m/s") || !strings.Contains(words, "in the winding") || strings.Contains(words, "gear") {
		t.Error(words)
	}
	for _, w := range r.Warnings {
		if strings.Contains(w.Detail, "gear step") || w.Code == "rotor_stalled" || w.Code == "never_charges" || w.Code == "gear_slows_generator" {
			t.Errorf("advice of a load that charges, for a brake: %+v", w)
		}
	}
	m.Generator.ResistanceOhm /= 10 // holds in any wind
	if r, err = m.Curve(1.225, DefaultWinds()); err != nil || !math.IsNaN(r.BrakeFailMS) {
		t.Error(err, r.BrakeFailMS)
	}
	if words := detail(t, r.Warnings, "brake"); !strings.Contains(words, "in all winds up to 60 m/s") {
		t.Error(words)
	}
	m.Load = Battery{VoltsV: 12}
	if r, err = m.Curve(1.225, DefaultWinds()); err != nil || !math.IsNaN(r.BrakeFailMS) {
		t.Error("a battery is no brake", err, r.BrakeFailMS)
	}
}

// A limit by power that is reached only above the wind of full furling cannot be; the fault is at that wind.
func TestFurlingCompleteBeforeItBegins(t *testing.T) {
	m := boards()
	m.Furling = Furling{PowerLimitW: 150}
	r, err := m.Curve(1.225, DefaultWinds())
	if err != nil {
		t.Fatal(err)
	}
	m.Furling.FullMS = r.FurlMS - 0.5
	var f *Fault
	if _, err := m.Curve(1.225, DefaultWinds()); !errors.As(err, &f) || f.Field != "furling.full_ms" {
		t.Errorf("%v", err)
	}
	m.Furling.FullMS = r.FurlMS + 0.5
	if _, err := m.Curve(1.225, DefaultWinds()); err != nil {
		t.Error(err)
	}
}

// A converter at its limit wants no more load from the gear.
func TestMatchOfALimitedConverter(t *testing.T) {
	m := boards()
	m.Load = Tracking{Efficiency: 0.9, MaxW: 10}
	got, err := Match(m, Sweep{AirDensityKgM3: 1.225}, breezy, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got[0].Cause != RunsFast || strings.Contains(got[0].Why, "gear step") || !strings.Contains(got[0].Why, "limit") {
		t.Errorf("%s: %s", got[0].Cause, got[0].Why)
	}
}

// Scoring by the winds' weights is the mean power of the curve: both are the same sum.
func TestWeightsAreTheMean(t *testing.T) {
	got, err := Match(boards(), Sweep{GearRatios: []float64{1, 3, 6}, AirDensityKgM3: 1.225}, breezy, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range got {
		m := boards()
		m.Gear.GeneratorPerRotor = c.GeneratorPerRotor
		r, err := m.Curve(1.225, DefaultWinds())
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mean power", c.MeanPowerW, breezy(r.Delivered), 1e-9*breezy(r.Delivered))
		near(t, "peak", c.PeakW, r.Delivered.MaxPower(), 0)
	}
}

// A sweep asks for the site's wind once a wind, however many combinations there are, and stops when it is told to.
func TestMatchAsksLittleAndStops(t *testing.T) {
	asked := 0
	s := Sweep{GearRatios: []float64{1, 2, 3, 4, 5}, TurnsRatios: []float64{0.5, 1, 2}, AirDensityKgM3: 1.225, WindsMS: []float64{2, 4, 6, 8, 10, 12}}
	if _, err := Match(boards(), s, func(c *yield.Curve) float64 { asked++; return breezy(c) }, nil); err != nil || asked != 6 {
		t.Error(err, asked)
	}
	var calls atomic.Int32
	s.Stop = func() bool { return calls.Add(1) > 4 }
	tried := 0
	got, err := Match(boards(), s, breezy, func(done, _ int) { tried = done })
	if !errors.Is(err, ErrStopped) || got != nil || tried > 4 {
		t.Error(err, len(got), tried)
	}
}

// Nothing is a negative nothing, whatever the wind: a figure of −0.0 W reads as a fault.
func TestNoNegativeNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := boards()
		m.Load = []Load{Battery{VoltsV: 24, DiodeDropV: 1.4}, Resistor{Ohm: 3, DiodeDropV: 1.4}, Tracking{Efficiency: 0.9, StartV: 20, DiodeDropV: 1.4},
			ShortCircuit{}, NoLoad{}}[rapid.IntRange(0, 4).Draw(t, "load")]
		if rapid.Bool().Draw(t, "no drag") {
			m.Generator.IronTorqueNm, m.Generator.CoggingNm, m.Generator.EddyNmPerRadS, m.Gear.DragNm = 0, 0, 0, 0
		}
		p := m.Operate(rapid.Float64Range(0.1, 30).Draw(t, "wind"), 1.225)
		for name, v := range map[string]float64{"aero": p.AeroW, "delivered": p.DeliveredW, "terminal": p.TerminalW, "wire": p.WireLossW,
			"load": p.LoadLossW, "diode": p.DiodeLossW, "cp": p.Cp, "electrical": p.ElectricalCp, "amps": p.CurrentA} {
			if v < 0 || math.Signbit(v) {
				t.Errorf("%s is %g: %+v", name, v, p)
			}
		}
	})
}

// A brake that holds with furling to help it says what it holds without.
func TestBrakeWithFurling(t *testing.T) {
	m := brakeOf(humped{0.004, 0.0008})
	alone, err := m.Curve(1.225, DefaultWinds())
	if err != nil || math.IsNaN(alone.BrakeFailMS) {
		t.Fatal(err, alone.BrakeFailMS)
	}
	m.Furling = Furling{StartMS: 0.8 * alone.BrakeFailMS}
	r, err := m.Curve(1.225, DefaultWinds())
	if err != nil || !math.IsNaN(r.BrakeFailMS) {
		t.Fatal(err, r.BrakeFailMS)
	}
	if words := detail(t, r.Warnings, "brake"); !strings.Contains(words, "furling helping it") ||
		!strings.Contains(words, "If furling sticks, it holds up to "+metres(alone.BrakeFailMS)+" m/s only") {
		t.Error(words)
	}
}

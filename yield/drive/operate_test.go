package drive

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// parabola is a rotor whose Cp is a parabola over λ with its top cp at λ = best: Cq falls in a straight line to the runaway ratio
// 2·best. Real rotors are near that on the fast side.
type parabola struct{ cp, best float64 }

func (p parabola) Cq(l float64) float64 { return p.cp * (2*p.best - l) / (p.best * p.best) }
func (p parabola) Cp(l float64) float64 { return l * p.Cq(l) }
func (p parabola) Ct(l float64) float64 { return 0.8 * l / p.best }

// broad is a slow rotor of six boards.
var broad = parabola{0.22, 2}

// slim has little torque at rest and much at speed, straight between its knots: it can stand, creep or run.
type slim struct{}

var slimKnots = [][2]float64{{0, 0.012}, {2, 0.012}, {3, 0.03}, {4.5, 0.07}, {6, 0.0583}, {8, 0.03}, {9.5, 0}, {12, -0.05}, {100, -5}}

func (slim) Cq(l float64) float64 {
	for i := 1; i < len(slimKnots); i++ {
		if a, b := slimKnots[i-1], slimKnots[i]; l <= b[0] {
			return a[1] + (b[1]-a[1])*(l-a[0])/(b[0]-a[0])
		}
	}
	return -5
}
func (s slim) Cp(l float64) float64 { return l * s.Cq(l) }
func (slim) Ct(l float64) float64   { return 0.1 * l }

func books(p Point) float64 {
	return p.GearLossW + p.IronLossW + p.CopperLossW + p.DiodeLossW + p.WireLossW + p.LoadLossW + p.DeliveredW
}

// anyMachine draws a design of a home builder's size.
func anyMachine(t *rapid.T, load Load) Machine {
	f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	return Machine{
		RotorRadiusM: f("radius", 0.4, 5),
		Aero:         parabola{f("cp", 0.1, 0.45), f("best", 1, 8)},
		Generator: Generator{ConstantVsPerRad: f("K", 0.05, 5), ResistanceOhm: f("R", 0.02, 5), IronTorqueNm: f("iron", 0, 1),
			EddyNmPerRadS: f("eddy", 0, 0.005), CoggingNm: f("cogging", 0, 1), RatedCurrentA: f("rated", 0, 100)},
		Gear: Gear{GeneratorPerRotor: f("gear", 0.5, 10), Efficiency: f("efficiency", 0.7, 1), DragNm: f("drag", 0, 2)},
		Load: load,
		Wire: Wire{LengthM: f("length", 0, 100), AreaMM2: f("area", 1, 70), TemperatureC: f("temperature", -20, 80)},
	}
}

func anyLoad(t *rapid.T) Load {
	f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	switch rapid.IntRange(0, 4).Draw(t, "load") {
	case 0:
		return Battery{f("volts", 6, 60), f("diode", 0, 2), f("internal", 0, 0.2)}
	case 1:
		return Resistor{f("ohm", 0.1, 50), f("diode", 0, 2)}
	case 2:
		return Tracking{f("efficiency", 0.5, 1), f("start", 0, 60), rapid.SampledFrom([]float64{0, 100, 1000}).Draw(t, "max"), f("diode", 0, 2)}
	case 3:
		return ShortCircuit{}
	}
	return NoLoad{}
}

// Every watt that the rotor takes is accounted for.
func TestBooksClose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMachine(t, anyLoad(t))
		if rapid.Bool().Draw(t, "slim") {
			m.Aero = slim{}
		}
		m.Furling = rapid.SampledFrom([]Furling{
			{}, {StartMS: 8}, {StartMS: 8, FullMS: 16}, {PowerLimitW: 200}, {StartMS: 9, PowerLimitW: 300, FullMS: 20},
		}).Draw(t, "furling")
		if err := m.Validate(); err != nil {
			t.Fatal(err)
		}
		v := rapid.Float64Range(0, 40).Draw(t, "wind")
		for _, p := range []Point{m.Operate(v, 1.225), m.OperateRunning(v, 1.225)} {
			if !(math.Abs(books(p)-p.AeroW) <= 1e-9*max(1, p.AeroW)) {
				t.Fatalf("the books miss %g W of %g: %+v", books(p)-p.AeroW, p.AeroW, p)
			}
			for _, x := range []float64{p.GearLossW, p.IronLossW, p.CopperLossW, p.DiodeLossW, p.WireLossW, p.LoadLossW, p.DeliveredW, p.TerminalW} {
				if !(x >= 0) {
					t.Fatalf("a negative part: %+v", p)
				}
			}
			if math.Abs(p.TerminalW-p.VoltsV*p.CurrentA) > 1e-9*max(1, p.TerminalW) {
				t.Fatalf("terminals: %g W but %g V and %g A", p.TerminalW, p.VoltsV, p.CurrentA)
			}
		}
		if slow, fast := m.Operate(v, 1.225), m.OperateRunning(v, 1.225); slow.RotorRPM > fast.RotorRPM*(1+1e-12) {
			t.Fatalf("from rest %g rpm is above from running %g rpm", slow.RotorRPM, fast.RotorRPM)
		}
	})
}

// With a parabola and a battery both torques are straight lines over speed: the steady speed is a fraction.
func TestSteadySpeedInClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Battery{rapid.Float64Range(6, 60).Draw(t, "volts"), rapid.Float64Range(0, 2).Draw(t, "diode"), 0.05}
		m := anyMachine(t, b)
		m.Generator.CoggingNm = 0
		rho, v := rapid.Float64Range(0.9, 1.4).Draw(t, "rho"), rapid.Float64Range(3, 30).Draw(t, "wind")
		aero, g, gear := m.Aero.(parabola), m.Generator, m.Gear
		q := 0.5 * rho * math.Pi * math.Pow(m.RotorRadiusM, 3) * v * v
		step := gear.GeneratorPerRotor / gear.Efficiency
		rise := q * 2 * aero.cp / aero.best
		fall := q * aero.cp / (aero.best * aero.best) * m.RotorRadiusM / v
		constant := gear.DragNm + step*g.IronTorqueNm
		perSpeed := step * gear.GeneratorPerRotor * g.EddyNmPerRadS
		ohm := g.ResistanceOhm + m.Wire.ResistanceOhm() + b.InternalOhm
		want := (rise - constant) / (fall + perSpeed) // idling
		if k := g.ConstantVsPerRad; want*k*gear.GeneratorPerRotor > b.VoltsV+b.DiodeDropV {
			want = (rise - constant + step*k*(b.VoltsV+b.DiodeDropV)/ohm) / (fall + perSpeed + step*k*k*gear.GeneratorPerRotor/ohm)
		}
		if got := RadPerS(m.Operate(v, rho).RotorRPM); math.Abs(got-max(0, want)) > 1e-10*max(1, want) {
			t.Fatalf("got %.15g rad/s, want %.15g", got, want)
		}
	})
}

// More wind never turns the rotor slower until furling begins, where its torque at a fixed speed grows with the wind.
func TestMoreWindTurnsFaster(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMachine(t, anyLoad(t))
		v := rapid.Float64Range(0, 30).Draw(t, "wind")
		more := v + rapid.Float64Range(0, 5).Draw(t, "more")
		a, b := m.Operate(v, 1.225), m.Operate(more, 1.225)
		if b.RotorRPM < a.RotorRPM*(1-1e-12) {
			t.Fatalf("%g m/s: %g rpm, %g m/s: %g rpm", v, a.RotorRPM, more, b.RotorRPM)
		}
	})
}

// A thicker wire never brings less into a battery, so long as holding the rotor slower does not weaken its torque.
func TestThickerWire(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMachine(t, Battery{VoltsV: rapid.Float64Range(6, 60).Draw(t, "volts"), DiodeDropV: 1})
		v := rapid.Float64Range(0, 30).Draw(t, "wind")
		thin := m.Operate(v, 1.225)
		m.Wire.AreaMM2 *= rapid.Float64Range(1, 5).Draw(t, "thicker")
		if thick := m.Operate(v, 1.225); thick.DeliveredW < thin.DeliveredW*(1-1e-9) {
			t.Fatalf("thin %g W, thick %g W", thin.DeliveredW, thick.DeliveredW)
		}
	})
}

// Winding a machine anew changes nothing if battery, diode and wire go along.
func TestRewindingIsAChangeOfVoltage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Battery{rapid.Float64Range(6, 60).Draw(t, "volts"), 1, 0.1}
		m := anyMachine(t, b)
		r := rapid.Float64Range(0.2, 5).Draw(t, "turns")
		other := m
		other.Generator = m.Generator.Rewound(r)
		other.Load = Battery{b.VoltsV * r, b.DiodeDropV * r, b.InternalOhm * r * r}
		other.Wire.AreaMM2 /= r * r
		v := rapid.Float64Range(0, 25).Draw(t, "wind")
		p, q := m.Operate(v, 1.225), other.Operate(v, 1.225)
		for _, x := range [][2]float64{{p.RotorRPM, q.RotorRPM}, {p.DeliveredW, q.DeliveredW}, {p.WireLossW, q.WireLossW}, {p.CurrentA, q.CurrentA * r}} {
			if math.Abs(x[0]-x[1]) > 1e-8*max(1, x[0]) {
				t.Fatalf("%+v\n%+v", p, q)
			}
		}
	})
}

// A tracking converter holds the rotor at its best ratio wherever it may.
func TestTrackingHoldsTheBest(t *testing.T) {
	m := worked()
	m.Generator.IronTorqueNm, m.Generator.ResistanceOhm = 0.05, 0.1 // little enough to pass the power on
	m.Gear.Efficiency = 0.95
	m.Load = Tracking{Efficiency: 0.93, DiodeDropV: 1.4}
	for _, v := range []float64{4, 6, 9} {
		p := m.Operate(v, 1.225)
		near(t, "λ", p.Lambda, 6, 1e-6)
		near(t, "Cp", p.Cp, 0.35, 1e-9)
		near(t, "converter", p.LoadLossW, 0.07*(p.TerminalW-p.WireLossW), 1e-9)
	}
	m.Load = Tracking{Efficiency: 0.93, StartV: 20}
	if p := m.Operate(7, 1.225); !(p.Lambda > 6.05) || p.CurrentA > 0 && p.VoltsV < 20-1e-9 {
		t.Errorf("below its voltage it may not draw: %+v", p)
	}
	m.Load = Tracking{Efficiency: 0.93, MaxW: 100}
	if p := m.Operate(12, 1.225); math.Abs(p.DeliveredW-100) > 1e-6 || !(p.Lambda > 8) {
		t.Errorf("at its limit it lets the rotor run: %+v", p)
	}
}

// A slim rotor stands, creeps or runs by its history.
func TestHysteresis(t *testing.T) {
	m := worked()
	m.Aero = slim{}
	m.Generator.CoggingNm = 0.4
	r, err := m.Curve(1.225, DefaultWinds())
	if err != nil {
		t.Fatal(err)
	}
	// 0.4 N·m = 0.012·½·1.225·π·V²
	near(t, "start", r.StartWindMS, math.Sqrt(0.4/(0.012*0.5*1.225*math.Pi)), -1e-12)
	if p := m.Operate(r.StartWindMS*0.999, 1.225); p.State != Standing || p.RotorRPM != 0 {
		t.Errorf("below the start: %+v", p)
	}
	if p := m.Operate(r.StartWindMS*1.001, 1.225); p.State == Standing {
		t.Errorf("above the start: %+v", p)
	}
	if p := m.OperateRunning(r.StartWindMS*0.9, 1.225); p.State != Producing {
		t.Errorf("running it goes on: %+v", p)
	}
	if !(r.StopMS < r.CutInMS) || !hasWarning(r.Warnings, "start_waits_for_gust") {
		t.Errorf("stop %g, cut-in %g, %v", r.StopMS, r.CutInMS, r.Warnings)
	}
	// Once running, charging ends where the free rotor just reaches charging speed, at its runaway ratio of 9.5.
	near(t, "stop", r.StopMS, 33.25/9.5, -1e-6)
}

func TestNoWindAndUnknownWind(t *testing.T) {
	m := worked()
	if p := m.Operate(0, 1.225); p.State != Standing || p.AeroW != 0 || p.ThrustN != 0 {
		t.Errorf("%+v", p)
	}
	if p := m.Operate(math.NaN(), 1.225); !math.IsNaN(p.DeliveredW) || !math.IsNaN(p.RotorRPM) || p.State != "" {
		t.Errorf("%+v", p)
	}
}

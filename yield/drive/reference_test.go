package drive

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// near checks a number against one from outside: within tol absolutely, or, for tol below 0, within −tol relatively.
func near(t testing.TB, name string, got, want, tol float64) {
	t.Helper()
	limit := tol
	if tol < 0 {
		limit = -tol * math.Abs(want)
	}
	if !(math.Abs(got-want) <= limit) {
		t.Errorf("%s: got %.12g, want %.12g within %g", name, got, want, limit)
	}
}

// shared is the path of a file beside the project. Where it is absent the test is skipped, but in CI it fails.
func shared(t testing.TB, name string) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			t.Fatal("no go.mod above the package")
		}
		dir = parent
	}
	path := filepath.Join(dir, "..", "shared", filepath.FromSlash(name))
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s must be present in CI: %v", path, err)
		}
		t.Skipf("%s is absent: this check against outside data is left out", path)
	}
	return path
}

// worked is the machine of the shared reference notes, section 11: K 0.40 V·s/rad, 0.50 Ω, a 12.6 V battery, 0.7 V of
// diode, radius 1 m.
func worked() Machine {
	return Machine{
		RotorRadiusM: 1, Aero: parabola{0.35, 6},
		Generator: Generator{ConstantVsPerRad: 0.40, ResistanceOhm: 0.50},
		Gear:      Direct(),
		Load:      Battery{VoltsV: 12.6, DiodeDropV: 0.7},
	}
}

// The shared reference notes, section 11, worked numbers of the direct-current machine; the formulas are those of every
// textbook of electrical machines.
func TestWorkedMachine(t *testing.T) {
	m := worked()
	near(t, "charging begins, rpm", m.ChargingRPM(), 317.51, 0.005)
	near(t, "rad/s", RadPerS(m.ChargingRPM()), 33.25, 1e-9)
	near(t, "wind at λ 6", RadPerS(m.ChargingRPM())*m.RotorRadiusM/6, 5.542, 0.0005)

	train := prepare(m, study(m.Aero), 1.225)
	for _, row := range []struct{ rpm, emf, amps, battery, copper, diode, mechanical, eta, torque float64 }{
		{400, 16.755, 6.910, 87.07, 23.88, 4.84, 115.78, 0.7520, 2.764},
		{500, nan, 15.288, 192.63, nan, nan, nan, 0.6016, nan},
		{600, nan, 23.665, 298.19, 280.03, nan, nan, 0.5013, nan},
	} {
		p := train.point(8, 8, RadPerS(row.rpm))
		mechanical := p.GeneratorTorqueNm * RadPerS(p.GeneratorRPM)
		for _, x := range []struct {
			name           string
			got, want, tol float64
		}{
			{"EMF", p.VoltsV + 0.7 + p.CurrentA*0.5, row.emf, 0.0005},
			{"current", p.CurrentA, row.amps, 0.0005},
			{"battery", p.DeliveredW, row.battery, 0.005},
			{"copper", p.CopperLossW, row.copper, 0.005},
			{"diode", p.DiodeLossW, row.diode, 0.005},
			{"mechanical", mechanical, row.mechanical, 0.005},
			{"efficiency", p.DeliveredW / mechanical, row.eta, 0.00005},
			{"torque", p.GeneratorTorqueNm, row.torque, 0.0005},
		} {
			if !math.IsNaN(x.want) {
				near(t, x.name+" at "+strconv.FormatFloat(row.rpm, 'g', -1, 64), x.got, x.want, x.tol)
			}
		}
		near(t, "efficiency is V/(Kω)", p.DeliveredW/mechanical, 12.6/(0.4*RadPerS(row.rpm)), -1e-12)
	}
}

var nan = math.NaN()

// The shared reference notes, section 11: a doubled step, 1:1 instead of 2:1 in the builders' sense, halves the rotor speed
// at cut-in and doubles the torque the generator asks of the rotor (textbook).
func TestDoubledGearStep(t *testing.T) {
	single, double := worked(), worked()
	single.Gear, _, _ = ParseGear("2:1")
	double.Gear, _, _ = ParseGear("1:1")
	single.Gear.Efficiency = 1
	near(t, "cut-in speed", double.ChargingRPM(), single.ChargingRPM()/2, -1e-12)
	// The same generator speed, 400 rpm, is 800 rpm of the one rotor and 400 of the other.
	near(t, "reflected torque", double.AskedTorqueNm(400, 1.225), 2*single.AskedTorqueNm(800, 1.225), -1e-12)
	near(t, "at 400 rpm of the generator", double.AskedTorqueNm(400, 1.225), 2.764, 0.0005)
}

// Wire table by the geometry of ASTM B258 and the resistivity of IEC 60028, in the shared file.
func TestWireGauges(t *testing.T) {
	file, err := os.Open(shared(t, "reference/awg_resistance.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 29 {
		t.Errorf("%d rows, want 29", len(rows))
	}
	for _, row := range rows[1:] {
		area, err := AreaOfAWG(row[0])
		if err != nil {
			t.Fatal(err)
		}
		want, _ := strconv.ParseFloat(row[2], 64)
		near(t, "area of "+row[0], area, want, 0.00006)
		ohm, _ := strconv.ParseFloat(row[3], 64)
		w := Wire{LengthM: 500, AWG: row[0], TemperatureC: 20} // 1 km there and back
		near(t, "Ω/km of "+row[0], w.ResistanceOhm(), ohm, -0.001)
	}
}

// The shared reference notes, section 11: resistances per km, ×1.216 at 75 °C, and 500 W at 24 V over 30 m of gauge 10.
func TestWireWorked(t *testing.T) {
	for gauge, ohm := range map[string]float64{
		"14": 8.285, "12": 5.211, "10": 3.277, "8": 2.061, "6": 1.296, "4": 0.8152, "2": 0.5127, "1/0": 0.3224,
	} {
		near(t, gauge, Wire{LengthM: 500, AWG: gauge, TemperatureC: 20}.ResistanceOhm(), ohm, -0.001)
	}
	w := Wire{LengthM: 30, AWG: "10", TemperatureC: 20}
	near(t, "loop", w.ResistanceOhm(), 0.19663, -0.001) // the tolerance stated for the table
	near(t, "drop", 500.0/24*w.ResistanceOhm(), 4.097, -0.001)
	near(t, "loss", math.Pow(500.0/24, 2)*w.ResistanceOhm(), 85.34, 0.01)
	hot := w
	hot.TemperatureC = 75
	near(t, "75 °C", hot.ResistanceOhm()/w.ResistanceOhm(), 1.216, 0.0005)

	// The same through the books of a machine: the current of which makes 500 W at 24 V.
	m := worked()
	m.Wire, m.Load = w, Battery{VoltsV: 24}
	train := prepare(m, study(m.Aero), 1.225)
	amps := 500.0 / 24
	speed := (24 + amps*(0.5+w.ResistanceOhm())) / 0.4
	p := train.point(15, 15, speed)
	near(t, "delivered", p.DeliveredW, 500, 1e-9)
	near(t, "wire loss", p.WireLossW, 85.34, 0.01)
	near(t, "terminals", p.TerminalW, 585.34, 0.01)
}

// A brake of a winding shorted on itself: torque K²ω/R (every textbook of electrical machines).
func TestShortCircuit(t *testing.T) {
	m := worked()
	m.Load = ShortCircuit{}
	near(t, "torque", m.AskedTorqueNm(60, 1.225), 0.4*0.4*2*math.Pi/0.5, -1e-12)
	p := m.Operate(12, 1.225)
	near(t, "all in copper", p.CopperLossW, p.AeroW, -1e-9)
	if p.DeliveredW != 0 || p.State != Braked {
		t.Errorf("%+v", p)
	}
}

func TestVoltsPerRPM(t *testing.T) {
	// 1 V at 1 rpm is 1 V at 2π/60 rad/s.
	near(t, "K", FromVoltsPerRPM(0.0418879), 0.40, 1e-6)
	near(t, "K", FromNmPerA(0.40), 0.40, 0)
	g := Generator{ConstantVsPerRad: 0.4, ResistanceOhm: 0.5, RatedCurrentA: 20}.Rewound(2)
	if g.ConstantVsPerRad != 0.8 || g.ResistanceOhm != 2 || g.RatedCurrentA != 10 {
		t.Errorf("%+v", g)
	}
}

// The worked machine begins to charge at 317.51 rpm (shared reference notes, section 11); geared up 1:2 it is half.
func ExampleMachine_ChargingRPM() {
	m := worked()
	fmt.Printf("direct %.2f rpm\n", m.ChargingRPM())
	gear, reading, _ := ParseGear("1:2")
	m.Gear = gear
	fmt.Printf("%s: %.2f rpm\n", reading, m.ChargingRPM())
	// Output:
	// direct 317.51 rpm
	// the rotor turns once for 2 turns of the generator: geared up, 2 generator turns a rotor turn: 158.76 rpm
}

package machine

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"mastworth/yield"
	"mastworth/yield/drive"
	"mastworth/yield/rotor"
)

func books(p drive.Point) float64 {
	return p.GearLossW + p.IronLossW + p.CopperLossW + p.DiodeLossW + p.WireLossW + p.LoadLossW + p.DeliveredW
}

func TestSixBoards(t *testing.T) {
	s := solve(t, sixBoards(t))
	r := &s.Result
	if len(r.Points) != 60 || len(s.Characteristic) != characteristicRows || len(r.Warnings) != 0 {
		t.Fatalf("%d points, %d rows", len(r.Points), len(s.Characteristic))
	}
	for _, p := range r.Points {
		if math.Abs(p.AeroW-books(p)) > 1e-9*(1+p.AeroW) {
			t.Errorf("%g m/s: the wind gives %.12g W, the books account for %.12g W", p.WindMS, p.AeroW, books(p))
		}
		if p.State == "" || p.Cp > s.BestCp*1.05 {
			t.Errorf("%+v", p)
		}
	}
	// Six boards 14 cm wide from 15 cm to 110 cm: solidity B·c·(R − r)/πR², aspect ratio (R − r)/c.
	near(t, "solidity", s.Solidity, 6*0.14*0.95/(math.Pi*1.1*1.1), 1e-9)
	near(t, "aspect ratio", s.AspectRatio, 0.95/0.14, 1e-9)
	// Cut-in lies where the free rotor can reach charging speed, and at or above the start.
	lowest := drive.RadPerS(s.ChargingRPM) * 1.1 / s.RunawayLambda
	if !(r.StartWindMS > 1 && r.StartWindMS <= r.CutInMS && r.CutInMS >= lowest && r.StopMS <= r.CutInMS && r.CutInMS < 5) {
		t.Errorf("start %g, cut-in %g, stop %g, no rotor charges below %g m/s", r.StartWindMS, r.CutInMS, r.StopMS, lowest)
	}
	if s.WiringIncluded != true || s.ConversionIncluded || s.RatedPowerW != r.Curve.Power(11) {
		t.Errorf("%v %v %g", s.WiringIncluded, s.ConversionIncluded, s.RatedPowerW)
	}
	for _, code := range []string{"overspeed", "held_below_best", "rotor_stalled"} {
		if !hasWarning(s.Warnings, code) {
			t.Errorf("no warning %s in %v", code, s.Warnings)
		}
	}
	for _, w := range s.Warnings {
		if strings.Contains(w.Detail, "%!") {
			t.Errorf("%s: %s", w.Code, w.Detail)
		}
	}
	for i, p := range s.CurvePoints() {
		if p.PowerW != r.Points[i].DeliveredW {
			t.Errorf("curve point %d: %g W, delivered %g W", i, p.PowerW, r.Points[i].DeliveredW)
		}
	}
}

// A free rotor turns at its runaway ratio but for the drag of its train, and its load holds it far below.
func TestOverspeed(t *testing.T) {
	d := sixBoards(t)
	s := solve(t, d)
	o := s.Result.Overspeed
	if tip, free := o.Runaway.TipSpeedMS, s.RunawayLambda*drive.OverspeedMS; !(tip < free*1.03 && tip > 0.97*free) {
		t.Errorf("tips at %g m/s, those of the free rotor at %g", tip, free)
	}
	if !(o.OnLoad.TipSpeedMS < o.Runaway.TipSpeedMS/2) || o.LoadLost != o.Runaway {
		t.Errorf("on load %+v, lost %+v", o.OnLoad, o.LoadLost)
	}
	// With the line cut no current flows: the open voltage is Kω less the rectifier's drop.
	near(t, "open voltage", o.Runaway.VoltsV, 0.34*drive.RadPerS(o.Runaway.GeneratorRPM)-1.4, 1e-9)
	for _, load := range []drive.Load{d.Load, drive.Resistor{Ohm: 3, DiodeDropV: 1}, drive.Tracking{Efficiency: 0.9, DiodeDropV: 1}} {
		// The storm is worked out by drive in the same way, with the rotor of 25 m/s.
		d.Load = load
		sv, err := newSolver(d, seaLevel)
		if err != nil {
			t.Fatal(err)
		}
		want, err := sv.curveIn(drive.OverspeedMS, anyWinds)
		if got := solve(t, d).Result.Overspeed; err != nil || got != want.Overspeed {
			t.Errorf("%T: %+v, want %+v", load, got, want.Overspeed)
		}
	}
	d = sixBoards(t)
	d.Furling.StartMS = 10
	furled := solve(t, d).Result
	near(t, "through the furled rotor", furled.Overspeed.LoadLost.ThroughRotorMS, 10, 0)
	near(t, "furling stuck", furled.Overspeed.Runaway.RotorRPM, o.Runaway.RotorRPM, 1e-9)
}

// Plank rotors and the like reach an electrical Cp of 0.10 to 0.25 (shared reference notes, section 5; from memory): a check
// of plausibility, with a little room, since the peak here is that of one steady wind in which the gear fits best.
func TestElectricalCpIsPlausible(t *testing.T) {
	for _, section := range []float64{0, 0.06} {
		for _, pitch := range []float64{14, 18, 24} {
			d := sixBoards(t)
			d.Rotor.PitchDeg = pitch
			d.Rotor.Section, _ = rotor.CurvedPlate(section)
			peak := 0.0
			for _, p := range solve(t, d).Result.Points {
				peak = max(peak, p.ElectricalCp)
			}
			t.Logf("camber %g, pitch %g°: electrical Cp %.3f", section, pitch, peak)
			if !(peak > 0.09 && peak < 0.27) {
				t.Errorf("camber %g, pitch %g°: electrical Cp %.3f", section, pitch, peak)
			}
		}
	}
}

// Each point has the torque of the rotor's own solution in that wind, not only in the winds it was tabulated at. The
// straightness in 1/√V, the cubics between nodes and the clamp at both ends together cost less than a hundredth of the best
// torque.
func TestEachWindHasItsOwnRotor(t *testing.T) {
	d := sixBoards(t)
	p, err := rotor.New(d.Rotor)
	if err != nil {
		t.Fatal(err)
	}
	worst := 0.0
	for _, x := range solve(t, d).Result.Points {
		if x.WindMS < 2 {
			continue
		}
		own := p.At(x.WindMS, drive.RadPerS(x.RotorRPM), seaLevel, 0)
		best := 0.125 * 0.5 * seaLevel * math.Pi * 1.1 * 1.1 * 1.1 * x.WindMS * x.WindMS // Cq about its highest
		worst = max(worst, math.Abs(own.TorqueNm-x.TorqueNm)/best)
	}
	t.Logf("largest difference %.2g of the highest torque", worst)
	if worst > 0.01 {
		t.Errorf("largest difference %g of the highest torque", worst)
	}
}

// Three tables stand for all between: coefficients at other winds against tables of their own.
func TestTablesBetween(t *testing.T) {
	for _, camber := range []float64{0, 0.08} {
		d := sixBoards(t)
		d.Rotor.Section, _ = rotor.CurvedPlate(camber)
		p, err := rotor.New(d.Rotor)
		if err != nil {
			t.Fatal(err)
		}
		three := tabulate(p, seaLevel)
		best, _ := three.stated().MaxCp()
		single, blended := 0.0, 0.0
		for _, v := range []float64{2, 3, 4, 5, 6.5, 10, 13, 17, 21, 30} {
			own, aero := p.Table(v, seaLevel), three.aero(v)
			for l := 0.0; l < 0.95*own.Runaway(); l += 0.05 {
				blended = max(blended, math.Abs(aero.Cp(l)-own.Cp(l))/best)
				single = max(single, math.Abs(three.stated().Cp(l)-own.Cp(l))/best)
			}
		}
		t.Logf("camber %g: three tables are off by %.2g of the best Cp, one by %.2g", camber, blended, single)
		if blended > 0.01 {
			t.Errorf("camber %g: three tables are off by %g of the best Cp", camber, blended)
		}
	}
}

// A section with one Reynolds number has one rotor in all winds: that of drive alone.
func TestOneTableIsEnoughForAPolar(t *testing.T) {
	d := sixBoards(t)
	d.Rotor.Section = rotor.FlatUnderside()
	d.Rotor.PitchDeg = 12
	p, err := rotor.New(d.Rotor)
	if err != nil {
		t.Fatal(err)
	}
	want, err := d.machine(p.Table(StatedWindMS, seaLevel)).Curve(seaLevel, drive.DefaultWinds())
	if err != nil {
		t.Fatal(err)
	}
	got := solve(t, d).Result
	for i := range want.Points {
		if got.Points[i] != want.Points[i] {
			t.Errorf("%+v, want %+v", got.Points[i], want.Points[i])
		}
	}
	if got.CutInMS != want.CutInMS || got.Overspeed != want.Overspeed {
		t.Errorf("cut-in %g and %g", got.CutInMS, want.CutInMS)
	}
}

// Start, cut-in and stop are those of the rotor in that very wind.
func TestSettledWinds(t *testing.T) {
	d := sixBoards(t)
	s, err := newSolver(d, seaLevel)
	if err != nil {
		t.Fatal(err)
	}
	r, err := s.result()
	if err != nil {
		t.Fatal(err)
	}
	m := s.machine
	in := func(v float64) drive.Machine { m.Aero = s.tables.aero(v); return m }
	below, above := 0.999*r.StartWindMS, 1.001*r.StartWindMS
	if in(below).Operate(below, seaLevel).RotorRPM != 0 || !(in(above).Operate(above, seaLevel).RotorRPM > 0) {
		t.Errorf("it does not start at %g m/s", r.StartWindMS)
	}
	below, above = 0.999*r.CutInMS, 1.001*r.CutInMS
	if in(below).Operate(below, seaLevel).CurrentA > 0 || !(in(above).Operate(above, seaLevel).CurrentA > 0) {
		t.Errorf("it does not cut in at %g m/s", r.CutInMS)
	}
	below, above = 0.999*r.StopMS, 1.001*r.StopMS
	if in(below).OperateRunning(below, seaLevel).CurrentA > 0 || !(in(above).OperateRunning(above, seaLevel).CurrentA > 0) {
		t.Errorf("it does not stop at %g m/s", r.StopMS)
	}
}

func TestFurlingByPower(t *testing.T) {
	d := sixBoards(t)
	d.Furling.PowerLimitW = 250
	s := solve(t, d)
	near(t, "highest power", s.Result.Curve.MaxPower(), 250, 0.1)
	for _, p := range s.Result.Points {
		if p.WindMS > s.Result.FurlMS {
			near(t, "held power", p.TerminalW, 250, 0.1)
			near(t, "wind through the rotor", p.ThroughRotorMS, s.Result.FurlMS, 1e-12)
		}
	}
	d.Furling.FullMS = 28
	s = solve(t, d)
	last := s.Result.Points[len(s.Result.Points)-1]
	if last.State != drive.Furled || last.RotorRPM != 0 || s.Result.Points[39].TerminalW >= 250 {
		t.Errorf("%+v", last)
	}
	if s.Result.Overspeed.LoadLost.ThroughRotorMS != drive.OverspeedMS {
		t.Error("a limit by power acts though no power flows")
	}
	d.Furling = drive.Furling{PowerLimitW: 1e5, FullMS: 28}
	if s = solve(t, d); !math.IsInf(s.Result.FurlMS, 1) || s.Result.Points[59].ThroughRotorMS != 30 {
		t.Errorf("furls at %g m/s, though the limit is never reached", s.Result.FurlMS)
	}
}

// The wind through the rotor is reckoned here as drive reckons it.
func TestThrough(t *testing.T) {
	for _, f := range []drive.Furling{{}, {StartMS: 9}, {StartMS: 9, FullMS: 20}} {
		d := sixBoards(t)
		d.Furling = f
		for _, p := range solve(t, d).Result.Points {
			near(t, "through", through(f, p.WindMS), p.ThroughRotorMS, 0)
		}
	}
}

// The year's energy by the closed form of package yield, against trapezoids over a fine grid of the Rayleigh density, and
// against the sum of IEC 61400-12-1 over the half-metre points.
func TestEnergy(t *testing.T) {
	s := solve(t, sixBoards(t))
	got := yield.AnnualKWh(rayleigh(5)(s.Result.Delivered))
	const step = 0.001
	sum := 0.0
	for v := step / 2; v < 30; v += step {
		sum += step * s.Result.Delivered.Power(v) * math.Pi / 2 * v / 25 * math.Exp(-math.Pi/4*v*v/25)
	}
	near(t, "kWh in a Rayleigh wind of 5 m/s", got, sum*8.76, 1e-4*got)
	near(t, "kWh by bins", s.Result.Delivered.BinSumAnnualKWh(5), got, 0.02*got)
}

func anyDesign(t *rapid.T) Design {
	in := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	diameter := in("diameter", 0.8, 6)
	r := rotor.Board(diameter, 0.2*diameter, rapid.IntRange(2, 8).Draw(t, "blades"), 0.06*diameter, 0.04*diameter, in("pitch", 4, 35))
	r.Section, _ = rotor.CurvedPlate(in("camber", 0, 0.1))
	r.Elements = 8
	d := Design{
		Rotor: r,
		Generator: drive.Generator{ConstantVsPerRad: in("K", 0.05, 3), ResistanceOhm: in("ohm", 0.05, 5), IronTorqueNm: in("iron", 0, 0.5),
			EddyNmPerRadS: in("eddy", 0, 0.01), CoggingNm: in("cogging", 0, 0.5), RatedCurrentA: in("rated", 0, 40)},
		Gear: drive.Gear{GeneratorPerRotor: in("gear", 0.5, 10), Efficiency: in("efficiency", 0.7, 1), DragNm: in("drag", 0, 1)},
		Wire: drive.Wire{LengthM: in("wire", 0, 50), AreaMM2: 10, TemperatureC: 20},
	}
	switch rapid.IntRange(0, 2).Draw(t, "load") {
	case 0:
		d.Load = drive.Battery{VoltsV: in("battery", 12, 50), DiodeDropV: 1.4}
	case 1:
		d.Load = drive.Resistor{Ohm: in("load", 0.5, 20)}
	default:
		d.Load = drive.Tracking{Efficiency: in("converter", 0.7, 1), StartV: in("start", 0, 30), DiodeDropV: 1.4}
	}
	if rapid.Bool().Draw(t, "furls") {
		d.Furling = drive.Furling{StartMS: in("furl", 6, 15), PowerLimitW: in("limit", 50, 2000)}
	}
	return d
}

// Of any design the books close, the rotor's torque is its power over its speed, and nothing is left unknown that is stated.
func TestAnyDesign(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s, err := Solve(anyDesign(rt), rapid.Float64Range(0.8, 1.4).Draw(rt, "density"))
		if err != nil {
			if !strings.Contains(err.Error(), "no driving torque") {
				rt.Fatal(err)
			}
			return
		}
		for _, p := range s.Result.Points {
			w := drive.RadPerS(p.RotorRPM)
			if math.Abs(p.AeroW-books(p)) > 1e-8*(1+p.AeroW) || math.Abs(p.AeroW-p.TorqueNm*w) > 1e-9*(1+p.AeroW) {
				rt.Fatalf("the books do not close: %+v", p)
			}
			if math.IsNaN(p.TorqueNm+p.ThrustN+p.Cp+p.ElectricalCp) || p.DeliveredW < 0 || p.ElectricalCp > yield.BetzLimit {
				rt.Fatalf("%+v", p)
			}
		}
		if over := s.Result.Overspeed; over.LoadLost.RotorRPM > over.Runaway.RotorRPM*(1+1e-9) {
			rt.Fatalf("%+v", over)
		}
	})
}

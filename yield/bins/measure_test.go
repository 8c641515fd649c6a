package bins

import (
	"math"
	"slices"
	"strings"
	"testing"

	"mastworth/yield"
)

var small = Options{RotorDiameterM: 3.7}

// even is a log of minutes with one wind and one power each, of so many minutes apiece.
func even(minutes int, pairs ...[2]float64) Log {
	l := Log{StepS: 60}
	for k, p := range pairs {
		for i := range minutes {
			l.Times = append(l.Times, int64(60*(k*minutes+i)))
			l.SpeedMS, l.PowerW = append(l.SpeedMS, p[0]), append(l.PowerW, p[1])
		}
	}
	return l
}

func TestBinEdges(t *testing.T) {
	l := even(1, [2]float64{5.75, 1}, [2]float64{6.2499, 3}, [2]float64{6.25, 5}, [2]float64{0.2, 0}, [2]float64{0.25, 0})
	r := measured(t, l, small)
	held := map[float64]int{}
	for _, b := range r.Bins {
		held[b.CentreMS] = b.N
	}
	for centre, n := range map[float64]int{0: 1, 0.5: 1, 3: 0, 6: 2, 6.5: 1} {
		if held[centre] != n {
			t.Errorf("bin %g holds %d, want %d", centre, held[centre], n)
		}
	}
	if len(r.Bins) != 14 || r.Curve != nil || len(r.Sketch) != 4 || r.AEP != nil || !warned(r, "no_curve") {
		t.Errorf("%d bins, %d points, %d in the sketch", len(r.Bins), len(r.Curve), len(r.Sketch))
	}
}

// The annual energy of two and of three bins by hand, in a wind of 5 m/s: F(V) = 1 − exp(−(π/4)(V/5)²).
func TestAnnualEnergyByHand(t *testing.T) {
	bins := []Bin{
		{SpeedMS: 4, PowerW: 100, UncertaintyAW: 3, UncertaintyBW: 5, Complete: true},
		{SpeedMS: 4.5, PowerW: 200, UncertaintyAW: 4, UncertaintyBW: 7, Complete: true},
		{SpeedMS: 5, PowerW: 9999, UncertaintyAW: 99, UncertaintyBW: 99},
		{SpeedMS: 6, PowerW: 300, UncertaintyAW: 6, UncertaintyBW: 9, Complete: true},
	}
	curve, err := yield.NewCurve([]yield.Point{{SpeedMS: 4, PowerW: 100}, {SpeedMS: 4.5, PowerW: 200}, {SpeedMS: 6, PowerW: 300}}, 1.225)
	if err != nil {
		t.Fatal(err)
	}
	e := energies(bins, curve, 20)[1]
	// F at 3.5, 4, 4.5, 6 and 20 m/s, computed apart to six digits.
	f1, f2, f3 := 0.395077-0.319444, 0.470686-0.395077, 0.677281-0.470686
	near(t, "mean speed", e.MeanSpeedMS, 5, 0)
	near(t, "measured", e.MeasuredKWh, 8.76*(f1*50+f2*150+f3*250), 0.005)
	near(t, "extrapolated", e.ExtrapolatedKWh-e.MeasuredKWh, 8.76*(0.999997-0.677281)*300, 0.005)
	scatter := math.Pow(f1*3, 2) + math.Pow(f2*4, 2) + math.Pow(f3*6, 2)
	instruments := f1*5 + f2*7 + f3*9
	near(t, "uncertainty", e.UncertaintyKWh, 8.76*math.Sqrt(scatter+instruments*instruments), 0.0005)
	if e.Complete {
		t.Error("complete with half of it extrapolated")
	}
}

// Category B of a bin by hand: c = 100 W over 0.5 m/s = 200; 300 W·2 % = 6 W; 200·6·3 % = 36 W; 300 W·1 % = 3 W.
func TestCategoryBByHand(t *testing.T) {
	o := Options{SpeedUncertainty: 0.03, PowerUncertainty: 0.02, DensityUncertainty: 0.01}
	bins := []Bin{{SpeedMS: 5.5, PowerW: 200, N: 9}, {SpeedMS: 6, PowerW: 300, N: 9}}
	categoryB(bins, &o, 0)
	near(t, "stall", bins[1].UncertaintyBW, math.Sqrt(6*6+36*36+3*3), 1e-9)
	o.Regulation = yield.Pitch
	categoryB(bins, &o, 0.04) // shear: 3 and 4 % make 5 %
	near(t, "pitch, with shear", bins[1].UncertaintyBW, math.Sqrt(6*6+60*60+4*4), 1e-9)
	near(t, "lowest bin, by the one above", bins[0].UncertaintyBW, math.Sqrt(4*4+55*55+math.Pow(200*5.5*0.01/3, 2)), 1e-9)
}

// 20 m over 10 m with an exponent of 1/7 is 1.104 of the wind (2^(1/7), textbook).
func TestSensorBelowHub(t *testing.T) {
	o := small
	o.SensorHeightM, o.HubHeightM, o.ShearExponent = 10, 20, 1.0/7
	r := measured(t, even(20, [2]float64{6, 300}), o)
	near(t, "wind at the hub", r.Bins[0].SpeedMS, 6*1.104, 6*5e-4)
	if warned(r, "shear_assumed") || !warned(r, "sensor_not_at_hub") {
		t.Error(r.Warnings)
	}
	o.ShearExponent = 0
	if r := measured(t, even(20, [2]float64{6, 300}), o); !warned(r, "shear_assumed") {
		t.Error(r.Warnings)
	}
}

// Power three ways is one curve.
func TestPowerThreeWays(t *testing.T) {
	l := gusty(t)
	volts := l
	volts.PowerW, volts.VoltsV, volts.AmpsA = nil, make([]float64, len(l.Times)), scaled(l.PowerW, 1/24.0)
	for i := range volts.VoltsV {
		volts.VoltsV[i] = 24
	}
	a, b := measured(t, l, small), measured(t, volts, small)
	for i := range a.Bins {
		if d := a.Bins[i].PowerW - b.Bins[i].PowerW; math.Abs(d) > 1e-9 {
			t.Fatalf("bin %d: %g apart", i, d)
		}
	}
	if warned(a, "power_derived") || !warned(b, "power_derived") {
		t.Error("power from volts and amps is not told")
	}
	g := Generator{ConstantVsPerRad: 0.4, ResistanceOhm: 0.5, BatteryV: 12.6, DiodeDropV: 0.7}
	shaft := l
	shaft.PowerW, shaft.RPM = nil, make([]float64, len(l.Times))
	want := make([]float64, len(l.Times))
	for i, v := range l.SpeedMS {
		shaft.RPM[i] = 80 * v
		want[i] = g.PowerW(80*v, 12.6)
	}
	o := small
	o.Generator = g
	power := l
	power.PowerW = want
	if a, b := measured(t, power, small), measured(t, shaft, o); !slices.EqualFunc(a.Curve, b.Curve, func(x, y yield.Point) bool { return x == y }) {
		t.Error("the shaft's speed makes another curve")
	}
}

// Ten-second rows averaged to minutes are the minutes; a minute with a third of its rows missing is thin.
func TestAveraging(t *testing.T) {
	l := Log{StepS: 10}
	for i := range 60 * 6 {
		l.Times = append(l.Times, int64(1200+10*i))
		l.SpeedMS = append(l.SpeedMS, 8+math.Mod(float64(i), 6)/10) // mean 8.25
		l.PowerW = append(l.PowerW, 500+math.Mod(float64(i), 6)*20) // mean 550
	}
	r := measured(t, l, small)
	if r.Used != 60 || len(r.Bins) != 1 {
		t.Fatalf("%d periods in %d bins", r.Used, len(r.Bins))
	}
	near(t, "wind", r.Bins[0].SpeedMS, 8.25, 1e-9)
	near(t, "power at the reference density", r.Bins[0].PowerW, 550, 0.01)
	near(t, "scatter", r.Bins[0].SDW, 0, 1e-6)
	l.PowerW[7], l.PowerW[8] = math.NaN(), math.NaN()
	r = measured(t, l, small)
	if r.Used != 59 || !slices.Contains(r.Left, LeftOut{"thin", "periods less than nine tenths full", 1}) {
		t.Errorf("used %d, left %v", r.Used, r.Left)
	}
}

func TestSectors(t *testing.T) {
	l := even(4, [2]float64{6, 300})
	l.DirectionDeg = []float64{355, 5, 180, math.NaN()}
	o := small
	o.LeaveOut = [][2]float64{{350, 10}}
	r := measured(t, l, o)
	if r.Used != 1 || len(r.Left) != 2 || r.Left[0].Reason != "sector" || r.Left[0].N != 2 || r.Left[1].Reason != "no_direction" {
		t.Errorf("used %d, left %v", r.Used, r.Left)
	}
	for d, out := range map[float64]bool{350: true, 10: true, 0: true, 360: true, -5: true, 11: false, 349: false} {
		if o.leftOut(d) != out {
			t.Errorf("%g°: left out is %v", d, !out)
		}
	}
	// Within a period the mean direction of 350° and 20° is 5°, not 185°.
	near(t, "mean direction", bearing([]float64{350, 20, math.NaN()}, 0, 3), 5, 1e-9)
}

// What a small machine's test lacks is said plainly (from memory of the annex: minutes, 10 a bin, 60 h, 1 m/s below cut-in to
// 14 m/s).
func TestMissing(t *testing.T) {
	var pairs [][2]float64
	for v := 2.0; v <= 10; v += 0.5 {
		if v != 6 {
			pairs = append(pairs, [2]float64{v, plain().Power(v)})
		}
	}
	l := even(15, pairs...)
	r := measured(t, l, small)
	near(t, "cut-in", r.CutInMS, 3.5, 0)
	near(t, "from", r.FromMS, 2.5, 0)
	near(t, "to", r.ToMS, 14, 0)
	near(t, "hours", r.RangeHours, 15.0*15/60, 1e-9)
	all := strings.Join(r.Missing, "\n")
	for _, want := range []string{"the bin at 6.0 m/s holds nothing", "the bins from 10.5 to 14.0 m/s hold nothing", "3.8 of the 60 hours"} {
		if !strings.Contains(all, want) {
			t.Errorf("nothing of %q in\n%s", want, all)
		}
	}
	if r.Complete || len(r.Missing) != 3 {
		t.Errorf("complete: %v\n%s", r.Complete, all)
	}
	full := measured(t, weather(2, 200*60, plain(), 7, 50), small)
	if !full.Complete || len(full.Missing) != 0 || !full.AEP[0].Complete {
		t.Errorf("200 hours at 7 m/s are complete, but: %v", full.Missing)
	}
}

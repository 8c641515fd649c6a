package bins

import (
	"errors"
	"math"
	"slices"
	"testing"

	"mastworth/yield"

	"pgregory.net/rapid"
)

// Measure changes nothing it is given, and does not care when a log was taken.
func TestLogIsLeftAlone(t *testing.T) {
	l := gusty(t)
	power, speed := slices.Clone(l.PowerW), slices.Clone(l.SpeedMS)
	a := measured(t, l, small)
	if !slices.Equal(power, l.PowerW) || !slices.Equal(speed, l.SpeedMS) {
		t.Fatal("the log has changed")
	}
	for i := range l.Times {
		l.Times[i] -= 1_800_000_000 // before 1970
	}
	if b := measured(t, l, small); !slices.Equal(a.Curve, b.Curve) || a.ShiftFoundS != b.ShiftFoundS {
		t.Error("another time makes another curve")
	}
}

// A machine twice as wide that makes four times the power has the same coefficients; energies and uncertainties go with power.
func TestScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		by := rapid.Float64Range(0.5, 4).Draw(t, "times as wide")
		l := weather(rapid.Uint64Range(0, 1000).Draw(t, "seed"), 1500, plain(), 7, 40)
		o := Options{RotorDiameterM: 3.7, Regulation: rapid.SampledFrom([]yield.Regulation{yield.Furling, yield.Pitch}).Draw(t, "regulation")}
		a, err := Measure(l, o)
		if err != nil {
			t.Fatal(err)
		}
		l.PowerW = scaled(l.PowerW, by*by)
		o.RotorDiameterM *= by
		b, err := Measure(l, o)
		if err != nil {
			t.Fatal(err)
		}
		same := func(x, y float64) bool { return math.Abs(x-y) <= 1e-7*math.Abs(x)+1e-9 || x != x && y != y }
		for i, x := range a.Bins {
			y := b.Bins[i]
			if !same(x.Cp, y.Cp) || !same(x.PowerW*by*by, y.PowerW) || !same(x.UncertaintyW()*by*by, y.UncertaintyW()) || x.N != y.N {
				t.Fatalf("%+v and %+v", x, y)
			}
		}
		for i, x := range a.AEP {
			if y := b.AEP[i]; !same(x.MeasuredKWh*by*by, y.MeasuredKWh) || !same(x.UncertaintyKWh*by*by, y.UncertaintyKWh) || x.Complete != y.Complete {
				t.Fatalf("%+v and %+v", x, y)
			}
		}
	})
}

// The curve is one the rest of the project takes, and its energy is that of yield's own sum.
func TestCurveIsACurve(t *testing.T) {
	r := measured(t, gusty(t), small)
	curve, err := yield.NewCurve(r.Curve, r.ReferenceDensity)
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range r.AEP {
		near(t, "mean speed", e.MeanSpeedMS, float64(4+i), 0)
		near(t, "energy", e.MeasuredKWh, curve.BinSumAnnualKWh(e.MeanSpeedMS), 1e-9)
	}
	if len(r.AEP) != 8 {
		t.Errorf("%d mean speeds, want 4 to 11 m/s", len(r.AEP))
	}
}

// Whatever is in a log, Measure answers or says what is wrong, and loses no period: each is in a bin or counted out.
func TestAnyLog(t *testing.T) {
	odd := rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0, 1e300, 61, 400, 101325, 15, 0.5, 5, 8, 1000})
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "rows")
		step := rapid.SampledFrom([]int64{1, 7, 60, 600, 3600}).Draw(t, "step")
		column := func(name string) []float64 {
			if rapid.Bool().Draw(t, "no "+name) {
				return nil
			}
			return rapid.SliceOfN(odd, n, n).Draw(t, name)
		}
		l := Log{StepS: step, Times: make([]int64, n), SpeedMS: rapid.SliceOfN(odd, n, n).Draw(t, "speed"), PowerW: column("power"),
			VoltsV: column("volts"), AmpsA: column("amps"), RPM: column("rpm"), TemperatureC: column("temperature"), PressurePa: column("pressure"),
			HumidityShare: column("humidity"), DirectionDeg: column("direction")}
		at := rapid.Int64Range(-1e9, 1e9).Draw(t, "start")
		for i := range l.Times {
			l.Times[i] = at
			at += step * rapid.SampledFrom([]int64{1, 1, 1, 1, 2, 5000}).Draw(t, "steps")
		}
		o := Options{RotorDiameterM: 4, Regulation: yield.Regulation(rapid.IntRange(0, 3).Draw(t, "regulation")),
			Generator: Generator{ConstantVsPerRad: 0.4, ResistanceOhm: 0.5, BatteryV: 12}}
		if l.DirectionDeg != nil {
			o.LeaveOut = [][2]float64{{10, 20}}
		}
		r, err := Measure(l, o)
		if err != nil {
			var fault *Fault
			var shift *ShiftError
			if !errors.As(err, &fault) && !errors.As(err, &shift) {
				t.Fatal(err)
			}
			return
		}
		inBins := 0
		for _, b := range r.Bins {
			inBins += b.N
			if b.N > 0 && !(b.SpeedMS >= b.CentreMS-0.2500001 && b.SpeedMS <= b.CentreMS+0.2500001) {
				t.Fatalf("%+v", b)
			}
		}
		if inBins != r.Used || r.Used == 0 {
			t.Fatalf("%d in bins, %d used", inBins, r.Used)
		}
		rows := r.Used
		for _, x := range r.Left {
			rows += x.N
		}
		if step >= 60 && rows != n {
			t.Fatalf("%d rows of %d accounted for", rows, n)
		}
	})
}

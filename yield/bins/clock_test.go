package bins

import (
	"errors"
	"math"
	"testing"
)

// late is a log whose power column is stamped a number of steps later than its wind.
func late(l Log, steps int) Log {
	power := make([]float64, len(l.PowerW))
	for i := range power {
		power[i] = math.NaN()
		if k := i - steps; k >= 0 && k < len(power) {
			power[i] = l.PowerW[k]
		}
	}
	l.PowerW = power
	return l
}

func gusty(t testing.TB) Log { t.Helper(); return weather(7, 5*1440, plain(), 6, 60) }

// Clocks an hour apart either way, a quarter of an hour, eleven minutes, and a time zone away, are found to the minute and
// refused; moved back as the error says, the log makes the curve it would have made.
func TestClocksApart(t *testing.T) {
	o := Options{RotorDiameterM: 3.7}
	right := measured(t, gusty(t), o)
	if right.ShiftFoundS != 0 || right.ShiftCorrelation < 0.8 || warned(right, "clocks_apart") {
		t.Fatalf("a shift of %d s in a log without, correlation %.2f", right.ShiftFoundS, right.ShiftCorrelation)
	}
	for _, minutes := range []int{60, -60, 15, -15, 11, 127, 720, -720} {
		l := late(gusty(t), minutes)
		r, err := Measure(l, o)
		var shift *ShiftError
		if !errors.As(err, &shift) {
			t.Errorf("%d min: %v", minutes, err)
			continue
		}
		if shift.ShiftS != 60*int64(minutes) || r.ShiftFoundS != shift.ShiftS {
			t.Errorf("%d min: found %d s", minutes, shift.ShiftS)
		}
		moved := o
		moved.PowerShiftS = -shift.ShiftS
		mended := measured(t, l, moved)
		if mended.ShiftFoundS != 0 {
			t.Errorf("%d min: still %d s after mending", minutes, mended.ShiftFoundS)
		}
		for _, b := range mended.Bins {
			for _, want := range right.Bins {
				if b.CentreMS == want.CentreMS && b.N > 100 && math.Abs(b.PowerW-want.PowerW) > 4*math.Hypot(b.UncertaintyAW, want.UncertaintyAW) {
					t.Errorf("%d min, mended: %g W at %g m/s, want %g", minutes, b.PowerW, b.CentreMS, want.PowerW)
				}
			}
		}
	}
}

// A few minutes widen the bins, and are told; the curve is made.
func TestClocksAFewMinutesApart(t *testing.T) {
	r := measured(t, late(gusty(t), -3), Options{RotorDiameterM: 3.7})
	if r.ShiftFoundS != -180 || !warned(r, "clocks_apart") {
		t.Errorf("found %d s: %v", r.ShiftFoundS, r.Warnings)
	}
}

// Ten-minute logs show whole steps. Gaps of hours and of a month do not hide the shift.
func TestClocksOfTenMinutesWithGaps(t *testing.T) {
	l := weather(3, 30*1440, plain(), 6, 60)
	tens := Log{StepS: 600}
	for i := 0; i+10 <= len(l.Times); i += 10 {
		v, w := 0.0, 0.0
		for k := i; k < i+10; k++ {
			v, w = v+l.SpeedMS[k]/10, w+l.PowerW[k]/10
		}
		at := l.Times[i] - l.Times[i]%600
		if day := i / 1440; day == 4 || day == 11 {
			continue
		} else if day > 20 {
			at += 30 * 86400
		}
		tens.Times = append(tens.Times, at)
		tens.SpeedMS, tens.PowerW = append(tens.SpeedMS, v), append(tens.PowerW, w)
	}
	if r := measured(t, tens, Options{RotorDiameterM: 3.7, AveragingS: 600}); r.ShiftFoundS != 0 {
		t.Errorf("found %d s where there is none", r.ShiftFoundS)
	}
	for _, steps := range []int{6, -6} {
		_, err := Measure(late(tens, steps), Options{RotorDiameterM: 3.7, AveragingS: 600})
		var shift *ShiftError
		if !errors.As(err, &shift) || shift.ShiftS != int64(steps)*600 {
			t.Errorf("%d steps: %v", steps, err)
		}
	}
}

// A power that has nothing to do with the wind has no clock to find, nor has a log of an hour.
func TestNoClockToFind(t *testing.T) {
	l := gusty(t)
	l.PowerW = weather(8, len(l.Times), plain(), 6, 60).PowerW
	if r := measured(t, l, Options{RotorDiameterM: 3.7}); r.ShiftFoundS != 0 {
		t.Errorf("found %d s between strangers", r.ShiftFoundS)
	}
	if r := measured(t, weather(9, 60, plain(), 8, 60), Options{RotorDiameterM: 3.7}); r.ShiftFoundS != 0 || !math.IsNaN(r.ShiftCorrelation) {
		t.Errorf("found %d s in an hour", r.ShiftFoundS)
	}
}

// everySecond spreads a log of minutes over seconds, with a rotor that takes some of them to follow the wind.
func everySecond(l Log, inertiaS float64) Log {
	out := Log{StepS: 1}
	made := l.PowerW[0]
	for i := 0; i+1 < len(l.Times); i++ {
		for s := range 60 {
			share := float64(s) / 60
			out.Times = append(out.Times, l.Times[i]+int64(s))
			out.SpeedMS = append(out.SpeedMS, l.SpeedMS[i]+share*(l.SpeedMS[i+1]-l.SpeedMS[i]))
			made += (l.PowerW[i] + share*(l.PowerW[i+1]-l.PowerW[i]) - made) / inertiaS
			out.PowerW = append(out.PowerW, made)
		}
	}
	return out
}

// A log of seconds, averaged over one or two of them, shows its shift as well, and in a time that a log of minutes takes.
func TestClocksOfSeconds(t *testing.T) {
	l := everySecond(weather(7, 1440, plain(), 6, 20), 8)
	for _, averaging := range []int64{1, 2} {
		_, err := Measure(late(l, 15*60), Options{RotorDiameterM: 3.7, AveragingS: averaging})
		var shift *ShiftError
		if !errors.As(err, &shift) || math.Abs(float64(shift.ShiftS)-900) > 15 { // the rotor itself is some seconds late
			t.Errorf("averages of %d s: %v", averaging, err)
		}
	}
}

func BenchmarkSeconds(b *testing.B) {
	l := everySecond(weather(7, 3*1440, plain(), 6, 20), 8)
	for b.Loop() {
		if _, err := Measure(l, Options{RotorDiameterM: 3.7, AveragingS: 1}); err != nil {
			b.Fatal(err)
		}
	}
}

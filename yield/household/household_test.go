package household

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tol)
	}
}

// Four hours worked by hand. Battery 2 kWh, 1.5 kW, 80 % efficient, empty at the start.
//
//	hour  wind  solar  load   battery                                        used wind, solar      unmet  spilled
//	1     3     1      1      over 3, takes 1.5, gains 1.2 (0.9 wind)        0.75, 0.25            0      1.5
//	2     0     2      1      over 1, takes 1 = (2−1.2)/0.8, full: 0.9+1.1   0, 1                  0      0
//	3     0     0      2      gives 1.5: 0.675 wind, 0.825 solar; 0.5 left   0.675, 0.825          0.5    0
//	4     0.5   0      2      gives 0.5: 0.225 and 0.275                     0.725, 0.275          1      0
func TestFourHoursByHand(t *testing.T) {
	in := Input{
		WindW: []float64{3000, 0, 0, 500}, SolarW: []float64{1000, 2000, 0, 0}, LoadW: []float64{1000, 1000, 2000, 2000},
		Months: []uint8{0, 0, 0, 1},
	}
	r, err := Simulate(in, Battery{CapacityKWh: 2, PowerKW: 1.5, Efficiency: 0.8})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"load", r.LoadKWh, 6}, {"wind", r.WindKWh, 3.5}, {"solar", r.SolarKWh, 3},
		{"wind used", r.WindUsedKWh, 0.75 + 0.675 + 0.725}, {"solar used", r.SolarUsedKWh, 0.25 + 1 + 0.825 + 0.275},
		{"unmet", r.UnmetKWh, 1.5}, {"spilled", r.SpilledKWh, 1.5}, {"charged", r.ChargedKWh, 2.5},
		{"discharged", r.DischargedKWh, 2}, {"loss", r.LossKWh, 0.5}, {"cycles", r.Cycles, 1}, {"hours unmet", r.HoursUnmet, 2},
		{"unmet share", r.UnmetShare(), 0.25}, {"spilled share", r.SpilledShare(), 1.5 / 6.5},
		{"self-used share", r.SelfUsedShare(), 4.5 / 6.5}, {"left at the end", r.EndKWh, 0},
		{"unmet in January", r.Months[0].UnmetKWh, 0.5}, {"unmet in February", r.Months[1].UnmetKWh, 1},
		{"hours in January", r.Months[0].Hours, 3},
	} {
		near(t, c.what, c.got, c.want, 1e-12)
	}
	y := r.Yearly() // four hours are 1/2190 of a year
	near(t, "load of a year", y.LoadKWh, 6*2190, 1e-9)
	near(t, "hours of a year", y.Hours, 8760, 1e-9)
	near(t, "hours unmet of a year", y.HoursUnmet, 2*2190, 1e-9)
	near(t, "unmet share of a year", y.UnmetShare(), r.UnmetShare(), 1e-12)
	if len(r.Warnings) != 1 || r.Warnings[0].Code != "not_a_year" {
		t.Errorf("warnings %v, want not_a_year", r.Warnings)
	}
}

func drawInput(t *rapid.T) Input {
	n := rapid.IntRange(1, 60).Draw(t, "steps")
	row := func(name string) []float64 {
		return rapid.SliceOfN(rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0, 5000)), n, n).Draw(t, name)
	}
	return Input{WindW: row("wind"), SolarW: row("solar"), LoadW: row("load"),
		Months: rapid.SliceOfN(rapid.Uint8Range(0, 11), n, n).Draw(t, "months"), StepS: rapid.Int64Range(1, 3600).Draw(t, "step")}
}

func drawBattery(t *rapid.T) Battery {
	return Battery{CapacityKWh: rapid.Float64Range(0, 20).Draw(t, "capacity"), PowerKW: rapid.Float64Range(0.1, 5).Draw(t, "power"),
		Efficiency: rapid.Float64Range(0.5, 1).Draw(t, "efficiency"), StartShare: rapid.Float64Range(0, 1).Draw(t, "start")}
}

func simulate(t interface{ Fatal(...any) }, in Input, b Battery) Result {
	r, err := Simulate(in, b)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Conservation of energy, whatever the home: all that is made or was stored is used, spilled, lost or stored, and the load
// is met or not.
func TestEnergyBalanceCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in, b := drawInput(t), drawBattery(t)
		r := simulate(t, in, b)
		made := r.WindKWh + r.SolarKWh + r.StartKWh
		went := r.WindUsedKWh + r.SolarUsedKWh + r.StartUsedKWh + r.SpilledKWh + r.LossKWh + r.EndKWh
		load := r.UnmetKWh + r.WindUsedKWh + r.SolarUsedKWh + r.StartUsedKWh
		tol := 1e-9 * (1 + made + r.LoadKWh)
		if math.Abs(made-went) > tol || math.Abs(load-r.LoadKWh) > tol {
			t.Fatalf("made %g, went %g; load %g, accounted for %g", made, went, r.LoadKWh, load)
		}
		if stored := r.StartKWh + r.ChargedKWh - r.LossKWh - r.DischargedKWh; math.Abs(stored-r.EndKWh) > tol {
			t.Fatalf("battery ends with %g, its own account says %g", r.EndKWh, stored)
		}
		for _, v := range []float64{r.WindUsedKWh, r.SolarUsedKWh, r.UnmetKWh, r.SpilledKWh, r.LossKWh, r.WindKWh - r.WindUsedKWh,
			r.SolarKWh - r.SolarUsedKWh, b.CapacityKWh - r.EndKWh} {
			if v < -tol {
				t.Fatalf("a part below nothing: %+v", r.Flows)
			}
		}
	})
}

// Without a battery each step stands alone: what is missing is the sum of the steps' lacks.
func TestNoBatteryIsEachStepAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		r := simulate(t, in, Battery{})
		want := 0.0
		for i, l := range in.LoadW {
			want += math.Max(0, l-in.WindW[i]-in.SolarW[i]) * float64(in.StepS) / 3.6e6
		}
		if math.Abs(r.UnmetKWh-want) > 1e-9*(1+want) || r.ChargedKWh != 0 || r.Cycles != 0 {
			t.Fatalf("unmet %g, want %g; charged %g", r.UnmetKWh, want, r.ChargedKWh)
		}
	})
}

// A battery without bounds or loss: what is missing in all is the deepest that the running sum of making less load ever
// falls below what was there at the start (reflection at zero, as in Lindley's queue), and nothing is spilled.
func TestBoundlessBattery(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		b := Battery{CapacityKWh: 1e6, PowerKW: math.Inf(1), Efficiency: 1, StartShare: rapid.SampledFrom([]float64{0, 1e-6}).Draw(t, "start")}
		r := simulate(t, in, b)
		sum, deepest := 1e6*b.StartShare, 0.0
		for i, l := range in.LoadW {
			sum += (in.WindW[i] + in.SolarW[i] - l) * float64(in.StepS) / 3.6e6
			deepest = math.Min(deepest, sum)
		}
		if math.Abs(r.UnmetKWh+deepest) > 1e-9*(1+r.LoadKWh) || r.SpilledKWh > 1e-9*(1+r.WindKWh+r.SolarKWh) {
			t.Fatalf("unmet %g, want %g; spilled %g", r.UnmetKWh, -deepest, r.SpilledKWh)
		}
	})
}

// More battery, or a better one, never leaves more unmet; and in other units of time the shares are the same.
func TestMonotoneInBattery(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in, b := drawInput(t), drawBattery(t)
		r := simulate(t, in, b)
		more := b
		switch rapid.IntRange(0, 2).Draw(t, "what") {
		case 0:
			more.CapacityKWh *= 1 + rapid.Float64Range(0, 3).Draw(t, "more")
		case 1:
			more.Efficiency += (1 - b.Efficiency) * rapid.Float64Range(0, 1).Draw(t, "more")
		case 2:
			more.StartShare += (1 - b.StartShare) * rapid.Float64Range(0, 1).Draw(t, "more")
		}
		if m := simulate(t, in, more); m.UnmetKWh > r.UnmetKWh+1e-9*(1+r.LoadKWh) {
			t.Fatalf("unmet %g with %+v, %g with %+v", r.UnmetKWh, b, m.UnmetKWh, more)
		}
		half, small := in, b
		half.StepS = 1800
		in.StepS = 3600
		small.CapacityKWh /= 2
		x, y := simulate(t, in, b), simulate(t, half, small)
		if math.Abs(x.UnmetKWh-2*y.UnmetKWh) > 1e-9*(1+x.LoadKWh) {
			t.Fatalf("unmet %g in hours, %g in half hours", x.UnmetKWh, y.UnmetKWh)
		}
	})
}

func TestMissingStepsAreSaid(t *testing.T) {
	in := Input{WindW: []float64{1000, math.NaN(), 1000}, LoadW: []float64{500, 500, 500}, Months: []uint8{0, 0, 0}}
	r := simulate(t, in, Battery{})
	near(t, "load", r.LoadKWh, 1, 1e-12)
	near(t, "hours", r.Hours, 2, 0)
	if len(r.Warnings) != 2 || r.Warnings[0].Code != "steps_left_out" || !strings.HasPrefix(r.Warnings[0].Detail, "1 of 3 steps (33.3 %) is left out:") {
		t.Errorf("warnings %v", r.Warnings)
	}
}

func TestSimulateFaults(t *testing.T) {
	ok := func() (Input, Battery) {
		return Input{WindW: []float64{1}, SolarW: []float64{1}, LoadW: []float64{1}, Months: []uint8{0}},
			Battery{CapacityKWh: 1, PowerKW: 1, Efficiency: 1}
	}
	for field, change := range map[string]func(*Input, *Battery){
		"load_w":               func(in *Input, _ *Battery) { in.LoadW = nil },
		"load_w[0]":            func(in *Input, _ *Battery) { in.LoadW[0] = -1 },
		"wind_w":               func(in *Input, _ *Battery) { in.WindW = []float64{1, 2} },
		"wind_w[0]":            func(in *Input, _ *Battery) { in.WindW[0] = math.Inf(1) },
		"solar_w[0]":           func(in *Input, _ *Battery) { in.SolarW[0] = -0.1 },
		"months":               func(in *Input, _ *Battery) { in.Months = nil },
		"months[0]":            func(in *Input, _ *Battery) { in.Months[0] = 12 },
		"step_s":               func(in *Input, _ *Battery) { in.StepS = 7200 },
		"battery.capacity_kwh": func(_ *Input, b *Battery) { b.CapacityKWh = -1 },
		"battery.power_kw":     func(_ *Input, b *Battery) { b.PowerKW = 0 },
		"battery.efficiency":   func(_ *Input, b *Battery) { b.Efficiency = 90 },
		"battery.start_share":  func(_ *Input, b *Battery) { b.StartShare = math.NaN() },
	} {
		in, b := ok()
		change(&in, &b)
		_, err := Simulate(in, b)
		wantFault(t, field, err)
	}
}

func wantFault(t *testing.T, field string, err error) {
	t.Helper()
	var f *Fault
	if !errors.As(err, &f) || f.Field != field || f.Reason == "" {
		t.Errorf("%s: got %v", field, err)
	}
}

// year is a made-up year: gusty wind, a sun by day, the assumed home.
func year(tb testing.TB) Input {
	home, err := AssumedShape(50).Load(3500)
	if err != nil {
		tb.Fatal(err)
	}
	in := Input{WindW: make([]float64, hoursOfYear), SolarW: make([]float64, hoursOfYear), LoadW: home.W[:]}
	for i := range hoursOfYear {
		x := float64(i)
		season := math.Cos(2 * math.Pi * x / hoursOfYear)
		in.WindW[i] = math.Max(0, 250*(1+0.4*season)*(1+1.3*math.Sin(x/37)*math.Sin(x/11.3)))
		in.SolarW[i] = math.Max(0, 900*(1-0.5*season)*math.Cos(2*math.Pi*(x-12.5)/24))
	}
	return in
}

func BenchmarkSimulateYear(b *testing.B) {
	in := year(b)
	for b.Loop() {
		if _, err := Simulate(in, Battery{CapacityKWh: 8, PowerKW: 3, Efficiency: 0.9}); err != nil {
			b.Fatal(err)
		}
	}
}

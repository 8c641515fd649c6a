package drive

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"mastworth/resource"
	"mastworth/yield"
)

// breezy is a Rayleigh wind of 5 m/s: scale = mean/Γ(1.5).
func breezy(c *yield.Curve) float64 {
	return c.MeanPowerWeibull(resource.Weibull{Shape: 2, Scale: 5 / math.Gamma(1.5)})
}

func TestMatchTellsWhy(t *testing.T) {
	m := boards()
	m.Generator.RatedCurrentA = 0
	told := 0
	got, err := Match(m, Sweep{GearRatios: []float64{0.5, 3, 40}, AirDensityKgM3: 1.225}, breezy, func(done, total int) {
		if told++; done != told || total != 3 {
			t.Errorf("progress %d of %d, call %d", done, total, told)
		}
	})
	if err != nil || len(got) != 3 || told != 3 {
		t.Fatal(got, err)
	}
	for _, c := range got {
		l := c.Lost
		near(t, "the books", l.DeliveredW+l.FurledW+l.StarvedW+l.HeldSlowW+l.RunsFastW+l.FrictionW+l.ElectricalW, l.PossibleW, -1e-9)
		near(t, "the mean by weights", l.DeliveredW, c.MeanPowerW, 1e-9)
		near(t, "the year", c.AnnualKWh, c.MeanPowerW*8.76, -1e-12)
		t.Logf("%g: %.0f kWh, %s: %s", c.GeneratorPerRotor, c.AnnualKWh, c.Cause, c.Why)
	}
	if got[0].GeneratorPerRotor != 3 || got[0].AnnualKWh < got[1].AnnualKWh || got[1].AnnualKWh < got[2].AnnualKWh {
		t.Errorf("order: %v", got)
	}
	causes := map[float64]Cause{}
	for _, c := range got {
		causes[c.GeneratorPerRotor] = c.Cause
	}
	if causes[0.5] != Starved || causes[40] != HeldSlow {
		t.Errorf("causes %v", causes)
	}

	m.Gear.GeneratorPerRotor, m.Furling.StartMS = 3, 4
	if got, err = Match(m, Sweep{AirDensityKgM3: 1.225}, breezy, nil); err != nil || got[0].Cause != FurledEarly {
		t.Errorf("%+v %v", got, err)
	}
	// What the rotor at its best could take is the mean cube of the wind, 6/π of the cubed mean in a Rayleigh wind (textbook), here
	// to the top of the winds tried and straight between them.
	area := math.Pi * 1.2 * 1.2
	near(t, "possible", got[0].Lost.PossibleW, 0.22*0.5*1.225*area*6/math.Pi*125, -0.01)
}

// The order does not hang on which processor is done first.
func TestMatchIsDeterministic(t *testing.T) {
	s := Sweep{GearRatios: []float64{1, 2, 3, 4, 5}, TurnsRatios: []float64{0.5, 1, 2}, BatteryVoltsV: []float64{12.6, 25.2}, AirDensityKgM3: 1.225}
	a, err := Match(boards(), s, breezy, nil)
	if err != nil || len(a) != 30 {
		t.Fatal(len(a), err)
	}
	s.SingleThreaded = true
	b, err := Match(boards(), s, breezy, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range a {
		if math.IsNaN(a[i].CutInMS) && math.IsNaN(b[i].CutInMS) {
			a[i].CutInMS, b[i].CutInMS = 0, 0
		}
		if !reflect.DeepEqual(a[i], b[i]) {
			t.Errorf("%d: %+v\n%+v", i, a[i], b[i])
		}
		if strings.Contains(a[i].Why, "NaN") || strings.Contains(a[i].Why, "%!") {
			t.Error(a[i].Why)
		}
	}
	s.TurnsRatios, s.ConstantsVsPerRad = nil, []float64{0.2, 0.4, 0.8} // the same by another name
	c, err := Match(boards(), s, breezy, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range c {
		near(t, "by constants", c[i].AnnualKWh, a[i].AnnualKWh, 1e-9)
		if c[i].WithinRatingKWh > c[i].AnnualKWh {
			t.Errorf("%+v", c[i])
		}
	}
}

// A generator's rating counts: energy at more current than that does not make a combination the best.
func TestMatchHeedsTheRating(t *testing.T) {
	m := boards()
	m.Generator.RatedCurrentA = 1
	got, err := Match(m, Sweep{AirDensityKgM3: 1.225}, breezy, nil)
	if err != nil {
		t.Fatal(err)
	}
	if c := got[0]; !(c.WithinRatingKWh < 0.5*c.AnnualKWh) || !strings.Contains(c.Why, "rated") {
		t.Errorf("%+v", c)
	}
}

func TestMatchFaults(t *testing.T) {
	resistor := boards()
	resistor.Load = Resistor{Ohm: 2}
	for _, x := range []struct {
		m Machine
		s Sweep
	}{
		{resistor, Sweep{BatteryVoltsV: []float64{12}, AirDensityKgM3: 1.2}},
		{boards(), Sweep{GearRatios: []float64{1, -2}, AirDensityKgM3: 1.2}},
		{boards(), Sweep{TurnsRatios: []float64{0}, AirDensityKgM3: 1.2}},
		{boards(), Sweep{TurnsRatios: []float64{1}, ConstantsVsPerRad: []float64{0.4}, AirDensityKgM3: 1.2}},
		{boards(), Sweep{GearRatios: make([]float64, 10001), AirDensityKgM3: 1.2}},
		{Machine{}, Sweep{AirDensityKgM3: 1.2}},
	} {
		var f *Fault
		if _, err := Match(x.m, x.s, breezy, nil); !errors.As(err, &f) {
			t.Errorf("%+v: %v", x.s, err)
		}
	}
	if _, err := Match(boards(), Sweep{}, breezy, nil); err == nil {
		t.Error("no density is taken")
	}
}

func BenchmarkMatch200(b *testing.B) {
	s := Sweep{AirDensityKgM3: 1.225, BatteryVoltsV: []float64{12.6, 25.2}}
	for i := range 20 {
		s.GearRatios = append(s.GearRatios, 0.5*float64(i+1))
	}
	for i := range 5 {
		s.TurnsRatios = append(s.TurnsRatios, 0.5*float64(i+1))
	}
	for b.Loop() {
		if got, err := Match(boards(), s, breezy, nil); err != nil || len(got) != 200 {
			b.Fatal(err)
		}
	}
}

package bins

import (
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"mastworth/resource"
	"mastworth/resource/ingest"
)

// realWeek is a week of real minutes, wind, temperature, humidity and pressure of a surface station (US DOE ARM programme,
// public domain), with the power a reference curve makes of that wind in that air, and noise.
func realWeek(t testing.TB) Log {
	t.Helper()
	f, err := os.Open(shared(t, "data/arm_met/sgpmetE13_20190101-07_1min.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, _, err := ingest.Read(f, ingest.Options{})
	if err != nil {
		t.Fatal(err)
	}
	channel := func(q resource.Quantity) []float64 {
		i := s.Find(q, math.NaN())
		if i < 0 {
			t.Fatalf("no %s in the file", q)
		}
		return s.Channels[i].Values
	}
	l := Log{Times: s.Times, StepS: s.StepS, SpeedMS: channel(resource.Speed), TemperatureC: channel(resource.Temperature),
		PressurePa: channel(resource.Pressure), HumidityShare: channel(resource.Humidity), DirectionDeg: channel(resource.Direction)}
	curve := referenceCurve(t, "curve_DW20.csv")
	r := rand.New(rand.NewPCG(5, 5))
	l.PowerW = make([]float64, len(l.Times))
	for i, v := range l.SpeedMS {
		density := resource.AirDensity(l.TemperatureC[i], l.PressurePa[i], l.HumidityShare[i])
		l.PowerW[i] = curve.Power(v)*density/1.225 + 300*r.NormFloat64()
	}
	return l
}

// In real wind and real winter air, 5 to 15 % denser at times than the reference, the reference curve comes back.
func TestReferenceCurveInRealWind(t *testing.T) {
	l, curve := realWeek(t), referenceCurve(t, "curve_DW20.csv")
	r := measured(t, l, Options{RotorDiameterM: 12.4})
	if r.MeanDensity < 1.2 || r.MeanDensity > 1.32 || !r.Air.TemperatureMeasured || !r.Air.PressureMeasured || !r.Air.HumidityMeasured {
		t.Errorf("density %g of %+v", r.MeanDensity, r.Air)
	}
	checked := 0
	for _, b := range r.Bins {
		if !b.Complete || b.CentreMS < 4.5 || b.CentreMS > 12 {
			continue
		}
		checked++
		// The corner of the curve within the bin is worth up to 150 W; four standard uncertainties of scatter.
		near(t, "power, W", b.PowerW, curve.Power(b.SpeedMS), 150+4*300/math.Sqrt(float64(b.N)))
	}
	if checked < 10 {
		t.Errorf("only %d bins to check", checked)
	}
	if r.Complete || len(r.Missing) == 0 {
		t.Error("a calm week is no test of 60 hours up to 14 m/s", r.RangeHours)
	}
}

// An hour's shift is found in real wind too, and none where there is none.
func TestClocksInRealWind(t *testing.T) {
	o := Options{RotorDiameterM: 12.4}
	for _, minutes := range []int{0, 60, -60} {
		r, err := Measure(late(realWeek(t), minutes), o)
		var shift *ShiftError
		if errors.As(err, &shift) != (minutes != 0) || r.ShiftFoundS != 60*int64(minutes) {
			t.Errorf("%d min: %v, found %d s", minutes, err, r.ShiftFoundS)
		}
	}
}

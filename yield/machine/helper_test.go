package machine

import (
	"math"
	"slices"
	"testing"

	"mastworth/resource"
	"mastworth/yield"
	"mastworth/yield/drive"
	"mastworth/yield/rotor"
)

const seaLevel = 1.225

func near(t testing.TB, name string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.8g, want %.8g within %g", name, got, want, tolerance)
	}
}

func hasWarning(list []resource.Warning, code string) bool {
	return slices.ContainsFunc(list, func(w resource.Warning) bool { return w.Code == code })
}

// sixBoards is an invented machine: six boards 14 cm wide bent to a shallow arc, and a geared motor that charges 24 V.
func sixBoards(t testing.TB) Design {
	t.Helper()
	section, err := rotor.CurvedPlate(0.06)
	if err != nil {
		t.Fatal(err)
	}
	r := rotor.Board(2.2, 0.3, 6, 0.14, 0.14, 18)
	r.Section = section
	gear, _, err := drive.ParseGear("1:8")
	if err != nil {
		t.Fatal(err)
	}
	gear.DragNm = 0.2
	return Design{
		Rotor: r, Gear: gear,
		Generator: drive.Generator{ConstantVsPerRad: 0.34, ResistanceOhm: 0.6, IronTorqueNm: 0.06, EddyNmPerRadS: 0.0005, CoggingNm: 0.1,
			RatedCurrentA: 20},
		Load: drive.Battery{VoltsV: 26, DiodeDropV: 1.4, InternalOhm: 0.02},
		Wire: drive.Wire{LengthM: 20, AWG: "8", TemperatureC: 20},
	}
}

// rayleigh is the mean power in a Rayleigh wind, scale = mean/Γ(1.5).
func rayleigh(meanMS float64) func(*yield.Curve) float64 {
	return func(c *yield.Curve) float64 {
		return c.MeanPowerWeibull(resource.Weibull{Shape: 2, Scale: meanMS / math.Gamma(1.5)})
	}
}

func solve(t testing.TB, d Design) *Solved {
	t.Helper()
	s, err := Solve(d, seaLevel)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

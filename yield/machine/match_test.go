package machine

import (
	"errors"
	"math"
	"strings"
	"testing"

	"mastworth/yield"
	"mastworth/yield/drive"
)

func TestMatch(t *testing.T) {
	d := sixBoards(t)
	told := 0
	got, err := Match(d, drive.Sweep{GearRatios: []float64{1, 3, 5, 7, 20}}, rayleigh(5), func(done, total int) {
		if told++; done != told || total != 5 {
			t.Errorf("progress %d of %d, call %d", done, total, told)
		}
	})
	if err != nil || len(got) != 5 || told != 5 {
		t.Fatal(got, err)
	}
	causes := map[float64]drive.Cause{}
	for i, c := range got {
		t.Logf("%g: %.0f kWh, %s: %s", c.GeneratorPerRotor, c.AnnualKWh, c.Cause, c.Why)
		causes[c.GeneratorPerRotor] = c.Cause
		if i > 0 && c.WithinRatingKWh > got[i-1].WithinRatingKWh {
			t.Errorf("the order is not that of the energy")
		}
		// Solve takes each wind's own rotor and Match one for all.
		d.Gear.GeneratorPerRotor = c.GeneratorPerRotor
		own := yield.AnnualKWh(rayleigh(5)(solve(t, d).Result.Delivered))
		near(t, "energy by Solve and by Match", c.AnnualKWh, own, 0.02*own+0.1)
	}
	if causes[1] != drive.Starved || causes[20] != drive.HeldSlow {
		t.Errorf("causes %v", causes)
	}
}

// In a Rayleigh wind the mean weighted by the cube is Γ(3)/Γ(2.5) of the scale, 1.698 of the mean (textbook).
func TestEnergyWind(t *testing.T) {
	for _, mean := range []float64{4, 5, 6} {
		weights, err := drive.Weights(seaLevel, drive.DefaultWinds(), rayleigh(mean))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "energy wind", energyWind(drive.DefaultWinds(), weights), 2/math.Gamma(2.5)/math.Gamma(1.5)*mean, 0.005*mean)
	}
	if got := energyWind([]float64{3, 5}, []float64{0, 0}); got != StatedWindMS {
		t.Errorf("without wind %g", got)
	}
}

func TestMatchFaults(t *testing.T) {
	d := sixBoards(t)
	var f *Fault
	_, err := Match(d, drive.Sweep{GearRatios: []float64{4, 1e6}}, rayleigh(5), nil)
	if !errors.As(err, &f) || f.Field != "gear.ratio" || !strings.HasPrefix(err.Error(), "sweep, gear 1e+06") {
		t.Errorf("%v", err)
	}
	if _, err = Match(d, drive.Sweep{AirDensityKgM3: 1225}, rayleigh(5), nil); err == nil {
		t.Error("a density of 1225 kg/m³ is taken")
	}
	d.Generator.ResistanceOhm = -1
	if _, err = Match(d, drive.Sweep{}, rayleigh(5), nil); !errors.As(err, &f) || f.Field != "generator.resistance_ohm" {
		t.Errorf("%v", err)
	}
	defer func() {
		if recover() == nil {
			t.Error("no panic without a mean power")
		}
	}()
	_, _ = Match(d, drive.Sweep{}, nil, nil)
}

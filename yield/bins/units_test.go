package bins

import (
	"errors"
	"math"
	"strings"
	"testing"

	"mastworth/resource"
)

func TestUnits(t *testing.T) {
	for _, c := range []struct {
		name, field, words string
		change             func(*Log, *Options)
	}{
		{"kW labelled W", "power_w", "kW labelled W", func(l *Log, o *Options) { l.PowerW = scaled(l.PowerW, 1e-3) }},
		{"W labelled kW", "power_w", "W labelled kW. Divide the power by 1000, which makes it 0.", func(l *Log, o *Options) { l.PowerW = scaled(l.PowerW, 1000) }},
		{"sign reversed", "power_w", "sign is reversed", func(l *Log, o *Options) { l.PowerW = scaled(l.PowerW, -1) }},
		{"more than Betz", "power_w", "Betz", func(l *Log, o *Options) { o.RotorDiameterM = 2.0 }},
		{"radius for diameter", "power_w", "Betz", func(l *Log, o *Options) { o.RotorDiameterM /= 2 }},
		{"hPa", "pressure_pa", "hPa", func(l *Log, o *Options) { l.PressurePa = scaled(l.PressurePa, 0.01) }},
		{"kPa", "pressure_pa", "kPa", func(l *Log, o *Options) { l.PressurePa = scaled(l.PressurePa, 0.001) }},
		{"kelvin", "temperature_c", "kelvin", func(l *Log, o *Options) { l.TemperatureC = scaled(l.TemperatureC, 288.15/15) }},
		{"per cent", "humidity_share", "per cent", func(l *Log, o *Options) { l.HumidityShare = scaled(l.TemperatureC, 4) }},
	} {
		l, o := gusty(t), small
		c.change(&l, &o)
		_, err := Measure(l, o)
		var fault *Fault
		if !errors.As(err, &fault) || fault.Field != c.field || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	l := gusty(t)
	l.SpeedMS = scaled(l.SpeedMS, 2.23694)
	if r := measured(t, l, small); !warned(r, "coefficient_low") {
		t.Errorf("wind in mph: %.3f, %v", r.PeakCp, r.Warnings)
	}
}

// The reference machines themselves pass as they are, but not with their power in kW.
func TestUnitsOfReferenceCurves(t *testing.T) {
	for file, diameter := range map[string]float64{"curve_DW20.csv": 12.4, "curve_DW100.csv": 27.6} {
		l := weather(4, 3000, referenceCurve(t, file), 7, 0)
		if _, err := Measure(l, Options{RotorDiameterM: diameter}); err != nil {
			t.Errorf("%s: %v", file, err)
		}
		l.PowerW = scaled(l.PowerW, 1e-3)
		var fault *Fault
		if _, err := Measure(l, Options{RotorDiameterM: diameter}); !errors.As(err, &fault) || fault.Field != "power_w" {
			t.Errorf("%s in kW: %v", file, err)
		}
	}
}

func TestAirNotMeasured(t *testing.T) {
	l := even(20, [2]float64{6, 300}, [2]float64{7, 450})
	o := small
	o.ElevationM = 1600
	r := measured(t, l, o)
	// 1.0476 kg/m³ at 1600 m: U.S. Standard Atmosphere 1976, table I.
	near(t, "density", r.MeanDensity, 1.0476, 1e-4*1.0476)
	near(t, "power", r.Bins[0].PowerW, 300*1.225/1.0476, 0.05)
	if !warned(r, "air_assumed") || warned(r, "elevation_unknown") {
		t.Error(r.Warnings)
	}
	o.ElevationM = math.NaN()
	if r := measured(t, l, o); !warned(r, "elevation_unknown") {
		t.Error(r.Warnings)
	}
	l.TemperatureC = make([]float64, len(l.Times))
	for i := range l.TemperatureC {
		l.TemperatureC[i] = 30
	}
	l.TemperatureC[3] = math.NaN()
	o.ElevationM = 0
	r = measured(t, l, o)
	near(t, "hot day", r.MeanDensity, resource.AirDensity(30, 101325, math.NaN()), 1e-9)
	if !warned(r, "pressure_assumed") || warned(r, "temperature_gaps") {
		t.Error(r.Warnings)
	}
}

func TestPressureReducedToSeaLevel(t *testing.T) {
	l, o := gusty(t), small
	o.ElevationM = 800
	if r := measured(t, l, o); !warned(r, "pressure_reduced") {
		t.Error(r.Warnings)
	}
	o.ElevationM = math.NaN()
	if r := measured(t, l, o); warned(r, "pressure_reduced") || warned(r, "elevation_unknown") {
		t.Error(r.Warnings)
	}
}

func TestStandingStill(t *testing.T) {
	l := gusty(t)
	blown := 0
	for i := range 1000 {
		if l.PowerW[2000+i] = 0; l.SpeedMS[2000+i] > 7 {
			blown++
		}
	}
	if r := measured(t, l, small); !warned(r, "standing_still") {
		t.Errorf("%d min at 0 W in good wind, cut-in %g m/s: %v", blown, r.CutInMS, r.Warnings)
	}
	if r := measured(t, gusty(t), small); warned(r, "standing_still") || warned(r, "draws_power") {
		t.Error(r.Warnings)
	}
	none := even(20, [2]float64{3, -5}, [2]float64{8, -5})
	r := measured(t, none, small)
	if !math.IsNaN(r.CutInMS) || r.Complete || len(r.Missing) != 1 {
		t.Errorf("a machine that never starts: %+v", r)
	}
}

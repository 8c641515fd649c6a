package bins

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestFaultsOfLogAndOptions(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		field  string
		row    int
		change func(*Log, *Options)
	}{
		{"times", -1, func(l *Log, o *Options) { *l = Log{StepS: 60} }},
		{"times", 5, func(l *Log, o *Options) { l.Times[5] = l.Times[4] }},
		{"times", 1, func(l *Log, o *Options) { l.StepS = 180 }},
		{"step_s", -1, func(l *Log, o *Options) { l.StepS = 0 }},
		{"step_s", -1, func(l *Log, o *Options) { l.StepS = 86400 }},
		{"speed_ms", -1, func(l *Log, o *Options) { l.SpeedMS = nil }},
		{"power_w", -1, func(l *Log, o *Options) { l.PowerW = l.PowerW[1:] }},
		{"power_w", -1, func(l *Log, o *Options) { l.PowerW = nil }},
		{"power_w", -1, func(l *Log, o *Options) { l.PowerW, l.VoltsV = nil, l.PowerW }},
		{"generator", -1, func(l *Log, o *Options) { l.PowerW, l.RPM = nil, l.PowerW }},
		{"generator", -1, func(l *Log, o *Options) { l.PowerW, l.RPM, o.Generator.ConstantVsPerRad = nil, l.PowerW, 0.4 }},
		{"generator", -1, func(l *Log, o *Options) {
			o.Generator = Generator{ConstantVsPerRad: 0.4, ResistanceOhm: 1, BatteryV: 24}
		}},
		{"generator", -1, func(l *Log, o *Options) {
			l.PowerW, l.VoltsV, l.AmpsA = nil, l.PowerW, l.PowerW
			o.Generator = Generator{ConstantVsPerRad: 0.4, ResistanceOhm: 1, LoadOhm: 3}
		}},
		{"generator", -1, func(l *Log, o *Options) {
			l.PowerW, l.RPM = nil, l.PowerW
			o.Generator = Generator{ConstantVsPerRad: 0.4, ResistanceOhm: 1, BatteryV: 24, LoadOhm: 3}
		}},
		{"times", -1, func(l *Log, o *Options) { l.SpeedMS = scaled(l.SpeedMS, nan) }},
		{"rotor_diameter_m", -1, func(l *Log, o *Options) { o.RotorDiameterM = 0 }},
		{"rotor_diameter_m", -1, func(l *Log, o *Options) { o.RotorDiameterM = nan }},
		{"regulation", -1, func(l *Log, o *Options) { o.Regulation = 9 }},
		{"averaging_s", -1, func(l *Log, o *Options) { o.AveragingS = 90 }},
		{"averaging_s", -1, func(l *Log, o *Options) { o.AveragingS = 10 }},
		{"leave_out", -1, func(l *Log, o *Options) { o.LeaveOut = [][2]float64{{10, 20}} }},
		{"leave_out", -1, func(l *Log, o *Options) { l.DirectionDeg, o.LeaveOut = l.SpeedMS, [][2]float64{{10, nan}} }},
		{"hub_height_m", -1, func(l *Log, o *Options) { o.HubHeightM = -3 }},
		{"sensor_height_m", -1, func(l *Log, o *Options) { o.SensorHeightM = nan }},
		{"shear_exponent", -1, func(l *Log, o *Options) { o.ShearExponent = 3 }},
		{"reference_density", -1, func(l *Log, o *Options) { o.ReferenceDensity = 1225 }},
		{"elevation_m", -1, func(l *Log, o *Options) { o.ElevationM = 9000 }},
		{"cut_out_ms", -1, func(l *Log, o *Options) { o.CutOutMS = nan }},
		{"power_shift_s", -1, func(l *Log, o *Options) { o.PowerShiftS = 90 }},
		{"speed_uncertainty", -1, func(l *Log, o *Options) { o.SpeedUncertainty = 3 }},
	} {
		l, o := gusty(t), small
		c.change(&l, &o)
		_, err := Measure(l, o)
		var fault *Fault
		if !errors.As(err, &fault) || fault.Field != c.field || fault.Row != c.row || !strings.HasPrefix(err.Error(), "power test, ") {
			t.Errorf("%s: %v", c.field, err)
		}
	}
}

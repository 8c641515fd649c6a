package bins

import (
	"fmt"
	"math"
	"strings"

	"mastworth/yield"
)

// Options says how a log was taken and what is wanted of it. RotorDiameterM must be given; a field left at zero takes the
// value its comment names.
type Options struct {
	RotorDiameterM   float64          // of the swept circle, m; for another shape the circle of the same area
	Regulation       yield.Regulation // pitch normalises the speed to the reference density, all others the power
	AveragingS       int64            // period of the averages, s; 0: 60, or the log's step where that is longer
	LeaveOut         [][2]float64     // direction sectors not to use, from and to in degrees clockwise, both within [0, 360]; 350 to 10 goes over north
	SensorHeightM    float64          // of the wind sensor above ground, m; 0: at the hub
	HubHeightM       float64          // m; 0: that of the sensor
	ShearExponent    float64          // of the power law between the two; 0 or NaN: 0.2, with a warning
	ReferenceDensity float64          // kg/m³; 0: 1.225
	ElevationM       float64          // of the machine above sea level, m, for standard air where none was measured; NaN: 0, with a warning
	CutOutMS         float64          // up to where the extrapolated energy reaches, m/s; 0: 25
	PowerShiftS      int64            // seconds by which the power's stamps are moved before anything else, a multiple of the step
	Generator        Generator        // power from the shaft's speed, where neither power nor current was recorded

	// Standard uncertainties of category B, each as a share: 0.03 is 3 %. For a part that is to count nothing give a tiny number.
	SpeedUncertainty   float64 // of the wind sensor and how it is mounted; 0: 0.03
	PowerUncertainty   float64 // of the power meter; 0: 0.02
	DensityUncertainty float64 // of the air's density; 0: 0.005 where it was measured, 0.01 with standard pressure, 0.03 with standard air
}

// Rules that the options fall back on and bounds they keep. The rules are from memory of IEC 61400-12-1; the uncertainties
// are judgement.
const (
	defaultAveragingS  = 60
	standardAveragingS = 600
	defaultShear       = 0.2 // the normal wind profile of IEC 61400-1
	defaultCutOutMS    = 25
	defaultDensity     = 1.225
	defaultSpeedShare  = 0.03
	defaultPowerShare  = 0.02
	shearUncertainty   = 0.05 // of a given exponent
	assumedUncertainty = 0.1  // of an assumed one
	maxDiameterM       = 200
	maxHeightM         = 300
	maxSpeedMS         = 60
	longestStepS       = 3600
	secondsPerDay      = 86400
)

// The elevations that Options.ElevationM may have, m.
const (
	LowestElevationM  = -430
	HighestElevationM = 6000
)

// fill gives the options left at zero their values and checks all of them. The density's uncertainty waits for the air.
func (o *Options) fill(l *Log) error {
	for _, d := range []struct {
		value *float64
		to    float64
	}{
		{&o.ReferenceDensity, defaultDensity}, {&o.CutOutMS, defaultCutOutMS}, {&o.SpeedUncertainty, defaultSpeedShare},
		{&o.PowerUncertainty, defaultPowerShare},
	} {
		if *d.value == 0 {
			*d.value = d.to
		}
	}
	if o.AveragingS == 0 {
		// A step that does not go into a minute is averaged over the next whole number of steps.
		o.AveragingS = (defaultAveragingS + l.StepS - 1) / l.StepS * l.StepS
	}
	if err := o.checkNumbers(); err != nil {
		return err
	}
	switch {
	case o.Regulation > yield.Unregulated:
		return &Fault{"regulation", -1, "must be furling, stall, pitch or none"}
	case o.AveragingS < l.StepS || o.AveragingS%l.StepS != 0 || o.AveragingS > longestStepS:
		return &Fault{"averaging_s", -1, fmt.Sprintf("the averaging period of %d s must be a whole number of the log's steps of %d s, and at "+
			"most %d s", o.AveragingS, l.StepS, longestStepS)}
	case o.PowerShiftS%l.StepS != 0 || o.PowerShiftS < -secondsPerDay || o.PowerShiftS > secondsPerDay:
		return &Fault{"power_shift_s", -1, fmt.Sprintf("the power can be moved by a whole number of the log's steps of %d s, at most a day, "+
			"not by %d s", l.StepS, o.PowerShiftS)}
	}
	for _, s := range o.LeaveOut {
		if !(s[0] >= 0 && s[0] <= 360 && s[1] >= 0 && s[1] <= 360) {
			return &Fault{"leave_out", -1, fmt.Sprintf("a sector runs from one direction to another, both from 0 to 360 degrees, not from %g to "+
				"%g", s[0], s[1])}
		}
	}
	if len(o.LeaveOut) > 0 && l.DirectionDeg == nil {
		return &Fault{"leave_out", -1, "sectors are to be left out, but the log holds no wind direction; add it or leave out no sector"}
	}
	return nil
}

// checkNumbers holds each number to its range.
func (o *Options) checkNumbers() error {
	if !(o.RotorDiameterM > 0 && o.RotorDiameterM <= maxDiameterM) {
		return &Fault{"rotor_diameter_m", -1, fmt.Sprintf("the rotor's diameter must be above 0 and up to %d m, not %g; without it no power "+
			"coefficient can be told and a wrong unit goes unseen", maxDiameterM, o.RotorDiameterM)}
	}
	for _, n := range []struct {
		field           string
		value, from, to float64
		words           string
		mayBeUnknown    bool
	}{
		{"sensor_height_m", o.SensorHeightM, 0, maxHeightM, "m", false},
		{"hub_height_m", o.HubHeightM, 0, maxHeightM, "m", false},
		{"shear_exponent", o.ShearExponent, -0.5, 1, "", true},
		{"reference_density", o.ReferenceDensity, 0.5, 1.6, "kg/m³", false},
		{"elevation_m", o.ElevationM, LowestElevationM, HighestElevationM, "m", true},
		{"cut_out_ms", o.CutOutMS, 5, maxSpeedMS, "m/s", false},
		{"speed_uncertainty", o.SpeedUncertainty, 0, 0.5, "as a share: 3 % is 0.03", false},
		{"power_uncertainty", o.PowerUncertainty, 0, 0.5, "as a share: 3 % is 0.03", false},
		{"density_uncertainty", o.DensityUncertainty, 0, 0.5, "as a share: 3 % is 0.03", false},
	} {
		if !(n.value >= n.from && n.value <= n.to) && !(n.mayBeUnknown && math.IsNaN(n.value)) {
			return &Fault{n.field, -1, strings.TrimSpace(fmt.Sprintf("must be from %g to %g, not %g %s", n.from, n.to, n.value, n.words))}
		}
	}
	return nil
}

// lift is the factor from the sensor's height to the hub's, its relative standard uncertainty, and whether the exponent is
// assumed.
func (o *Options) lift() (factor, uncertainty float64, assumed bool) {
	sensor, hub := o.SensorHeightM, o.HubHeightM
	if sensor == 0 || hub == 0 || sensor == hub {
		return 1, 0, false
	}
	exponent, doubt := o.ShearExponent, shearUncertainty
	if assumed = exponent == 0 || math.IsNaN(exponent); assumed {
		exponent, doubt = defaultShear, assumedUncertainty
	}
	ratio := math.Log(hub / sensor)
	return math.Exp(exponent * ratio), doubt * math.Abs(ratio), assumed
}

// leftOut reports whether a direction in degrees lies in a sector that is left out.
func (o *Options) leftOut(direction float64) bool {
	d := math.Mod(direction, 360)
	if d < 0 {
		d += 360
	}
	for _, s := range o.LeaveOut {
		from, to := s[0], s[1]
		if from <= to && d >= from && d <= to || from > to && (d >= from || d <= to) || to == 360 && d == 0 {
			return true
		}
	}
	return false
}

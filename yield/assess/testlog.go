package assess

import (
	"errors"
	"fmt"
	"strings"

	"mastworth/resource"
	"mastworth/yield/bins"
)

func measured(r *Request, sited bool) (*Machine, []Warning, error) {
	const at = "turbine.test_log"
	t := &r.Turbine
	o := t.TestLog.Options
	o.RotorDiameterM, o.Regulation = t.RotorDiameterM, t.Regulation
	whose := r.logElevation(&o, sited)
	log, err := LogOf(t.TestLog.Record, &o)
	if err != nil {
		return nil, nil, err
	}
	result, err := bins.Measure(log, o)
	if err != nil {
		var fault *bins.Fault
		if errors.As(err, &fault) {
			return nil, nil, invalid(testLogPlace(fault.Field), "%s", fault.Reason)
		}
		return nil, nil, invalid(at, "%s", err)
	}
	m := &Machine{Measured: &result, OverRatingShare: nan}
	m.sources = append(m.sources, Provenance{at, fmt.Sprintf("method of bins, %d s averages, density normalised%s", result.AveragingS,
		airWords(&result, &o, whose)), "IEC 61400-12-1, its annex for small machines (from memory)"})
	warnings := result.Warnings
	t.CurvePoints, t.CurveDensity = result.Curve, result.ReferenceDensity
	switch {
	case len(t.CurvePoints) < 2:
		t.CurvePoints = result.Sketch
		warnings = append(warnings, Warning{Code: SketchCode, Detail: fmt.Sprintf("the log is too short for a curve that deserves the "+
			"name: what it holds so far, %.1f hours, is used as a sketch; go on measuring", result.TotalHours)})
		m.Weak = sketchWeak(fmt.Sprintf(", %.1f hours", result.TotalHours))
	case !result.Complete:
		warnings = append(warnings, Warning{Code: "curve_incomplete", Detail: "the log is not complete by the rules of the method: " +
			someOf(result.Missing) + "; go on measuring"})
	}
	if len(t.CurvePoints) < 2 {
		return nil, nil, invalid(at, "the log holds too little for even a sketch of a curve: %s", someOf(result.Missing))
	}
	m.Curve = t.CurvePoints
	return m, warnings, nil
}

// someOf is the first of some sentences and how many more there are.
func someOf(list []string) string {
	const told = 3
	if len(list) <= told {
		return strings.Join(list, "; ")
	}
	return fmt.Sprintf("%s; and %d more", strings.Join(list[:told], "; "), len(list)-told)
}

// logElevation settles at which elevation a log was taken, for the density of its air: the options' own, else that of the log's
// place, else the site's, for a machine is mostly measured where it is to stand. It says whose it is.
func (r *Request) logElevation(o *bins.Options, sited bool) (whose string) {
	log := recordElevation(r.Turbine.TestLog.Record)
	switch {
	case o.ElevationM == o.ElevationM:
		return "test_log.elevation_m"
	case log >= bins.LowestElevationM && log <= bins.HighestElevationM:
		o.ElevationM = log
		return "the log's own place"
	}
	if e := r.elevation(); sited && e >= bins.LowestElevationM && e <= bins.HighestElevationM {
		o.ElevationM = e
		return "the site, for want of the log's"
	}
	return ""
}

// airWords say which elevation stands for what was not measured of the air.
func airWords(m *bins.Result, o *bins.Options, whose string) string {
	if whose == "" || m.Air.TemperatureMeasured && m.Air.PressureMeasured {
		return ""
	}
	return fmt.Sprintf(", what was not measured of the air by the standard atmosphere at %.0f m, the elevation of %s", o.ElevationM, whose)
}

// testLogPlace is where a field of the log's options is in a request; those of the log itself are the record's.
func testLogPlace(field string) string {
	const at = "turbine.test_log"
	switch field {
	case "rotor_diameter_m", "regulation":
		return "turbine." + field
	case "averaging_s", "leave_out", "sensor_height_m", "hub_height_m", "shear_exponent", "elevation_m", "power_shift_s", "speed_uncertainty",
		"power_uncertainty", "generator":
		return at + "." + field
	case "cut_out_ms":
		return at + ".cut_out_m_s"
	}
	return at + ".record"
}

// LogOf takes a machine's log from a record: its wind nearest the hub, and its power, or volts and amps, or turns. The sensor's
// height is the record's where the options do not say.
func LogOf(rec *Record, o *bins.Options) (bins.Log, error) {
	s := rec.Series
	speed := s.Find(resource.Speed, nanIfZero(o.HubHeightM))
	if speed < 0 {
		return bins.Log{}, invalid("turbine.test_log.record", "the log %q has no wind speed", rec.Ref)
	}
	h := s.Channels[speed].HeightM
	if h != h {
		h = rec.HeightM
	}
	if o.SensorHeightM == 0 && h > 0 {
		o.SensorHeightM = h
	}
	of := func(q resource.Quantity) []float64 {
		i := s.Find(q, h)
		if i < 0 {
			return nil
		}
		return usableValues(&s.Channels[i])
	}
	return bins.Log{
		Times: s.Times, StepS: s.StepS, SpeedMS: usableValues(&s.Channels[speed]), PowerW: of(resource.Power), VoltsV: of(resource.Voltage),
		AmpsA: of(resource.Current), RPM: of(resource.ShaftSpeed), TemperatureC: of(resource.Temperature), PressurePa: of(resource.Pressure),
		HumidityShare: of(resource.Humidity), DirectionDeg: of(resource.Direction),
	}, nil
}

func nanIfZero(v float64) float64 {
	if v == 0 {
		return nan
	}
	return v
}

// usableValues are a channel's values with those that are flagged missing.
func usableValues(c *resource.Channel) []float64 {
	if c.Flags == nil {
		return c.Values
	}
	out := make([]float64, len(c.Values))
	for i, v := range c.Values {
		out[i] = v
		if c.Flags[i] != 0 {
			out[i] = nan
		}
	}
	return out
}

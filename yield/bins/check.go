package bins

import "fmt"

// check looks at the shape of the log: what Measure relies on. Values are looked at as they are used.
func (l *Log) check() error {
	n := len(l.Times)
	if n == 0 {
		return &Fault{"times", -1, "the log has no rows"}
	}
	if l.StepS <= 0 || l.StepS > longestStepS {
		return &Fault{"step_s", -1, fmt.Sprintf("the log's step must be from 1 to %d s, not %d; averages over more than an hour make no "+
			"power curve, since power does not follow the mean wind", longestStepS, l.StepS)}
	}
	if l.SpeedMS == nil {
		return &Fault{"speed_ms", -1, "the log holds no wind speed"}
	}
	for _, c := range []struct {
		field  string
		values []float64
	}{
		{"speed_ms", l.SpeedMS}, {"power_w", l.PowerW}, {"volts_v", l.VoltsV}, {"amps_a", l.AmpsA}, {"rpm", l.RPM},
		{"temperature_c", l.TemperatureC}, {"pressure_pa", l.PressurePa}, {"humidity_share", l.HumidityShare},
		{"direction_deg", l.DirectionDeg},
	} {
		if c.values != nil && len(c.values) != n {
			return &Fault{c.field, -1, fmt.Sprintf("holds %d values for %d stamps", len(c.values), n)}
		}
	}
	for i := 1; i < n; i++ {
		// A logger's clock may jitter, but not by half a step.
		if d := l.Times[i] - l.Times[i-1]; d <= 0 || 2*d < l.StepS {
			return &Fault{"times", i, fmt.Sprintf("begins %d s after the row before, within that row's step of %d s; put the rows in the "+
				"order of time, each once, and give the step as the log has it", d, l.StepS)}
		}
	}
	return nil
}

package resource

import "fmt"

// limits says what a quantity can physically be, both ends included.
var limits = map[Quantity]struct {
	low, high float64
	unit      string
}{
	Speed:             {0, 75, "m/s"}, // above any mean over minutes at the heights of small masts
	SpeedSD:           {0, 30, "m/s"},
	Gust:              {0, 120, "m/s"}, // the highest gust ever measured is 113 m/s (WMO; from memory)
	Direction:         {0, 360, "°"},
	Temperature:       {-90, 60, "°C"},       // the extremes ever measured are −89.2 and 56.7 °C (WMO; from memory)
	Pressure:          {45000, 110000, "Pa"}, // 6300 m above the sea; the highest at sea level is 108 480 Pa (from memory)
	Humidity:          {0, 1.05, ""},         // sensors overshoot a little in fog
	GlobalHorizontal:  {-20, 1800, "W/m²"},   // sensors read a little below zero at night; clouds can add to the sun
	DirectNormal:      {-20, 1500, "W/m²"},
	DiffuseHorizontal: {-20, 1200, "W/m²"},
}

// findRange reports values outside their quantity's limits, also infinite ones; neighbours make one stretch.
func findRange(s *Series, channel int, report reporter) {
	c := &s.Channels[channel]
	limit, ok := limits[c.Quantity]
	if !ok {
		return
	}
	for i := 0; i < len(c.Values); i++ {
		if !(c.Values[i] < limit.low || c.Values[i] > limit.high) {
			continue
		}
		from, worst, away := i, 0.0, -1.0
		for ; i < len(c.Values) && (c.Values[i] < limit.low || c.Values[i] > limit.high); i++ {
			if a := max(limit.low-c.Values[i], c.Values[i]-limit.high); a > away {
				worst, away = c.Values[i], a
			}
		}
		report(from, i-1, fmt.Sprintf("%.6g%s is outside %g to %g%s", worst, spaced(limit.unit), limit.low, limit.high, spaced(limit.unit)))
	}
}

// spaced puts a space before a unit that wants one.
func spaced(unit string) string {
	if unit == "" || unit == "°" {
		return unit
	}
	return " " + unit
}

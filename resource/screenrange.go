package resource

import "fmt"

// rangeLimits says what each quantity can physically be: two limits a quantity, lower and upper, in the order of the
// quantities. What is tuned here may not leave what any instrument could mean.
var rangeLimits = []Limit{
	{"range.speed_min_m_s", 0, "m/s", -10, 10, "lowest mean speed of a step"},
	{"range.speed_max_m_s", 75, "m/s", 1, 150, "highest mean speed of a step: above any mean over minutes at the heights of small masts"},
	{"range.speed_sd_min_m_s", 0, "m/s", -1, 10, "lowest standard deviation of speed within a step"},
	{"range.speed_sd_max_m_s", 30, "m/s", 0.1, 100, "highest standard deviation of speed within a step"},
	{"range.gust_min_m_s", 0, "m/s", -10, 10, "lowest gust"},
	// The highest gust ever measured is 113 m/s (WMO; from memory).
	{"range.gust_max_m_s", 120, "m/s", 1, 200, "highest gust: a little above the highest ever measured"},
	{"range.direction_min_deg", 0, "°", -360, 359, "lowest direction"},
	{"range.direction_max_deg", 360, "°", 1, 720, "highest direction"},
	// The extremes ever measured are −89.2 and 56.7 °C (WMO; from memory).
	{"range.temperature_min_c", -90, "°C", -150, 50, "lowest temperature"},
	{"range.temperature_max_c", 60, "°C", -50, 150, "highest temperature"},
	// 6300 m above the sea; the highest at sea level is 108 480 Pa (from memory).
	{"range.pressure_min_pa", 45000, "Pa", 0, 105000, "lowest station pressure: that of 6300 m above the sea"},
	{"range.pressure_max_pa", 110000, "Pa", 20000, 200000, "highest station pressure"},
	{"range.humidity_min", 0, "", -0.1, 0.9, "lowest relative humidity"},
	{"range.humidity_max", 1.05, "", 0.1, 2, "highest relative humidity: sensors overshoot a little in fog"},
	// Sensors read a little below zero at night; clouds can add to the sun.
	{"range.global_horizontal_min_w_m2", -20, "W/m²", -200, 500, "lowest global irradiance: sensors read a little below zero at night"},
	{"range.global_horizontal_max_w_m2", 1800, "W/m²", 100, 5000, "highest global irradiance: clouds can add to the sun"},
	{"range.direct_normal_min_w_m2", -20, "W/m²", -200, 500, "lowest direct irradiance"},
	{"range.direct_normal_max_w_m2", 1500, "W/m²", 100, 5000, "highest direct irradiance"},
	{"range.diffuse_horizontal_min_w_m2", -20, "W/m²", -200, 500, "lowest diffuse irradiance"},
	{"range.diffuse_horizontal_max_w_m2", 1200, "W/m²", 100, 5000, "highest diffuse irradiance"},
}

// findRange flags values outside their quantity's limits, also infinite ones; neighbours make one stretch.
func findRange(x *screening, channel int) {
	c := &x.s.Channels[channel]
	place := 2 * (int(c.Quantity) - 1)
	if place < 0 || place+1 >= len(x.limits) {
		return
	}
	low, high, unit := x.limits[place], x.limits[place+1], rangeLimits[place].Unit
	if all := x.spanOf(channel); all.low >= low && all.high <= high {
		return
	}
	for i := 0; i < len(c.Values); i++ {
		if !(c.Values[i] < low || c.Values[i] > high) {
			continue
		}
		from, worst, away := i, 0.0, -1.0
		for ; i < len(c.Values) && (c.Values[i] < low || c.Values[i] > high); i++ {
			if a := max(low-c.Values[i], c.Values[i]-high); a > away {
				worst, away = c.Values[i], a
			}
		}
		x.stretch(channel, from, i-1, fmt.Sprintf("%.6g%s is outside %g to %g%s", worst, spaced(unit), low, high, spaced(unit)))
	}
}

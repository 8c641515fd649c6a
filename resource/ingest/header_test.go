package ingest

import (
	"fmt"
	"math"
	"testing"
)

// TestDescribe holds column names, as loggers, archives and people write them, against what they mean.
func TestDescribe(t *testing.T) {
	for name, want := range map[string]string{
		"ws_40m":                         "speed@40",
		"Wind speed 10 m (km/h)":         "speed@10 km/h",
		"speed@30":                       "speed@30",
		"WS10M":                          "speed@10",
		"ws80_mps":                       "speed@80? m/s",
		"wd80_deg":                       "direction@80? degrees",
		"ws_1":                           "speed",
		"Wind Speed, m/s (S/N: 12345)":   "speed m/s",
		"Anemometer 30 ft Avg [mph]":     "speed@9.144 mph",
		"WindSpd_ms":                     "speed m/s",
		"WS_18m_3s_Gust (m/s)":           "gust@18 m/s",
		"Max wind speed 10 min (kn)":     "gust knots",
		"Wind speed 10 min mean m s-1":   "speed m/s",
		"ws_sd_12.5m":                    "speed_sd@12.5",
		"Windgeschwindigkeit 10m (km/h)": "speed@10 km/h",
		"Vitesse du vent (m/s)":          "speed m/s",
		"wind_speed_10m (km/h)":          "speed@10 km/h",
		"wind_gusts_10m (km/h)":          "gust@10 km/h",
		"wspd_vec_mps":                   "speed m/s vector",
		"anemo_hz":                       "(pulses)",
		"Wind speed (Hi) (mph)":          "gust mph",
		"Wind Speed, m/s (LGR S/N: 1, SEN S/N: 2, LBL: 30m)": "speed@30 m/s",
		"sknt":                            "speed knots",
		"Ch 1 [m/s]":                      "speed m/s",
		"v [m/s]":                         "speed m/s",
		"v":                               "",
		"wdir_vec_std_deg":                "",
		"Wind Direction":                  "direction",
		"Gust direction (deg)":            "",
		"Wind chill (°C)":                 "",
		"Wind speed min (m/s)":            "",
		"TI_40m (%)":                      "",
		"Wind speed (%)":                  "",
		"Temperature 2 m (°C)":            "temperature@2 °C",
		"T2M":                             "temperature@2",
		"tmpf":                            "temperature °F",
		"Dry-bulb (C)":                    "temperature °C",
		"Dew point (C)":                   "",
		"Battery temp (C)":                "",
		"press_kpa":                       "pressure kPa",
		"Baro (inHg)":                     "pressure inHg",
		"surface_pressure (hPa)":          "pressure hPa",
		"mslp":                            "",
		"Sea level pressure (hPa)":        "",
		"relative_humidity_2m (%)":        "humidity@2 %",
		"RH":                              "humidity",
		"GHI (W/m²)":                      "global_horizontal W/m²",
		"shortwave_radiation (W/m²)":      "global_horizontal W/m²",
		"direct_normal_irradiance (W/m²)": "direct_normal W/m²",
		"direct_radiation (W/m²)":         "",
		"diffuse_radiation (W/m²)":        "diffuse_horizontal W/m²",
		"Solar (MJ/m²)":                   "",
		"Pulses 12 m":                     "(pulses)@12",
		"sample count":                    "",
		"time_mst":                        "(time) UTC-07:00",
		"valid(UTC)":                      "(time) UTC+00:00",
		"Date/Time (GMT-05:00)":           "(time) UTC-05:00",
		"Period end":                      "",
		"Time end":                        "(time) end",
		"DOY":                             "(day_of_year)",
		"Hour":                            "(hour)",
		"time of max gust":                "",
		"n_minutes":                       "",
		"origin":                          "",
	} {
		c := describe(name, "")
		got := ""
		if c.measured() {
			got = c.quantity.String()
		} else if c.role != "" {
			got = "(" + c.role + ")"
		}
		if got != "" && !math.IsNaN(c.heightM) {
			got += fmt.Sprintf("@%g", c.heightM)
			if c.bare {
				got += "?"
			}
		}
		if c.measured() && c.unit != nil {
			got += " " + c.unit.name
		}
		if c.vector {
			got += " vector"
		}
		if c.zone != nil {
			got += " " + offsetWords(*c.zone)
		}
		if c.role != "" && c.ends != "" {
			got += " " + string(c.ends)
		}
		if got != want {
			t.Errorf("%q means %q, want %q (%s)", name, got, want, c.how)
		}
	}
}

// TestUnits holds conversions against their definitions (knot 1852 m/h, mile 1609.344 m, foot 0.3048 m, 0 °C = 273.15 K =
// 32 °F) and against NIST SP 811 for the inch of mercury (from memory).
func TestUnits(t *testing.T) {
	for _, tc := range []struct {
		unit      string
		raw, want float64
	}{
		{"m/s", 7, 7}, {"km/h", 36, 10}, {"mph", 1, 1609.344 / 3600}, {"knots", 1, 1852.0 / 3600}, {"ft/s", 10, 3.048},
		{"°F", 212, 100}, {"°F", 32, 0}, {"K", 273.15, 0}, {"hPa", 1013.25, 101325}, {"kPa", 101.325, 101325}, {"mbar", 1, 100}, {"bar", 1, 1e5},
		{"inHg", 1, 3386.389}, {"mmHg", 1, 133.3224}, {"%", 65, 0.65}, {"rad", math.Pi, 180}, {"kW/m²", 1, 1000},
	} {
		u, ok := unitNamed(tc.unit)
		if !ok {
			t.Errorf("%q is unknown", tc.unit)
			continue
		}
		near(t, tc.unit, u.convert(tc.raw), tc.want, 1e-12*(1+tc.want))
	}
}

package ingest

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// openMeteoCSVText says what data/open_meteo/historical_weather.json says, in the service's other form.
const openMeteoCSVText = "latitude,longitude,elevation,utc_offset_seconds,timezone,timezone_abbreviation\n" +
	"52.26713,6.820702,29.0,7200,Europe/Amsterdam,GMT+2\n\n" +
	"time,temperature_2m (°C),wind_speed_10m (km/h),soil_moisture_index_0_to_7cm (fraction)\n" +
	"1953-01-31T00:00,5.8,23.2,0.935\n1953-01-31T01:00,5.5,23.7,0.935\n1953-01-31T02:00,5.1,24.8,0.935\n"

func TestOpenMeteoCSV(t *testing.T) {
	want, _ := readFile(t, shared(t, "data", "open_meteo", "historical_weather.json"), Options{})
	daily := "\ntime,wind_gusts_10m_max (km/h),precipitation_sum (mm)\n1953-01-31,89.6,11.9\n"
	for name, text := range map[string]string{"plain": openMeteoCSVText, "with days": openMeteoCSVText + daily,
		"CRLF": strings.ReplaceAll(openMeteoCSVText, "\n", "\r\n")} {
		s, rep, err := Read(strings.NewReader(text), Options{})
		if err != nil {
			t.Fatalf("%s: %v %+v", name, err, rep)
		}
		checkSeries(t, s)
		if fmt.Sprint(s.Times, s.UTCOffsetS, *s.Place) != fmt.Sprint(want.Times, want.UTCOffsetS, *want.Place) || rep.ProblemCount != 0 {
			t.Errorf("%s: %v at %v, problems %v", name, s.Times, s.Place, rep.ProblemCounts)
		}
		for i := range want.Channels {
			if a, b := show(&s.Channels[i]), show(&want.Channels[i]); a != b {
				t.Errorf("%s: %s, want %s", name, a, b)
			}
		}
		if second := strings.Contains(strings.Join(rep.Assumptions, "\n"), "second table"); second != (name == "with days") {
			t.Errorf("%s: %v", name, rep.Assumptions)
		}
	}
	irradiance := strings.NewReplacer("soil_moisture_index_0_to_7cm (fraction)", "shortwave_radiation (W/m²)", "0.935\n1953-01-31T02", "100\n1953-01-31T02").
		Replace(openMeteoCSVText)
	s, _, err := Read(strings.NewReader(irradiance), Options{})
	if err != nil || show(&s.Channels[2]) != "global_horizontal: 100 0.935 -" {
		t.Errorf("irradiance: %v %s", err, show(&s.Channels[2]))
	}
	seconds := strings.NewReplacer("1953-01-31T00:00", "1700000000", "1953-01-31T01:00", "1700003600", "1953-01-31T02:00", "1700007200").Replace(openMeteoCSVText)
	if s, _, err = Read(strings.NewReader(seconds), Options{}); err != nil || s.Times[0] != 1_700_000_000 || s.UTCOffsetS != 7200 {
		t.Errorf("Unix seconds: %v", err)
	}
	for name, text := range map[string]string{
		"several places": strings.Replace(openMeteoCSVText, "GMT+2\n", "GMT+2\n1,2,3,0,UTC,UTC\n", 1),
		"no place":       strings.Replace(openMeteoCSVText, "52.26713", "north", 1),
		"no offset":      strings.Replace(openMeteoCSVText, "7200", "720000", 1),
		"no table":       openMeteoCSVText[:strings.Index(openMeteoCSVText, "time,")],
		"no wind":        strings.NewReplacer("temperature_2m (°C)", "a", "wind_speed_10m (km/h)", "b").Replace(openMeteoCSVText),
	} {
		var re *ReadError
		if _, _, err := Read(strings.NewReader(text), Options{}); !errors.As(err, &re) || re.Remedy == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

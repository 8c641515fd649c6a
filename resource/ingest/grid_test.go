package ingest

import (
	"strings"
	"testing"

	"mastworth/resource"
)

// TestPowerVariants reads the answers of NASA POWER: header spellings, mixed line ends, UTC and local solar time, days.
func TestPowerVariants(t *testing.T) {
	t.Run("daily UTC", func(t *testing.T) {
		s, rep := readFile(t, shared(t, "data", "nasa_power", "daily_sb_point_UTC.csv"), Options{})
		if got := show(speedOf(t, s)); got != "speed@10: 1.93" || s.Place.Point.Lat() != -89.5 || s.Place.ElevationM != 2885.03 {
			t.Errorf("%s at %v", got, s.Place)
		}
		if s.UTCOffsetS != -12*3600 || clockText(s.Times[0]) != "1983-01-01 00:00" || s.Kind != resource.Daily || rep.ProblemCount != 0 {
			t.Errorf("offset %d, first %s", s.UTCOffsetS, clockText(s.Times[0]))
		}
	})
	t.Run("day of the year and pressure", func(t *testing.T) {
		s, _ := readFile(t, shared(t, "data", "nasa_power", "adjusted_air_pressure.csv"), Options{})
		if got := show(channelOf(t, s, resource.Pressure)); got != "pressure: 69230" {
			t.Error(got)
		}
		if got := show(channelOf(t, s, resource.Temperature)); got != "temperature@2: -24.36" {
			t.Error(got)
		}
	})
	t.Run("ten years of hours in solar time", func(t *testing.T) {
		s, _ := readFile(t, shared(t, "data", "nasa_power", "POWER_Point_Hourly_20150801_20250801_024d3415N_120d0E_LST_WS50M_WS10M.csv"), Options{})
		if s.Len() != 87696 || s.UTCOffsetS != 8*3600 || clockText(s.Times[0]) != "2015-07-31 16:00" {
			t.Errorf("%d hours, offset %d, first %s", s.Len(), s.UTCOffsetS, clockText(s.Times[0]))
		}
		// reference/weibull_fits.csv, row "nasa_power:WS10M all rows 2015-08..2025-08".
		near(t, "mean at 10 m", summarise(s.Channels[1].Values).mean, 7.958483283, 1e-8)
	})
	t.Run("energy units", func(t *testing.T) {
		text := "-BEGIN HEADER-\nNASA/POWER Source Native Resolution Daily Data\nDates (month/day/year): 01/01/2001 through 01/02/2001 in LST\n" +
			"ALLSKY_SFC_SW_DWN     All Sky Surface Shortwave Downward Irradiance (kW-hr/m^2/day)\n-END HEADER-\nYEAR,MO,DY,ALLSKY_SFC_SW_DWN\n2001,1,1,2.4\n2001,1,2,-999\n"
		s, rep, err := Read(strings.NewReader(text), Options{})
		if err != nil || show(&s.Channels[0]) != "global_horizontal: 100 -" || s.Kind != resource.Daily {
			t.Fatalf("%v %+v", err, rep)
		}
	})
}

func TestOpenMeteo(t *testing.T) {
	s, _ := readFile(t, shared(t, "data", "open_meteo", "historical_weather.json"), Options{})
	if got := show(&s.Channels[0]) + ";" + show(&s.Channels[1]); got != "temperature@2: 5.8 5.5 5.1;speed@10: 6.44444 6.58333 6.88889" {
		t.Error(got)
	}
	if clockText(s.Times[0]) != "1953-01-30 22:00" || s.UTCOffsetS != 7200 || s.Place.ElevationM != 29 || !strings.Contains(s.Attribution, "CC BY 4.0") {
		t.Errorf("first %s, offset %d, %v", clockText(s.Times[0]), s.UTCOffsetS, s.Place)
	}
	s, _ = readFile(t, shared(t, "data", "open_meteo", "satellite_radiation.json"), Options{})
	if got := show(&s.Channels[0]); len(s.Channels) != 1 || got != "global_horizontal: 531.5 521.2 -" {
		t.Errorf("%d channels, %s", len(s.Channels), got)
	}
}

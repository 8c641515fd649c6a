package resource

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// TestScreenNoShadow: what looks like a shadow and is none is left alone.
func TestScreenNoShadow(t *testing.T) {
	dip := func(s *Series, i int, width float64) float64 {
		if math.Abs(math.Remainder(s.Channels[3].Values[i]-200, 360)) > width/2 {
			return 1
		}
		return 0.8
	}
	for name, plant := range map[string]func(s *Series, i int) float64{
		"too wide":        func(s *Series, i int) float64 { return dip(s, i, 120) },
		"too shallow":     func(s *Series, i int) float64 { return 1 - 0.1*(1-dip(s, i, 40)) },
		"only one season": func(s *Series, i int) float64 { return max(dip(s, i, 40), math.Floor(2*float64(i)/52560)) },
		"a calibration":   func(*Series, int) float64 { return 0.8 },
	} {
		s := mast(600, 365)
		for i := range s.Times {
			s.Channels[1].Values[i] *= plant(s, i)
		}
		for _, f := range Screen(s) {
			if f.Rule == "mast_shadow" {
				t.Errorf("%s: %+v", name, f)
			}
		}
	}
	s := mast(600, 365)
	s.Channels[1].HeightM = 30 // another height: the profile turns with the ground
	for i := range s.Times {
		s.Channels[1].Values[i] *= dip(s, i, 40)
	}
	if found := Screen(s); len(found) != 0 {
		t.Errorf("%s", listed(found))
	}
}

// TestScreenShadowDepth: the depth that is planted is the depth that is told, and values are flagged by direction alone.
func TestScreenShadowDepth(t *testing.T) {
	for _, depth := range []float64{0.08, 0.2, 0.5} {
		s := mast(600, 365)
		inside := 0
		for i, d := range s.Channels[3].Values {
			if off := math.Remainder(d-200, 360); off >= -15 && off < 15 { // three sectors: 185° to 215°
				s.Channels[0].Values[i] *= 1 - depth
				inside++
			}
		}
		found := Screen(s)
		if len(found) != 1 || found[0].Rule != "mast_shadow" || found[0].Index != 0 || found[0].Count != inside {
			t.Fatalf("%g: %d values inside, %s", depth, inside, listed(found))
		}
		var from, to, told float64
		if _, rest, ok := strings.Cut(found[0].Detail, "from "); ok {
			if n, err := fmt.Sscanf(rest, "%f° to %f° it reads up to %f %% less", &from, &to, &told); n != 3 {
				t.Fatalf("%s: %v", found[0].Detail, err)
			}
		}
		if from != 185 || to != 215 {
			t.Errorf("from %g to %g", from, to)
		}
		near(t, "depth", told/100, depth, 0.011)
	}
}

// TestScreenDrift: a season in the profile is no drift, and a slope beyond it is found with its size.
func TestScreenDrift(t *testing.T) {
	const year = 365.25 * secondsPerDay
	pair := func(days int, lower float64, change func(years float64) float64) []Finding {
		s := mast(3600, days)
		s.Channels = s.Channels[:2]
		s.Channels[1].HeightM = lower
		for i := range s.Times {
			years := float64(s.Times[i]-s.Times[0]) / year
			season := 1.0
			if lower < 40 {
				season = 0.85 + 0.05*math.Cos(2*math.Pi*years)
			}
			s.Channels[1].Values[i] *= season * change(years)
		}
		return Screen(s)
	}
	none := func(float64) float64 { return 1 }
	worn := func(years float64) float64 { return 1 - 0.03*years }
	for _, c := range []struct {
		name   string
		days   int
		lower  float64
		change func(float64) float64
		says   string
	}{
		{"a season", 365, 20, none, ""},
		{"a season, three years", 1096, 20, none, ""},
		{"one height", 1096, 39, none, ""},
		{"too short", 120, 40, worn, ""},
		{"a season and wear, one year", 365, 20, worn, ""},
		{"wear at one height", 365, 40, worn, "beside \"speed_"},
		{"a season and wear, three years", 1096, 20, worn, "beside \"speed_"},
	} {
		found := pair(c.days, c.lower, c.change)
		if c.says == "" {
			if len(found) != 0 {
				t.Errorf("%s: %s", c.name, listed(found))
			}
			continue
		}
		if len(found) != 1 || found[0].Rule != "sensor_drift" || found[0].Action != ActionReported || !strings.Contains(found[0].Detail, c.says) {
			t.Errorf("%s: %s", c.name, listed(found))
			continue
		}
		_, rest, _ := strings.Cut(found[0].Detail, "\": ")
		var percent float64
		if n, err := fmt.Sscanf(rest, "%f", &percent); n != 1 {
			t.Fatalf("%s: %v", rest, err)
		}
		near(t, c.name, math.Abs(percent), 3.1, 0.15) // of −ln(1 − 0.03·t)/t over the record: 3.05 to 3.15 %
	}
}

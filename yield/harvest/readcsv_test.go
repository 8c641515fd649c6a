package harvest

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"
)

func unix(text string) int64 {
	t, err := time.Parse("2006-01-02 15:04", text)
	if err != nil {
		panic(err)
	}
	return t.Unix()
}

func TestReadCSV(t *testing.T) {
	for name, c := range map[string]struct {
		text   string
		offset int64
		want   []Reading
		codes  []string
	}{
		"counter with offsets": {"time,meter_kwh\n2025-03-30T01:30:00+01:00,5\n2025-03-30T03:30:00+02:00,6.5\n", 3600,
			[]Reading{{0, unix("2025-03-30 00:30"), true, 5}, {0, unix("2025-03-30 01:30"), true, 6.5}}, nil},
		"counter by a local clock": {"time,meter_kwh\n2025-01-01 12:00,5\n", 3600, []Reading{{0, unix("2025-01-01 11:00"), true, 5}}, nil},
		"semicolons, commas, days": {"\ufeffDate;Meter (kWh)\n31.01.2025;1.204,3\n1.2.2025;1205\n", 0,
			[]Reading{{0, unix("2025-01-31 12:00"), true, 1204.3}, {0, unix("2025-02-01 12:00"), true, 1205}}, []string{"time_assumed"}},
		"months": {"month,energy_kwh\n2025-01,62\n2025-02,56\n", 0,
			[]Reading{{unix("2025-01-01 00:00"), unix("2025-02-01 00:00"), false, 62}, {unix("2025-02-01 00:00"), unix("2025-03-01 00:00"), false, 56}}, nil},
		"days of Wh, one missing": {"day\tWh\n2025-01-01\t1500\n2025-01-02\t500\n2025-01-04\t0\n", 0, []Reading{
			{unix("2025-01-01 00:00"), unix("2025-01-02 00:00"), false, 1.5}, {unix("2025-01-02 00:00"), unix("2025-01-03 00:00"), false, 0.5},
			{unix("2025-01-04 00:00"), unix("2025-01-05 00:00"), false, 0}}, []string{"time_assumed"}},
		"weeks": {"date,kwh\n2025-01-07,10\n2025-01-14,20\n2025-01-21,20\n", 0, []Reading{{0, unix("2025-01-08 00:00"), false, 10}, {0, unix("2025-01-15 00:00"), false, 20},
			{0, unix("2025-01-22 00:00"), false, 20}}, []string{"time_assumed"}},
		"from and to": {"from,to,production MWh\n2025-01-01,2025-01-31,0.062\n", 0, []Reading{{unix("2025-01-01 00:00"), unix("2025-02-01 00:00"), false, 62}}, nil},
		"the latest first": {"time,energy_kwh\n2025-01-01 03:00,3\n2025-01-01 02:00,2\n2025-01-01 01:00,1\n", 0, []Reading{{0, unix("2025-01-01 01:00"), false, 1},
			{0, unix("2025-01-01 02:00"), false, 2}, {0, unix("2025-01-01 03:00"), false, 3}}, nil},
		// Summer time ended on Sunday 26 October 2025; 2 h comes twice.
		"clock put back, counter": {"time,meter_kwh\n2025-10-26 01:00,1\n2025-10-26 02:00,2\n2025-10-26 02:00,3\n2025-10-26 03:00,4\n", 0, []Reading{
			{0, unix("2025-10-26 01:00"), true, 1}, {0, unix("2025-10-26 02:00"), true, 2}, {0, unix("2025-10-26 03:00"), true, 4}}, []string{"clock_put_back"}},
		"clock put back, energies": {"time,energy_kwh\n2025-10-26 01:00,1\n2025-10-26 02:00,2\n2025-10-26 02:00,3\n2025-10-26 03:00,4\n", 0, []Reading{
			{0, unix("2025-10-26 01:00"), false, 1}, {0, unix("2025-10-26 02:00"), false, 5}, {0, unix("2025-10-26 03:00"), false, 4}}, []string{"clock_put_back"}},
		"the same twice on a weekday": {"time,meter_kwh\n2025-10-28 02:00,2\n2025-10-28 02:00,3\n", 0, []Reading{{0, unix("2025-10-28 02:00"), true, 2},
			{0, unix("2025-10-28 02:00"), true, 3}}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			got, warnings, err := ReadCSV([]byte(c.text), c.offset)
			if err != nil {
				t.Fatal(err)
			}
			for i := range got {
				got[i].KWh = float64(int64(got[i].KWh*1e6+0.5)) / 1e6
			}
			if !reflect.DeepEqual(got, c.want) {
				t.Errorf("got %+v\nwant %+v", got, c.want)
			}
			if !reflect.DeepEqual(codes(warnings), c.codes) {
				t.Errorf("got %+v\nwant %q", warnings, c.codes)
			}
		})
	}
}

func TestReadCSVFaults(t *testing.T) {
	for name, c := range map[string]struct {
		text  string
		line  int
		words string
	}{
		"empty":             {"", 0, "empty"},
		"heading alone":     {"time,meter_kwh\n", 0, "no readings"},
		"no heading":        {"2025-01-01,5\n", 1, "call it time"},
		"no energy":         {"time,wind\n2025-01-01,5\n", 1, "call it meter_kwh"},
		"two energies":      {"time,meter_kwh,energy_kwh\n", 1, "leave one in"},
		"no time":           {"time,meter_kwh\n2025-01-01,5\nyesterday,6\n", 3, "is no time"},
		"American":          {"time,meter_kwh\n01/02/2025,5\n", 2, "is no time"},
		"a bad month":       {"time,meter_kwh\n2025-13-01,5\n", 2, "is no time"},
		"1969":              {"time,meter_kwh\n1969-01-01,5\n", 2, "is no time"},
		"negative":          {"time,meter_kwh\n2025-01-01,-5\n", 2, "from 0"},
		"no number":         {"time,meter_kwh\n2025-01-01,NaN\n", 2, "from 0"},
		"endless":           {"time,meter_kwh\n2025-01-01,Inf\n", 2, "from 0"},
		"a row too short":   {"time,meter_kwh\n2025-01-01\n", 2, "missing in this row"},
		"begins at its end": {"from,to,kwh\n2025-02-01,2025-01-01,5\n", 2, "before the time"},
		"German names":      {"Datum;Zaehler kWh\n01/31/2024;5\n", 1, `no column of times among "Datum", "Zaehler kWh"; call it time, as in this table of two lines: “time,meter_kwh”`},
		"many names":        {strings.Repeat("a,", 500) + "b\n", 1, `"a", …; call it`},
		"a picture":         {"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", 0, "this is no table of text"},
		"a quote":           {"time,meter_kwh\n\"2025-01-01,5\n", 2, "quote"},
	} {
		_, _, err := ReadCSV([]byte(c.text), 0)
		var faults Faults
		if !errors.As(err, &faults) || faults[0].Line != c.line || !strings.Contains(faults.Error(), c.words) {
			t.Errorf("%s: %v", name, err)
		}
	}
	_, _, err := ReadCSV([]byte("time,meter_kwh\n"+strings.Repeat("x,y\n", 1000)), 0)
	if faults := (Faults)(nil); !errors.As(err, &faults) || len(faults) > mostFaults+1 {
		t.Errorf("%d faults are told", len(faults))
	}
	if _, _, err := ReadCSV([]byte("time,meter_kwh\n"+strings.Repeat("2025-01-01,5\n", MostReadings+1)), 0); err == nil || !strings.Contains(err.Error(), "in parts") {
		t.Errorf("%v", err)
	}
}

func FuzzReadCSV(f *testing.F) {
	f.Add("time,meter_kwh\n2025-01-01,5\n2025-02-01,6\n", int64(3600))
	f.Add("from;to;kWh\n01.01.2025;31.01.2025;6,5\n", int64(0))
	f.Fuzz(func(t *testing.T, text string, offset int64) {
		readings, _, err := ReadCSV([]byte(text), offset%50400)
		if err != nil {
			return
		}
		for _, r := range readings {
			if !(r.KWh >= 0) || r.FromUnix != 0 && r.FromUnix >= r.AtUnix {
				t.Fatalf("%q gave %+v", text, r)
			}
		}
		intervals, _ := Intervals(readings, 0)
		for i, v := range intervals {
			if v.ToUnix <= v.FromUnix || i > 0 && v.FromUnix < intervals[i-1].ToUnix || !(v.KWh >= 0) {
				t.Fatalf("%q gave %+v", text, intervals)
			}
		}
	})
}

// A machine promised 10 kWh a day, read over a winter. By hand the standard uncertainty is √(0.10² + (0.12·√(365.25/92))² + 0.3²) = 0.396.
func ExampleCompare() {
	readings, _, err := ReadCSV([]byte("time,meter_kwh\n2025-11-01 18:00,1200\n2025-12-01 18:00,1540\n2026-02-01 18:00,2052\n"), 3600)
	if err != nil {
		panic(err)
	}
	c := Compare(readings, Options{Promise: Promise{YearKWh: 3650}, Doubts: Doubts{PowerCurve: 0.1, YearToYear: 0.12}})
	fmt.Println(c.Words())
	// Output:
	// In 92 days the meter read 93 % of what the estimate promises for the time. Chance and the estimate's own doubts allow from 21 to 179 % (two standard uncertainties). That is so much that the meter says next to nothing of the curve: a record of the wind at the mast would help most.
}

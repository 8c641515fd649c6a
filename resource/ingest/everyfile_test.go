package ingest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestEveryFile reads every file of the open data that is a record, and counts. The rows are the files' own (wc -l less
// header lines); a file that is none is refused with words that say why.
func TestEveryFile(t *testing.T) {
	type outcome struct {
		format     string
		rows, kept int64
		problems   int64
		refusal    string
		o          Options
	}
	typical := func(format string) outcome { return outcome{format: format, rows: 8760, kept: 8760} }
	powerDay := outcome{format: "nasa_power_csv", rows: 1, kept: 1}
	want := map[string]outcome{
		"arm_met/sgpmetE13_20190101-07_1min.csv":                              {format: "logger_csv", rows: 10080, kept: 10080},
		"epw/USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw":                    typical("epw"),
		"epw/USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw":             typical("epw"),
		"epw/USA_WA_Port.Angeles-William.R.Fairchild.Intl.AP.727885_TMY3.epw": typical("epw"),
		"tmy3/724666TYA.CSV":    typical("tmy3"),
		"tmy3/744860TYA.CSV":    typical("tmy3"),
		"iem_asos/asos_ORD.txt": {format: "airport_reports", rows: 165, kept: 144},
		"iem_asos/measures-all-reports_api_asos.py-d29614.txt":                                 {format: "airport_reports", rows: 317, kept: 287},
		"iem_asos/measures-routine_api_asos.py-2d8537.txt":                                     {format: "airport_reports", rows: 24, kept: 24},
		"isd_lite/011080-99999-2015":                                                           {format: "isd_lite", rows: 8608, kept: 8608},
		"isd_lite/108270-99999-2009":                                                           {format: "isd_lite", rows: 5776, kept: 5776},
		"isd_lite/997726-99999-2009":                                                           {format: "isd_lite", rows: 1, kept: 1},
		"nasa_power/POWER_Point_Hourly_20150801_20250801_024d3415N_120d0E_LST_WS50M_WS10M.csv": {format: "nasa_power_csv", rows: 87696, kept: 87696},
		"nasa_power/POWER_Point_Hourly_20251201_LST_T2M_first24rows.csv":                       {format: "nasa_power_csv", rows: 24, kept: 24},
		"nasa_power/adjusted_air_pressure.csv":                                                 powerDay,
		"nasa_power/adjusted_wind_elevation.csv":                                               powerDay,
		"nasa_power/daily_ag_point.csv":                                                        powerDay,
		"nasa_power/daily_sb_point_LST.csv":                                                    powerDay,
		"nasa_power/daily_sb_point_UTC.csv":                                                    powerDay,
		"nasa_power/climatology_ag_point.csv":                                                  {refusal: "climatology"},
		"nasa_power/daily_point_fill_value.json":                                               {format: "nasa_power_json", rows: 10, kept: 10},
		"nasa_power/daily_point_ok.json":                                                       {format: "nasa_power_json", rows: 3, kept: 3},
		"nasa_power/error_422.json":                                                            {refusal: "One of your parameters is incorrect: NAO_EXISTE"},
		"noaa_isd/00702699999_first299rows.csv":                                                {format: "isd_csv", rows: 299, kept: 297},
		"noaa_isd/024130-99999-2016_first400.txt":                                              {format: "isd", rows: 400, kept: 400},
		"nrel_m2/m2_80m_10min_2012.csv":                                                        {format: "logger_csv", rows: 52704, kept: 52704},
		"nycflights13/weather.csv":                                                             {refusal: "only=origin=EWR"},
		"nycflights13/airports_3.csv":                                                          {refusal: "no column of dates and times"},
		"irish_wind/irish_wind_daily_knots_1961_1978_6stations.csv":                            {refusal: "DUB"},
		"open_meteo/historical_weather.json":                                                   {format: "open_meteo_json", rows: 3, kept: 3},
		"open_meteo/satellite_radiation.json":                                                  {format: "open_meteo_json", rows: 3, kept: 3},
	}
	root := shared(t, "data")
	err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, _ := filepath.Rel(root, path)
		if name = filepath.ToSlash(name); strings.HasSuffix(name, ".request.txt") || strings.HasSuffix(name, ".md") {
			return nil
		}
		w, known := want[name]
		if !known {
			t.Errorf("%s is not in the table", name)
			return nil
		}
		delete(want, name)
		f, err := os.Open(path)
		if err != nil {
			return err
		}
		defer f.Close()
		s, rep, err := Read(f, w.o)
		switch {
		case w.refusal != "":
			if err == nil || !strings.Contains(err.Error(), w.refusal) {
				t.Errorf("%s: %v does not say %q", name, err, w.refusal)
			}
		case err != nil:
			t.Errorf("%s: %v", name, err)
		default:
			checkSeries(t, s)
			if rep.Format != w.format || rep.Rows != w.rows || rep.Kept != w.kept || rep.ProblemCount != w.problems {
				t.Errorf("%s: %s, %d rows, %d kept, problems %v; want %+v", name, rep.Format, rep.Rows, rep.Kept, rep.ProblemCounts, w)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for name := range want {
		t.Errorf("%s is not there", name)
	}
}

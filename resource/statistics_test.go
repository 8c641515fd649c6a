package resource

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

// TestDescribeTypicalYears holds mean, deviation, mean cube, maximum and calms of three typical years against
// reference/weibull_fits.csv (computed with SciPy), the mean of each month and hour against plain sums over the file's
// own month and hour columns. Port Angeles is calm for 24 % of the time: its mean holds the calms.
func TestDescribeTypicalYears(t *testing.T) {
	for _, want := range table(t, "reference/weibull_fits.csv", 1) {
		name, ok := strings.CutPrefix(want[0], "epw:")
		if !ok {
			continue
		}
		rows := table(t, "data/epw/"+name, 8)
		speeds := column(rows, 21)
		s := hourly(speedAt(10, speeds), Channel{Quantity: Direction, HeightM: 10, Values: column(rows, 20)},
			Channel{Quantity: Temperature, HeightM: 2, Values: column(rows, 6)})
		s.Kind = TypicalYear
		st, err := Describe(s, 0)
		if err != nil || st.FitError != nil {
			t.Fatal(err, st.FitError)
		}
		near(t, "n", float64(st.N), number(want[2]), 0)
		near(t, "calms", st.CalmShare*8760, number(want[4]), 1e-9)
		near(t, "mean", st.Mean, number(want[6]), -1e-9)
		near(t, "sd", st.SD, number(want[7]), -1e-9)
		near(t, "max", st.Max, number(want[8]), 0)
		near(t, "mean cube", st.MeanCube, number(want[9]), -1e-9)
		near(t, "completeness", st.Completeness, 1, 0)
		near(t, "months", float64(st.MonthsCounted), 12, 0)
		near(t, "mean of months", st.MeanOfMonths, st.Mean, 0.003) // a leap day's quarter more for February
		near(t, "histogram's mean", st.Histogram.Mean(), st.Mean, -1e-12)
		var monthSum, monthN [12]float64
		var hourSum [24]float64
		for i, row := range rows {
			m, h := int(number(row[1]))-1, int(number(row[3]))-1
			monthSum[m] += speeds[i]
			monthN[m]++
			hourSum[h] += speeds[i]
		}
		for m := range 12 {
			near(t, "month's mean", st.Months[m].Mean, monthSum[m]/monthN[m], 1e-12)
			near(t, "month's completeness", st.Months[m].Completeness, 1, 0)
		}
		for h := range 24 {
			near(t, "hour's mean", st.Hours[h].Mean, hourSum[h]/365, 1e-12)
			near(t, "hour's n", float64(st.Hours[h].N), 365, 0)
			near(t, "hour's completeness", st.Hours[h].Completeness, 1, 0)
		}
		share, n, cube := 0.0, 0, 0.0
		for _, sector := range st.Sectors {
			share += sector.Share
			n += sector.N
			cube += float64(sector.N) * sector.MeanCube
		}
		near(t, "shares", share, 1, 1e-12)
		near(t, "sectors' n", float64(n), number(want[5]), 0) // all hours have a direction, and calms are in none
		near(t, "sectors' cubes", cube/8760, st.MeanCube, -1e-12)
		near(t, "power density", st.PowerDensity, 0.5*st.AirDensity*st.MeanCube, -1e-15)
	}
}

// TestJFKTwice: the same station and year in two formats has the same statistics to the last digit.
func TestJFKTwice(t *testing.T) {
	one := hourly(speedAt(10, column(table(t, "data/epw/USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw", 8), 21)))
	two := hourly(speedAt(10, column(table(t, "data/tmy3/744860TYA.CSV", 2), 46)))
	a, err1 := Describe(one, 0)
	b, err2 := Describe(two, 0)
	if err1 != nil || err2 != nil || a.FitError != nil {
		t.Fatal(err1, err2, a.FitError)
	}
	if a.Mean != b.Mean || a.MeanCube != b.MeanCube || a.Fit.Weibull != b.Fit.Weibull || a.Months != b.Months || a.Hours != b.Hours {
		t.Errorf("%+v and %+v", a, b)
	}
}

func TestDescribeByHand(t *testing.T) {
	s := &Series{StepS: 3600, UTCOffsetS: -5 * 3600, Place: &Place{ElevationM: 1000}, Channels: []Channel{
		{Name: "v", Quantity: Speed, HeightM: 30, Values: []float64{0, 2, 4, math.NaN(), 6, 99}, Flags: []Flag{0, 0, 0, 0, 0, FlagRange}},
		{Name: "far", Quantity: Direction, HeightM: 10, Values: []float64{180, 180, 180, 180, 180, 180}},
		{Name: "near", Quantity: Direction, HeightM: 28, Values: []float64{90, 344.9, 345, 90, math.NaN(), 90}},
	}}
	begin := time.Date(2024, 2, 1, 2, 0, 0, 0, time.UTC).Unix() // still 31 January, 21 h, there
	for _, hour := range []int64{0, 1, 2, 3, 7, 8} {            // three steps are absent
		s.Times = append(s.Times, begin+hour*3600)
	}
	st, err := Describe(s, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "n", float64(st.N), 4, 0)
	near(t, "missing", float64(st.Missing), 1+3, 0)
	near(t, "flagged", float64(st.Flagged), 1, 0)
	near(t, "completeness", st.Completeness, 4./9, 1e-15)
	near(t, "mean", st.Mean, 3, 1e-15)
	near(t, "sd", st.SD, math.Sqrt(20./3), 1e-14)
	near(t, "mean cube", st.MeanCube, (8+64+216)/4., 1e-13)
	near(t, "max", st.Max, 6, 0)
	near(t, "calms", st.CalmShare, 0.25, 0)
	near(t, "January", st.Months[0].Mean, 2, 1e-15)
	near(t, "January's completeness", st.Months[0].Completeness, 1, 0)
	near(t, "February", st.Months[1].Mean, 6, 1e-15)
	near(t, "February's completeness", st.Months[1].Completeness, 1./6, 1e-15)
	near(t, "21 h", st.Hours[21].Mean, 0, 0)
	near(t, "4 h", st.Hours[4].Mean, 6, 0)
	near(t, "north-north-west", float64(st.Sectors[11].N), 1, 0)
	near(t, "north", st.Sectors[0].Mean, 4, 0)
	near(t, "north's share", st.Sectors[0].Share, 0.5, 0)
	near(t, "north from", st.Sectors[0].FromDeg, 345, 0)
	near(t, "north to", st.Sectors[0].ToDeg, 15, 0)
	near(t, "last from", st.Sectors[11].FromDeg, 315, 0)
	near(t, "last to", st.Sectors[11].ToDeg, 345, 0)
	_, _, rho := StandardAir(1030)
	near(t, "air", st.AirDensity, rho, -1e-4)
	if !errors.Is(st.FitError, ErrTooFew) || st.Sectors[0].Fit != nil {
		t.Errorf("fit %v, %v", st.FitError, st.Sectors[0].Fit)
	}
	if st.MonthsCounted != 0 || !math.IsNaN(st.MeanOfMonths) || !math.IsNaN(st.Months[5].Mean) || !math.IsNaN(st.Months[5].Completeness) {
		t.Errorf("months: %d, %g, %+v", st.MonthsCounted, st.MeanOfMonths, st.Months[5])
	}
	if st.Channel != "v" || st.HeightM != 30 {
		t.Errorf("channel %q at %g m", st.Channel, st.HeightM)
	}
	if _, err := Describe(s, 1); !errors.Is(err, ErrNotSpeed) || !strings.Contains(err.Error(), `"far" holds direction`) {
		t.Errorf("a direction: %v", err)
	}
}

// TestDescribeNothing: records without a usable value, or without a stamp, give NaN, not panic.
func TestDescribeNothing(t *testing.T) {
	for name, s := range map[string]*Series{
		"no stamps": {StepS: 3600, Channels: []Channel{{Quantity: Speed}}},
		"no values": hourly(speedAt(10, []float64{math.NaN(), math.NaN(), math.NaN()})),
		"no step":   {Times: []int64{5}, Channels: []Channel{{Quantity: Speed, Values: []float64{math.NaN()}}}},
	} {
		st, err := Describe(s, 0)
		if err != nil || !errors.Is(st.FitError, ErrTooFew) || st.N != 0 || st.Sectors != nil {
			t.Errorf("%s: %+v, %v", name, st, err)
		}
		for what, v := range map[string]float64{
			"mean": st.Mean, "months": st.MeanOfMonths, "sd": st.SD, "cube": st.MeanCube, "power": st.PowerDensity, "max": st.Max,
			"calms": st.CalmShare, "January": st.Months[0].Mean, "noon": st.Hours[12].Mean,
		} {
			if !math.IsNaN(v) {
				t.Errorf("%s: %s is %g, want NaN", name, what, v)
			}
		}
		if c := st.Completeness; name == "no values" && c != 0 {
			t.Errorf("completeness %g, want 0", c)
		}
	}
}

// TestMeanOfMonths: 14 months of which two are winter twice. The plain mean leans on them; the mean of months does not.
func TestMeanOfMonths(t *testing.T) {
	var values []float64
	begin := time.Date(2021, 1, 1, 0, 0, 0, 0, time.UTC)
	end := time.Date(2022, 3, 1, 0, 0, 0, 0, time.UTC)
	s := &Series{StepS: 3600}
	for at := begin; at.Before(end); at = at.Add(time.Hour) {
		v := 4.0
		if at.Month() <= time.February {
			v = 8
		}
		values = append(values, v)
		s.Times = append(s.Times, at.Unix())
	}
	s.Channels = []Channel{speedAt(10, values)}
	st, err := Describe(s, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "plain", st.Mean, 4+4*2*59./424, 1e-12)
	near(t, "of months", st.MeanOfMonths, 4+4*59.25/365.25, 1e-12)
	near(t, "months", float64(st.MonthsCounted), 12, 0)
	if !errors.Is(st.FitError, ErrConstant) { // two values
		t.Errorf("fit: %v", st.FitError)
	}
	// February cut to nine days a year in one year and absent in the other does not count.
	for i, unix := range s.Times {
		at := time.Unix(unix, 0).UTC()
		if at.Month() == time.February && (at.Day() > 9 || at.Year() == 2022) {
			values[i] = math.NaN()
		}
	}
	if st, err = Describe(s, 0); err != nil {
		t.Fatal(err)
	}
	near(t, "months", float64(st.MonthsCounted), 11, 0)
	near(t, "of 11 months", st.MeanOfMonths, 4+4*31/(365.25-28.25), 1e-12)
	near(t, "February's completeness", st.Months[1].Completeness, 9./56, 1e-12)
}

// TestRecordDensity: the record's own temperature, pressure and humidity come first.
func TestRecordDensity(t *testing.T) {
	speeds := gusty(48)
	constant := func(v float64) []float64 {
		out := make([]float64, 48)
		for i := range out {
			out[i] = v
		}
		return out
	}
	s := hourly(speedAt(10, speeds), Channel{Quantity: Temperature, HeightM: 2, Values: constant(20)},
		Channel{Quantity: Pressure, HeightM: 2, Values: constant(100000)}, Channel{Quantity: Humidity, HeightM: 2, Values: constant(0.5)})
	st, err := Describe(s, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "IEC 61400-12-1, computed", st.AirDensity, 1.18327, 2e-5)
	s.Channels = s.Channels[:1]
	if st, err = Describe(s, 0); err != nil {
		t.Fatal(err)
	}
	near(t, "sea level of ISO 2533", st.AirDensity, 1.225, 0.002)
}

func TestSectorOf(t *testing.T) {
	for _, c := range []struct {
		deg  float64
		n    int
		want int
	}{
		{0, 12, 0}, {14.99, 12, 0}, {15, 12, 1}, {344.99, 12, 11}, {345, 12, 0}, {360, 12, 0}, {359.9, 12, 0}, {180, 12, 6},
		{11.25, 16, 1}, {11.24, 16, 0}, {348.75, 16, 0}, {5, 36, 1}, {355, 36, 0}, {90, 4, 1}, {17, 1, 0}, {375, 12, 1}, {-15, 12, 0},
		{-15.1, 12, 11}, {-360, 12, 0}, {math.NaN(), 12, -1}, {math.Inf(1), 12, -1}, {math.Nextafter(0, -1), 12, 0},
	} {
		if got := SectorOf(c.deg, c.n); got != c.want {
			t.Errorf("%g of %d: got %d, want %d", c.deg, c.n, got, c.want)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("no sectors must panic")
		}
	}()
	SectorOf(0, 0)
}

func TestChannels(t *testing.T) {
	s := &Series{Channels: []Channel{
		{Quantity: Speed, HeightM: math.NaN()}, {Quantity: Speed, HeightM: 40}, {Quantity: Direction, HeightM: 38},
		{Quantity: Speed, HeightM: 10}, {Quantity: Speed, HeightM: 40}, {Quantity: Temperature, HeightM: math.NaN()},
	}}
	got := s.SpeedChannels()
	if len(got) != 4 || got[0] != 3 || got[1] != 1 || got[2] != 4 || got[3] != 0 {
		t.Errorf("speed channels %v", got)
	}
	for _, c := range []struct {
		q    Quantity
		near float64
		want int
	}{
		{Speed, 9, 3}, {Speed, 26, 1}, {Speed, 1000, 1}, {Speed, math.NaN(), 1}, {Direction, 10, 2}, {Temperature, 2, 5},
		{Temperature, math.NaN(), 5}, {Pressure, 2, -1},
	} {
		if got := s.Find(c.q, c.near); got != c.want {
			t.Errorf("%s near %g: got %d, want %d", c.q, c.near, got, c.want)
		}
	}
	if got := (&Series{}).SpeedChannels(); len(got) != 0 {
		t.Errorf("speed channels of nothing: %v", got)
	}
}

// TestDescribeProperties: turning the compass by 30 degrees turns the rose by a sector and nothing else; a record in two
// halves and joined again is the same; gonum's mean and deviation agree.
func TestDescribeProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(40, 800).Draw(t, "n")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		speeds, direction, turned := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range speeds {
			speeds[i] = math.Round(80*r.Float64()*r.Float64()) / 4
			direction[i] = math.Round(3600*r.Float64())/10 - 0.05
			turned[i] = direction[i] + 30
		}
		record := func(d []float64) Statistics {
			st, err := Describe(hourly(speedAt(10, speeds), Channel{Quantity: Direction, HeightM: 10, Values: d}), 0)
			if err != nil {
				t.Fatal(err)
			}
			return st
		}
		a, b := record(direction), record(turned)
		for k := range a.Sectors {
			x, y := a.Sectors[k], b.Sectors[(k+1)%12]
			if x.N != y.N || x.Share != y.Share || (x.N > 0 && x.Mean != y.Mean) || (x.Fit == nil) != (y.Fit == nil) {
				t.Fatalf("sector %d: %+v and %+v", k, x, y)
			}
			if x.Fit != nil && x.Fit.Weibull != y.Fit.Weibull {
				t.Fatalf("sector %d: fits %+v and %+v", k, x.Fit, y.Fit)
			}
		}
		if a.Mean != b.Mean || a.MeanCube != b.MeanCube || a.Fit.Weibull != b.Fit.Weibull || a.Hours[3] != b.Hours[3] {
			t.Fatal("turning the compass changed more than the rose")
		}
		mean, sd := stat.MeanStdDev(speeds, nil)
		if math.Abs(a.Mean-mean) > 1e-12*mean || math.Abs(a.SD-sd) > 1e-9*sd {
			t.Fatalf("mean %g and sd %g, want %g and %g", a.Mean, a.SD, mean, sd)
		}
		total := 0
		for _, m := range a.Months {
			total += m.N
		}
		if total != a.N || a.Completeness != 1 {
			t.Fatalf("months hold %d of %d, completeness %g", total, a.N, a.Completeness)
		}
	})
}

package climate

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"mastworth/resource"
)

var nan = math.NaN()

// TestByHand: a handful of stamps on both sides of a new year, in the west, with a gap, a calm, a flag and a direction
// lacking.
func TestByHand(t *testing.T) {
	s := &resource.Series{StepS: 3600, UTCOffsetS: -5 * 3600, Channels: []resource.Channel{
		{Name: "v", Quantity: resource.Speed, HeightM: 30, Values: []float64{0, 2, 4, nan, 6, 99, 13},
			Flags: []resource.Flag{0, 0, 0, 0, 0, resource.FlagRange, 0}},
		channel(resource.Direction, 28, []float64{90, 344.9, 345, 90, nan, 90, 100}),
	}}
	begin := time.Date(2025, 1, 1, 3, 0, 0, 0, time.UTC).Unix() // still 31 December 2024, 22 h, there
	for _, hour := range []int64{0, 1, 2, 3, 7, 8, 9} {
		s.Times = append(s.Times, begin+hour*3600)
	}
	c := of(t, s, Options{})
	near(t, "n", float64(c.N), 5, 0)
	near(t, "flagged", float64(c.Flagged), 1, 0)
	near(t, "completeness", c.Completeness, 5./10, 1e-15)
	near(t, "mean", c.MeanMS, 5, 1e-15)
	near(t, "cube", c.MeanCubeM3S3, (8+64+216+2197)/5., 1e-12)
	near(t, "calms", c.CalmShare, 0.2, 1e-15)
	near(t, "power density", c.PowerDensityWM2, 0.5*c.AirDensityKgM3*497, 1e-9)
	near(t, "December at 22 h", c.MonthHours[11][22].MeanMS, 0, 0)
	near(t, "December", c.Months[11].MeanMS, 1, 0)
	near(t, "December's completeness", c.Months[11].Completeness, 1, 0)
	near(t, "January", c.Months[0].MeanMS, 23./3, 1e-15)
	near(t, "January's completeness", c.Months[0].Completeness, 3./8, 1e-15)
	near(t, "January at 5 h", c.MonthHours[0][5].MeanMS, 6, 0)
	near(t, "7 h", c.Hours[7].MeanMS, 13, 0)
	near(t, "noon is not in the record", c.Hours[12].Completeness, nan, 0)
	near(t, "noon", c.Hours[12].MeanMS, nan, 0)
	if len(c.Years) != 2 || c.Years[0].Year != 2024 || c.Years[1].Year != 2025 || c.Years[0].N != 2 || c.Years[1].N != 3 {
		t.Errorf("years %+v", c.Years)
	}
	near(t, "2025's completeness", c.Years[1].Completeness, 3./8760, 1e-15)
	near(t, "undirected", c.Undirected, 1./4, 0)
	for k, want := range map[int]Sector{
		0:  {FromDeg: 345, ToDeg: 15, N: 1, Share: 1. / 3, MeanMS: 4, MeanCube: 64, EnergyShare: 64. / 2269, SpeedShares: []float64{0, 1. / 3, 0, 0, 0}},
		3:  {FromDeg: 75, ToDeg: 105, N: 1, Share: 1. / 3, MeanMS: 13, MeanCube: 2197, EnergyShare: 2197. / 2269, SpeedShares: []float64{0, 0, 0, 0, 1. / 3}},
		11: {FromDeg: 315, ToDeg: 345, N: 1, Share: 1. / 3, MeanMS: 2, MeanCube: 8, EnergyShare: 8. / 2269, SpeedShares: []float64{1. / 3, 0, 0, 0, 0}},
		5:  {FromDeg: 135, ToDeg: 165, MeanMS: nan, MeanCube: nan, SpeedShares: []float64{0, 0, 0, 0, 0}},
	} {
		got := c.Sectors[k]
		near(t, "from", got.FromDeg, want.FromDeg, 0)
		near(t, "to", got.ToDeg, want.ToDeg, 0)
		near(t, "n", float64(got.N), float64(want.N), 0)
		near(t, "share", got.Share, want.Share, 1e-15)
		near(t, "mean", got.MeanMS, want.MeanMS, 0)
		near(t, "cube", got.MeanCube, want.MeanCube, 1e-12)
		near(t, "energy", got.EnergyShare, want.EnergyShare, 1e-15)
		for i := range want.SpeedShares {
			near(t, "class", got.SpeedShares[i], want.SpeedShares[i], 1e-15)
		}
		if got.Fit != nil || !errors.Is(got.WhyNoFit, resource.ErrTooFew) {
			t.Errorf("fit %v, %v", got.Fit, got.WhyNoFit)
		}
	}
	if _, ok := warned(c, "direction_missing"); !ok || c.ClassesMS[4] != 12 {
		t.Errorf("warnings %+v, classes %v", c.Warnings, c.ClassesMS)
	}
}

// TestOwnClasses: 10 mph are 4.4704 m/s; a speed on an edge is in the class that begins there.
func TestOwnClasses(t *testing.T) {
	const mph = 0.44704
	s := &resource.Series{StepS: 3600}
	for i := range 4 {
		s.Times = append(s.Times, int64(i)*3600)
	}
	s.Channels = []resource.Channel{channel(resource.Speed, 10, []float64{2, 10 * mph, 4.47, 30}), channel(resource.Direction, 10, []float64{0, 0, 0, 0})}
	own := [speedClasses]float64{0, 5 * mph, 10 * mph, 15 * mph, 20 * mph}
	c := of(t, s, Options{ClassesMS: own})
	if got := c.Sectors[0].SpeedShares; !slices.Equal(got, []float64{0.25, 0.25, 0.25, 0, 0.25}) || !slices.Equal(c.ClassesMS, own[:]) {
		t.Errorf("shares %v of classes %v", got, c.ClassesMS)
	}
	for _, bad := range [][speedClasses]float64{{1, 2, 3, 4, 5}, {0, 2, 1, 3, 4}} {
		if _, err := Of(s, 0, Options{ClassesMS: bad}); !errors.Is(err, ErrClasses) {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

// TestEvening: fourteen months of which January and February come twice and blow twice as hard.
func TestEvening(t *testing.T) {
	begin, end := time.Date(2021, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2022, 3, 1, 0, 0, 0, 0, time.UTC)
	s := &resource.Series{StepS: 3600}
	var values, directions []float64
	for at := begin; at.Before(end); at = at.Add(time.Hour) {
		v, d := 4.0+float64(at.Hour()%3)/8, 90.0
		if at.Month() <= time.February {
			v, d = 2*v, 270
		}
		values, directions, s.Times = append(values, v), append(directions, d), append(s.Times, at.Unix())
	}
	s.Channels = []resource.Channel{channel(resource.Speed, 10, values), channel(resource.Direction, 10, directions)}
	c := of(t, s, Options{})
	const m = 4.125 // of the calmer months
	near(t, "plain", c.Plain.MeanMS, m*(1+2*59./424), 1e-12)
	near(t, "evened", c.MeanMS, m*(1+59.25/365.25), 1e-12)
	near(t, "west", c.Sectors[9].Share, 59.25/365.25, 1e-12)
	near(t, "an hour", c.Hours[0].MeanMS, 4*(1+59.25/365.25), 1e-12)
	near(t, "cube kept by the fit", c.Fits[2].MeanCube(), c.Evened.MeanCubeM3S3, -1e-9)
	if !c.Uneven || c.MonthsCounted != 12 {
		t.Errorf("uneven %v, %d months", c.Uneven, c.MonthsCounted)
	}
	// A February of nine days does not count, and what is no year is not evened.
	for i, unix := range s.Times {
		if at := time.Unix(unix, 0).UTC(); at.Month() == time.February && (at.Day() > 9 || at.Year() == 2022) {
			values[i] = nan
		}
	}
	c = of(t, s, Options{})
	near(t, "evened over 11 months", c.Evened.MeanMS, m*(1+31/(365.25-28.25)), 1e-12)
	if c.Uneven || c.MonthsCounted != 11 || c.Average != c.Plain {
		t.Errorf("uneven %v, %d months", c.Uneven, c.MonthsCounted)
	}
	if d, ok := warned(c, "part_year"); !ok || !strings.Contains(d, "11 calendar months") {
		t.Errorf("warnings %+v", c.Warnings)
	}
}

func TestChangeInWords(t *testing.T) {
	for ratio, want := range map[float64]string{1.0004: "less than 0.1 %", 0.9996: "less than 0.1 %", 1.012: "+1.2 %", 0.997: "-0.3 %"} {
		if got := change(ratio); got != want {
			t.Errorf("a factor of %g is told as %q, want %q", ratio, got, want)
		}
	}
}

// TestYears: eighteen years of daily means at Belmullet, on the open coast, against plain sums (Haslett & Raftery 1989, open data).
func TestYears(t *testing.T) {
	rows := table(t, "data/irish_wind/irish_wind_daily_knots_1961_1978_6stations.csv", 1)
	speeds := column(rows, 8)
	s := record(86400, channel(resource.Speed, 10, speeds))
	s.Kind = resource.Daily
	begin := time.Date(1961, 1, 1, 0, 0, 0, 0, time.UTC) // before Unix time began
	for i := range s.Times {
		s.Times[i] = begin.AddDate(0, 0, i).Unix()
	}
	c := of(t, s, Options{})
	sum, n := map[int]float64{}, map[int]float64{}
	for i, v := range speeds {
		year := begin.AddDate(0, 0, i).Year()
		sum[year] += v
		n[year]++
	}
	if len(c.Years) != 18 {
		t.Fatalf("%d years", len(c.Years))
	}
	mean, squares := 0.0, 0.0
	for i, y := range c.Years {
		if y.Year != 1961+i {
			t.Errorf("year %d comes as number %d", y.Year, i+1)
		}
		near(t, "n", float64(y.N), n[y.Year], 0)
		near(t, "mean", y.MeanMS, sum[y.Year]/n[y.Year], -1e-12)
		near(t, "completeness", y.Completeness, 1, 0)
		mean += y.MeanMS / 18
	}
	for year := range sum {
		squares += (sum[year]/n[year] - mean) * (sum[year]/n[year] - mean)
	}
	near(t, "spread", c.YearSpread, math.Sqrt(squares/17)/mean, -1e-9)
	// Handbooks give some 6 % for north-west Europe, from memory.
	if c.YearSpread < 0.04 || c.YearSpread > 0.08 {
		t.Errorf("spread %g", c.YearSpread)
	}
	if _, ok := warned(c, "daily_means"); !ok || c.Sectors != nil {
		t.Errorf("warnings %+v", c.Warnings)
	}
	// A year without a value between others is listed, without numbers.
	for i := range speeds {
		if begin.AddDate(0, 0, i).Year() == 1970 {
			speeds[i] = nan
		}
	}
	c = of(t, s, Options{})
	if y := c.Years[9]; len(c.Years) != 18 || y.Year != 1970 || y.N != 0 || y.Completeness != 0 || !math.IsNaN(y.MeanMS) {
		t.Errorf("1970: %+v", y)
	}
}

// TestRepresentative: intensity drawn evenly from a normal distribution of mean 0.15 and deviation 0.03 has the
// representative value 0.15 + 1.28·0.03 (IEC 61400-1 edition 3, from memory), and 90 % of it stay below 0.15 + 1.2816·0.03.
func TestRepresentative(t *testing.T) {
	const n = 20000
	draw := distuv.Normal{Mu: 0.15, Sigma: 0.03}
	speeds, deviations := make([]float64, n), make([]float64, n)
	for i := range speeds {
		speeds[i] = 10
		deviations[i] = 10 * draw.Quantile((float64(i*7919%n)+0.5)/n)
	}
	c := of(t, record(600, channel(resource.Speed, 20, speeds), channel(resource.SpeedSD, 20.5, deviations)), Options{})
	b := c.Turbulence.Bins[9]
	near(t, "n", float64(b.N), n, 0)
	near(t, "mean", b.Mean, 0.15, 1e-9)
	near(t, "SD", b.SD, 0.03, 1e-5)
	near(t, "representative", b.Representative, 0.1884, 1e-5)
	near(t, "90 %", b.P90, 0.15+1.2816*0.03, 1e-5)
	// IEC 61400-2 (from memory): the normal turbulence model has σ1 = 0.18·(15 + 2·10)/3 = 2.1 m/s at 10 m/s.
	near(t, "model at 10 m/s", 0.18*smallTurbineModel(10)*10, 2.1, 1e-12)
	near(t, "at 15 m/s", c.Turbulence.Implied15, 0.1884/0.21*0.18, 1e-5)
	near(t, "from", c.Turbulence.Implied15FromMS, 10, 0)
	if c.Turbulence.At15.N != 0 || !math.IsNaN(c.Turbulence.At15.Mean) || !math.IsNaN(c.Turbulence.At15.P90) {
		t.Errorf("at 15 m/s: %+v", c.Turbulence.At15)
	}
	if _, ok := warned(c, "turbulent"); ok {
		t.Error("0.16 is below 0.18")
	}
	if !errors.Is(c.Fits[0].Err, resource.ErrConstant) || !math.IsNaN(c.Fits[0].LogLikelihood) || c.Fits[0].Used {
		t.Errorf("a constant record: %+v", c.Fits[0])
	}
}

// TestQuantile: R documents its default, type 7, by quantile(1:10); 90 % of it is 9.1 (R, from memory).
func TestQuantile(t *testing.T) {
	near(t, "90 %", quantile([]float64{3, 1, 2, 10, 9, 8, 7, 4, 5, 6}, 0.9), 9.1, 1e-12)
	near(t, "of one", quantile([]float64{3}, 0.9), 3, 0)
	near(t, "of none", quantile(nil, 0.9), nan, 0)
	long := make([]float64, 1001)
	for i := range long {
		long[i] = float64(i * 379 % 1001)
	}
	near(t, "of many", quantile(long, 0.9), 900, 0)
}

// TestCompanions: which deviation goes with which speed.
func TestCompanions(t *testing.T) {
	type ch = resource.Channel
	sp, sd := resource.Speed, resource.SpeedSD
	for name, c := range map[string]struct {
		channels    []ch
		speed, want int
	}{
		"the same height":         {[]ch{{Quantity: sp, HeightM: 40}, {Quantity: sd, HeightM: 20}, {Quantity: sd, HeightM: 40}}, 0, 2},
		"nearly":                  {[]ch{{Quantity: sp, HeightM: 40}, {Quantity: sd, HeightM: 38.5}}, 0, 1},
		"not nearly":              {[]ch{{Quantity: sp, HeightM: 40}, {Quantity: sd, HeightM: 30}}, 0, -1},
		"pairs in turn":           {[]ch{{Quantity: sp, HeightM: 40}, {Quantity: sd, HeightM: 40}, {Quantity: sp, HeightM: 40}, {Quantity: sd, HeightM: 40}}, 2, 3},
		"pairs by kind":           {[]ch{{Quantity: sp, HeightM: 40}, {Quantity: sp, HeightM: 40}, {Quantity: sd, HeightM: 40}, {Quantity: sd, HeightM: 40}}, 1, 3},
		"one for two":             {[]ch{{Quantity: sp, HeightM: 40}, {Quantity: sp, HeightM: 40}, {Quantity: sd, HeightM: 40}}, 1, 2},
		"no heights":              {[]ch{{Quantity: sp, HeightM: nan}, {Quantity: sd, HeightM: nan}}, 0, 1},
		"one without, one mast":   {[]ch{{Quantity: sp, HeightM: 10}, {Quantity: sd, HeightM: nan}}, 0, 1},
		"one without, two speeds": {[]ch{{Quantity: sp, HeightM: 10}, {Quantity: sp, HeightM: 20}, {Quantity: sd, HeightM: nan}}, 0, -1},
		"none":                    {[]ch{{Quantity: sp, HeightM: 10}}, 0, -1},
	} {
		if got := companion(&resource.Series{Channels: c.channels}, c.speed, sd); got != c.want {
			t.Errorf("%s: got %d, want %d", name, got, c.want)
		}
	}
}

// TestBadInput: what is wrong is refused or told; nothing panics.
func TestBadInput(t *testing.T) {
	good := record(600, channel(resource.Speed, 10, []float64{1, 2, 3}), channel(resource.Direction, 10, []float64{1, 2, 3}))
	if _, err := Of(good, 0, Options{Sectors: 7}); !errors.Is(err, ErrSectors) || !strings.Contains(err.Error(), "not 7") {
		t.Errorf("7 sectors: %v", err)
	}
	for _, i := range []int{-1, 2} {
		if _, err := Of(good, i, Options{}); !errors.Is(err, ErrChannel) {
			t.Errorf("channel %d: %v", i, err)
		}
	}
	if _, err := Of(good, 1, Options{}); !errors.Is(err, resource.ErrNotSpeed) || !strings.Contains(err.Error(), `"direction" holds direction`) {
		t.Errorf("a direction: %v", err)
	}
	inf := math.Inf(1)
	constant := make([]float64, 8760)
	for i := range constant {
		constant[i] = 5
	}
	for name, c := range map[string]struct {
		series *resource.Series
		codes  string
		fit    error
	}{
		"no stamps":        {&resource.Series{StepS: 600, Channels: []resource.Channel{{Quantity: resource.Speed}}}, "no_usable_speed", resource.ErrTooFew},
		"no values":        {record(600, channel(resource.Speed, 10, []float64{nan, nan})), "no_usable_speed", resource.ErrTooFew},
		"one row":          {record(600, channel(resource.Speed, 10, []float64{4})), "part_year no_direction no_fit", resource.ErrTooFew},
		"no step":          {record(0, channel(resource.Speed, 10, []float64{4})), "part_year no_direction no_fit", resource.ErrTooFew},
		"calms alone":      {record(600, channel(resource.Speed, 10, []float64{0, 0})), "part_year no_fit", resource.ErrTooFew},
		"constant":         {record(3600, channel(resource.Speed, 10, constant)), "no_direction no_fit", resource.ErrConstant},
		"impossible":       {record(600, channel(resource.Speed, 10, []float64{-1, inf, -inf, 5, 1e300})), "speed_impossible part_year no_direction no_fit", resource.ErrTooFew},
		"coarse":           {record(10800, channel(resource.Speed, 10, []float64{4})), "part_year coarse_step no_direction no_fit", resource.ErrTooFew},
		"strange channels": {record(60, channel(resource.Speed, 10, []float64{4, 4, 4}), channel(resource.Gust, 10, []float64{3, inf, 5}), channel(resource.SpeedSD, 10, []float64{-1, inf, 1})), "part_year no_direction no_fit deviation_impossible turbulence_step gust_below_mean", resource.ErrTooFew},
		"few gusts":        {record(3600, channel(resource.Speed, 10, []float64{4, 4, 4}), channel(resource.Gust, 10, []float64{nan, nan, 5}), channel(resource.SpeedSD, 10, []float64{1, 1, 1})), "part_year no_direction no_fit turbulence_step gusts_partial", resource.ErrTooFew},
		"rough":            {record(600, channel(resource.Speed, 10, constant[:300]), channel(resource.SpeedSD, 10, constant[:300])), "part_year no_direction no_fit turbulent", resource.ErrConstant},
	} {
		got, err := Of(c.series, 0, Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		var codes []string
		for _, w := range got.Warnings {
			codes = append(codes, w.Code)
		}
		if strings.Join(codes, " ") != c.codes {
			t.Errorf("%s: warnings %q, want %q", name, strings.Join(codes, " "), c.codes)
		}
		if len(got.Fits) != 4 || got.Sectors != nil {
			t.Errorf("%s: %d fits, sectors %v", name, len(got.Fits), got.Sectors)
		}
		for _, f := range got.Fits {
			if !errors.Is(f.Err, c.fit) || f.Used || !math.IsNaN(f.Shape) || !math.IsNaN(f.MeanError) {
				t.Errorf("%s: %+v", name, f)
			}
		}
	}
}

// FuzzOf: whatever a record holds, nothing panics and the shares of a rose stay shares.
func FuzzOf(f *testing.F) {
	f.Add(3.0, 200.0, 1.0, 5.0, int64(0), int64(600))
	f.Add(-1.0, nan, -1.0, nan, int64(-1e15), int64(0))
	f.Add(1e308, -1e300, 1e308, math.Inf(1), int64(1e11), int64(86400))
	f.Add(5e-324, 360.0, 5e-324, 5e-324, int64(-1), int64(-7))
	f.Fuzz(func(t *testing.T, speed, direction, deviation, gust float64, at, stepS int64) {
		at %= 1 << 38
		stepS %= 1 << 22
		c := [4]resource.Channel{channel(resource.Speed, 10, nil), channel(resource.Direction, 10, nil),
			channel(resource.SpeedSD, 10, nil), channel(resource.Gust, 10, nil)}
		s := &resource.Series{StepS: stepS}
		for i := range 64 {
			s.Times = append(s.Times, at+int64(i)*max(stepS, 1))
			x := 1 + float64(i)/8
			for j, v := range []float64{speed, direction, deviation, gust} {
				c[j].Values = append(c[j].Values, v*x)
			}
		}
		s.Channels = c[:]
		got, err := Of(s, 0, Options{Sectors: 36})
		if err != nil {
			t.Fatal(err)
		}
		for _, st := range got.Sectors {
			if !(st.Share >= 0 && st.Share <= 1+1e-12) {
				t.Fatalf("%+v", st)
			}
		}
	})
}

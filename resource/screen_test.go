package resource

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// hourly makes a record of hourly channels from 1 January 2013.
func hourly(channels ...Channel) *Series {
	s := &Series{StepS: 3600, Channels: channels}
	for i := range channels[0].Values {
		s.Times = append(s.Times, 1356998400+int64(i)*3600)
	}
	return s
}

func speedAt(heightM float64, values []float64) Channel {
	return Channel{Name: "speed", Quantity: Speed, HeightM: heightM, Values: values}
}

// gusty is n speeds of fine resolution that never stand still.
func gusty(n int) []float64 {
	r := rand.New(rand.NewPCG(7, 8))
	w := Weibull{Shape: 2, Scale: 6}
	out := make([]float64, n)
	for i := range out {
		out[i] = w.Quantile(r.Float64())
	}
	return out
}

// TestScreenAirports holds honest public records, in which airports repeat whole knots and tens of degrees for hours,
// against screening: nothing may be flagged but the one row of 1048.36 mph in EWR's 2013, and then the fit of the rest is
// that of reference/weibull_fits.csv without the row.
func TestScreenAirports(t *testing.T) {
	rows := table(t, "data/nycflights13/weather.csv", 1)
	for _, origin := range []string{"EWR", "JFK", "LGA"} {
		const mph = 0.44704
		var speed, direction, temperature, times []float64
		for _, row := range rows {
			if row[0] != origin {
				continue
			}
			day := dayOf(int64(number(row[1])), int(number(row[2]))-1, int(number(row[3])))
			times = append(times, float64(day*secondsPerDay)+3600*number(row[4]))
			temperature = append(temperature, (number(row[5])-32)/1.8)
			direction = append(direction, number(row[8]))
			speed = append(speed, number(row[9])*mph)
		}
		s := hourly(speedAt(10, speed), Channel{Name: "wind_dir", Quantity: Direction, HeightM: 10, Values: direction},
			Channel{Name: "temp", Quantity: Temperature, HeightM: 2, Values: temperature})
		for i := range s.Times {
			s.Times[i] = int64(times[i])
		}
		findings := Screen(s)
		// The columns are in local time: an hour is missing in the night of 10 March, when clocks went forward, and one
		// comes twice in that of 3 November.
		for i, says := range []string{"28 stamps are missing", "1 stamps do not come after", "the hour from 02:00 on 10 March 2013 is missing",
			"the hour from 01:00 on 3 November 2013 comes twice"} {
			if i == 0 && origin != "EWR" {
				says = "25 stamps are missing"
			}
			if i >= len(findings) || findings[i].Index != -1 || findings[i].Action != ActionReported || !strings.Contains(findings[i].Detail, says) {
				t.Fatalf("%s: %+v does not begin with %q", origin, findings, says)
			}
		}
		findings = findings[4:]
		switch origin {
		case "LGA":
			if len(findings) != 0 {
				t.Errorf("%+v", findings)
			}
			continue
		case "JFK": // 13.1 °F one evening in May, between 57.0 and 57.2 °F
			if len(findings) != 1 || findings[0].Rule != "spike" || findings[0].Count != 1 || findings[0].FromUnix != 1368050400 ||
				!strings.Contains(findings[0].Detail, "-10.5 stands 24.4 K away from the 13.9 before") {
				t.Errorf("%+v", findings)
			}
			continue
		}
		if len(findings) != 1 || findings[0].Rule != "range" || findings[0].Count != 1 || findings[0].Channel != "speed" ||
			!strings.Contains(findings[0].Detail, "468.6") {
			t.Fatalf("EWR: %+v", findings)
		}
		st, err := Describe(s, 0)
		if err != nil || st.FitError != nil {
			t.Fatal(err, st.FitError)
		}
		near(t, "flagged", float64(st.Flagged), 1, 0)
		near(t, "k without the row", st.Fit.Shape, 2.193327076, -1e-6)
		near(t, "A without the row", st.Fit.Scale/mph, 11.34977789, -1e-6)
		near(t, "n", float64(st.N), 8701, 0)
		near(t, "mean", st.Mean/mph, 9.341672562, -1e-9)
		near(t, "sd", st.SD/mph, 5.325603295, -1e-9)
		near(t, "mean cube", st.MeanCube/(mph*mph*mph), 1710.949299, -1e-9)
		near(t, "max", st.Max/mph, 42.57886, -1e-9)
		near(t, "calms", st.CalmShare*8701, 586, 1e-9)
	}
}

// TestScreenTypicalYears: three typical years. Port Angeles is calm for 24 % of the time, up to 16 hours in frost with
// the direction code 0: no icing.
func TestScreenTypicalYears(t *testing.T) {
	for file := range fitSources {
		name, ok := strings.CutPrefix(file, "epw:")
		if !ok {
			continue
		}
		rows := table(t, "data/epw/"+name, 8)
		s := hourly(speedAt(10, column(rows, 21)),
			Channel{Quantity: Direction, HeightM: 10, Values: column(rows, 20)},
			Channel{Quantity: Temperature, HeightM: 2, Values: column(rows, 6)},
			Channel{Quantity: Pressure, Values: column(rows, 9)},
			Channel{Quantity: GlobalHorizontal, Values: column(rows, 13)},
			Channel{Quantity: DirectNormal, Values: column(rows, 14)},
			Channel{Quantity: DiffuseHorizontal, Values: column(rows, 15)})
		s.Kind = TypicalYear
		for _, f := range Screen(s) {
			t.Errorf("%s: %+v", name, f)
		}
	}
}

// TestScreenTower: in 2012 the 80 m tower stands at 0.2931 m/s on 15 August in three stretches, and nowhere else; the
// file was searched for equal neighbours by other means.
func TestScreenTower(t *testing.T) {
	rows := table(t, "data/nrel_m2/m2_80m_10min_2012.csv", 1)
	deviation := column(rows, 3) // turbulence intensity
	for i, v := range column(rows, 1) {
		deviation[i] *= v
	}
	s := hourly(speedAt(80, column(rows, 1)), Channel{Quantity: Direction, HeightM: 80, Values: column(rows, 2)},
		Channel{Quantity: SpeedSD, HeightM: 80, Values: deviation})
	s.StepS = 600
	for i := range s.Times {
		s.Times[i] = s.Times[0] + int64(i)*600
	}
	var counts []int
	for _, f := range Screen(s) {
		if f.Rule != "flat_line" || f.Index != 0 || !strings.HasPrefix(f.Detail, "0.2931 stands") {
			t.Errorf("unexpected: %+v", f)
		}
		counts = append(counts, f.Count)
	}
	if len(counts) != 3 || counts[0] != 16 || counts[1] != 14 || counts[2] != 13 {
		t.Errorf("stretches of %v, want 16, 14 and 13", counts)
	}
}

// TestScreenOpenData: of the 19 series of reference/weibull_fits.csv, from one-minute to daily, in whole m/s and in
// hundredths, only the two known to be faulty have anything flagged. Those stored in mph are read as m/s here, which is
// noticed; those stored in knots are daily means, which keep no trace of their unit.
func TestScreenOpenData(t *testing.T) {
	for name, source := range fitSources {
		flagged, reported := 0, 0
		switch name {
		case "m2:80m 10min 2012":
			flagged = 3
		case "nycflights13:EWR wind_speed (mph as stored)":
			flagged = 1
		}
		if strings.HasPrefix(name, "nycflights13:") {
			reported = 1
		}
		found := Screen(hourly(speedAt(10, source(t))))
		for _, f := range found {
			switch {
			case f.Action == ActionFlagged:
				flagged--
			case f.Rule == "suspect_unit" && strings.Contains(f.Detail, "whole knots written in mph"):
				reported--
			default:
				reported = -1000
			}
		}
		if flagged != 0 || reported != 0 {
			t.Errorf("%s: %+v", name, found)
		}
	}
}

func TestScreenRange(t *testing.T) {
	c := Channel{Name: "v", Quantity: Speed, Values: []float64{3, 80, 90, math.NaN(), -1, math.Inf(1), 75, 0}}
	d := Channel{Name: "d", Quantity: Direction, Values: []float64{0, 360, 361, -1, 90, math.NaN(), 90, 91}}
	h := Channel{Name: "h", Quantity: Humidity, Values: []float64{0, 1, 1.05, 55, 0.5, 0.6, 0.7, 0.8}}
	p := Channel{Name: "p", Quantity: Pressure, Values: []float64{1013, 101300, 101300, 101300, 101300, 101300, 101300, 101300}}
	a := Channel{Name: "t", Quantity: Temperature, Values: []float64{-60, 20, 20, 20, 20, 300, 20, 20}}
	s := hourly(c, d, h, p, a)
	before := append([]float64(nil), s.Channels[0].Values...)
	got := Screen(s)
	want := []struct {
		channel  string
		from, to int
		says     string
	}{
		{"v", 1, 2, "90 m/s is outside 0 to 75 m/s"},
		{"v", 4, 5, "+Inf m/s is outside"},
		{"d", 2, 3, "361° is outside 0 to 360°"},
		{"h", 3, 3, "55 is outside 0 to 1.05"},
		{"p", 0, 0, "1013 Pa is outside"},
		{"t", 5, 5, "300 °C is outside"},
	}
	if len(got) != len(want) {
		t.Fatalf("got %d findings: %+v", len(got), got)
	}
	for i, w := range want {
		f := got[i]
		if f.Rule != "range" || f.Channel != w.channel || f.FromUnix != s.Times[w.from] || f.ToUnix != s.Times[w.to] ||
			f.Count != w.to-w.from+1 || !strings.Contains(f.Detail, w.says) {
			t.Errorf("finding %d: got %+v, want %+v", i, f, w)
		}
	}
	for i, v := range before {
		if x := s.Channels[0].Values[i]; x != v && !math.IsNaN(v) {
			t.Errorf("value %d changed from %g to %g", i, v, x)
		}
		flagged := i == 1 || i == 2 || i == 4 || i == 5
		if (s.Channels[0].Flags[i] == FlagRange) != flagged {
			t.Errorf("value %d has flags %b", i, s.Channels[0].Flags[i])
		}
	}
	// The second time is as the first, and other flags stay.
	s.Channels[0].Flags[0] = FlagSource
	if again := Screen(s); len(again) != len(got) || s.Channels[0].Flags[0] != FlagSource {
		t.Errorf("screened again: %+v", again)
	}
}

func TestScreenManyStretches(t *testing.T) {
	values := gusty(1000)
	for i := 0; i < 500; i += 2 {
		values[i] = -3
	}
	s := hourly(speedAt(10, values))
	got := Screen(s)
	total := 0
	for _, f := range got {
		total += f.Count
	}
	last := got[len(got)-1]
	if len(got) != 101 || total != 250 || last.Count != 150 || last.FromUnix != s.Times[200] || last.ToUnix != s.Times[498] ||
		!strings.Contains(last.Detail, "150 more") {
		t.Errorf("%d findings with %d values, last %+v", len(got), total, last)
	}
}

func TestScreenFlatLine(t *testing.T) {
	values := gusty(5000)
	freeze := func(from, n int, v float64) {
		for i := from; i < from+n; i++ {
			values[i] = v
		}
	}
	freeze(100, 5, 4.4)  // too short
	freeze(300, 40, 7.1) // frozen
	freeze(700, 40, 0)   // calm
	freeze(900, 20, 5)   // parted by a gap into two of 10: each long enough
	s := hourly(speedAt(10, values))
	for i := 910; i < len(s.Times); i++ {
		s.Times[i] += 7200
	}
	got := Screen(s)
	if got[0].Rule != "missing_stamps" || got[0].Count != 2 {
		t.Errorf("%+v", got[0])
	}
	got = got[1:]
	if len(got) != 3 || got[0].Count != 40 || got[1].Count != 10 || got[2].Count != 10 || got[0].FromUnix != s.Times[300] {
		t.Errorf("%+v", got)
	}
	for _, f := range got {
		if f.Rule != "flat_line" {
			t.Errorf("%+v", f)
		}
	}
}

func TestScreenIcing(t *testing.T) {
	values, vane, air := gusty(500), gusty(500), make([]float64, 500)
	for i := range values {
		vane[i] = math.Mod(vane[i]*30, 360) // swings
		air[i] = 10
	}
	still := func(from, n int, direction, swing, celsius float64) {
		for i := from; i < from+n; i++ {
			values[i], vane[i], air[i] = 0, math.Mod(direction+swing*float64(i%2), 360), celsius
		}
	}
	still(10, 8, 359.5, 1, -3) // iced: the vane stands over north
	still(50, 8, 200, 1, 5)    // too warm
	still(100, 8, 200, 40, -3) // the vane swings
	still(150, 5, 200, 1, -3)  // too short
	still(200, 20, 0, 0, -3)   // direction 0 is the code for calm
	still(300, 30, 0, 0, -3)   // but not for a day and more
	s := hourly(speedAt(10, values), Channel{Name: "vane", Quantity: Direction, HeightM: 10, Values: vane},
		Channel{Name: "air", Quantity: Temperature, HeightM: 2, Values: air})
	got := Screen(s)
	if len(got) != 2 || got[0].FromUnix != s.Times[10] || got[0].Count != 8 || got[1].FromUnix != s.Times[300] || got[1].Count != 30 {
		t.Fatalf("%+v", got)
	}
	if got[0].Rule != "icing" || s.Channels[0].Flags[12] != FlagIcing {
		t.Errorf("%+v", got[0])
	}
	s.Channels = s.Channels[:2] // without temperature there is no telling
	if got := Screen(s); len(got) != 0 {
		t.Errorf("%+v", got)
	}
}

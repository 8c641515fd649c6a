package resource

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// TestShearOfTwoSpeeds: 4.0 m/s at 10 m and 4.9 m/s at 20 m make an exponent of 0.292782 and a roughness length of 0.459292 m
// (computed from the two laws elsewhere; tolerance the printed digits).
func TestShearOfTwoSpeeds(t *testing.T) {
	const n = 24 * 40
	low, high := make([]float64, n), make([]float64, n)
	for i := range low {
		low[i], high[i] = 4, 4.9
	}
	table, err := MeasuredShear(hourly(speedAt(10, low), speedAt(20, high)), 12)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []ShearClass{table.OverallClass(), table.At(0, 3, true), table.At(-1, -1, false)} {
		near(t, "exponent", c.Exponent, 0.292782, 0.5e-6)
		near(t, "roughness", c.RoughnessM, 0.459292, 0.5e-6)
		near(t, "standard error", c.StandardError, 0, 1e-9)
	}
	near(t, "highest", table.HighestM, 20, 0)
	if w := table.Warnings(); w != nil {
		t.Errorf("warnings: %+v", w)
	}

	// A wind that falls with height has no roughness length.
	table, err = MeasuredShear(hourly(speedAt(10, high), speedAt(20, low)), 12)
	if err != nil || !math.IsNaN(table.OverallClass().RoughnessM) || !(table.Overall < 0) {
		t.Errorf("falling: %+v, %v", table.OverallClass(), err)
	}
	var none ShearTable
	if !math.IsNaN(none.At(0, 0, true).Exponent) || none.Warnings() != nil {
		t.Error("the zero table must say nothing")
	}
}

// monthly is years of hours at 10 and 40 m from 1 January 2013 in each of which two sectors' winds blow by turns, with an
// exponent of a law and, in the high speed, an error common to a day's hours and one of each hour.
func monthly(r *rand.Rand, years int, law func(month, sector int, day bool) float64, common, single float64) *Series {
	n := 8760 * years
	low, high, direction := make([]float64, n), make([]float64, n), make([]float64, n)
	s := hourly(speedAt(10, low), speedAt(40, high), Channel{Quantity: Direction, HeightM: 10, Values: direction})
	w := Weibull{Shape: 2, Scale: 7}
	today := 0.0
	for i := range low {
		if HourOf(s.Times[i], 0) == dayFromHour {
			today = common * r.NormFloat64()
		}
		sector := i / 24 % 2 * 6 // north one day, south the next
		direction[i] = float64(30*sector) + 20*(r.Float64()-0.5)
		if direction[i] < 0 {
			direction[i] += 360
		}
		low[i] = w.Quantile(r.Float64())
		e := law(MonthOf(s.Times[i], 0), sector, IsDay(s.Times[i], 0))
		high[i] = low[i] * math.Pow(4, e) * (1 + today + single*r.NormFloat64())
	}
	return s
}

// TestShearByMonth: known exponents by month, sector, night and day come back exactly where the law is exact, from the class
// that is theirs, and where a class is thin from the next wider in the stated order.
func TestShearByMonth(t *testing.T) {
	law := func(month, sector int, day bool) float64 {
		e := 0.2 + 0.01*float64(month) + 0.02*float64(sector)
		if day {
			e -= 0.12
		}
		return e
	}
	s := monthly(rand.New(rand.NewPCG(1, 2)), 1, law, 0, 0)
	table, err := MeasuredShear(s, 12)
	if err != nil {
		t.Fatal(err)
	}
	for month := range 12 {
		for _, sector := range []int{0, 6} {
			for _, day := range []bool{false, true} {
				c := table.At(month, sector, day)
				near(t, "exponent", c.Exponent, law(month, sector, day), 1e-12)
				if c.Source != "sector, day and month" || c.N < 50 {
					t.Errorf("%+v", c)
				}
			}
		}
		// A sector without wind takes the month, with both the others' directions in it.
		c := table.At(month, 3, true)
		if c.Source != "day and month" || c != table.At(month, -1, true) || c != table.At(month, 99, true) {
			t.Errorf("%+v", c)
		}
		if e := c.Exponent; !(e > law(month, 0, true) && e < law(month, 6, true)) {
			t.Errorf("exponent %g", e)
		}
	}
	if c := table.At(-1, 6, true); c.Source != "sector and day" || c.Exponent != table.Exponent[6][1] {
		t.Errorf("%+v", c)
	}
	if c := table.At(-1, -1, true); c.Source != "day" || c.Exponent != table.ByDay[1] {
		t.Errorf("%+v", c)
	}

	// South by night in May: all but 40 hours gone. North by day and night gone but for 60 hours.
	kept := map[string]int{}
	for i := range s.Times {
		k, day, month := SectorOf(s.Channels[2].Values[i], 12), IsDay(s.Times[i], 0), MonthOf(s.Times[i], 0)
		var name string
		most := 30
		switch {
		case k == 6 && !day && month == 4:
			name, most = "May", 40
		case k == 0 && day:
			name = "north by day"
		case k == 0:
			name = "north by night"
		default:
			continue
		}
		if s.Channels[0].Values[i] > 3 && s.Channels[1].Values[i] > 3 {
			if kept[name]++; kept[name] > most {
				s.Channels[1].Values[i] = math.NaN()
			}
		}
	}
	if table, err = MeasuredShear(s, 12); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		month, sector int
		source        string
	}{{4, 6, "sector and day"}, {5, 6, "sector, day and month"}, {5, 0, "sector"}, {-1, 0, "sector"}, {5, -1, "day and month"}} {
		if got := table.At(c.month, c.sector, false); got.Source != c.source {
			t.Errorf("month %d, sector %d: %+v, want %q", c.month, c.sector, got, c.source)
		}
	}
	// Daily means know no night; what month they are of is left aside too.
	s.StepS = secondsPerDay
	if table, err = MeasuredShear(s, 12); err != nil || table.At(5, 6, false).Source != "sector" || table.At(5, 3, true).Source != "all" {
		t.Errorf("daily: %+v, %v", table.At(5, 6, false), err)
	}
}

// TestShearChecks: a third sensor that follows the profile passes, one that reads 5 % high is told of, and one that is dead, or
// of unknown height, is no check.
func TestShearChecks(t *testing.T) {
	law := func(month, sector int, day bool) float64 {
		e := 0.15 + 0.01*float64(month) + 0.01*float64(sector)
		if day {
			e -= 0.1
		}
		return e
	}
	s := monthly(rand.New(rand.NewPCG(5, 6)), 1, law, 0, 0)
	at := func(heightM, factor float64) Channel {
		values := make([]float64, s.Len())
		for i, v := range s.Channels[0].Values {
			e := law(MonthOf(s.Times[i], 0), SectorOf(s.Channels[2].Values[i], 12), IsDay(s.Times[i], 0))
			values[i] = factor * v * math.Pow(heightM/10, e)
		}
		return speedAt(heightM, values)
	}
	dead := at(30, 1)
	for i := range dead.Values[50:] {
		dead.Values[50+i] = math.NaN()
	}
	// In reach of the widest pair, 10 and 40 m: 15 m low, 30 m high, and a second sensor at 40 m that reads 5 % more.
	s.Channels = append(s.Channels, at(40, 1.05), at(30, 1), at(15, 1), dead, speedAt(math.NaN(), s.Channels[0].Values))
	table, err := MeasuredShear(s, 12)
	if err != nil {
		t.Fatal(err)
	}
	want := []ShearCheck{{HeightM: 15, Channel: 5}, {HeightM: 30, Channel: 4}, {HeightM: 40, Channel: 3, RelativeError: 1/1.05 - 1}}
	if len(table.Checks) != len(want) {
		t.Fatalf("checks %+v", table.Checks)
	}
	for i, w := range want {
		c := table.Checks[i]
		if c.HeightM != w.HeightM || c.Channel != w.Channel || c.N != table.N {
			t.Errorf("check %+v, want %+v", c, w)
		}
		near(t, "relative error", c.RelativeError, w.RelativeError, 1e-9)
		near(t, "of the two means", c.PredictedMS/c.MeasuredMS-1, c.RelativeError, 1e-12)
	}
	warnings := table.Warnings()
	if len(warnings) != 1 || warnings[0].Code != "shear_check" {
		t.Errorf("warnings %+v", warnings)
	}

	// Weeks of scatter leave the exponent uncertain, and of days not even that can be said.
	s = monthly(rand.New(rand.NewPCG(7, 8)), 1, law, 0.4, 0.1)
	for _, days := range []int{24, 8} {
		for c := range s.Channels {
			s.Channels[c].Values = s.Channels[c].Values[:24*days]
		}
		s.Times = s.Times[:24*days]
		if table, err = MeasuredShear(s, 12); err != nil {
			t.Fatal(err)
		}
		if e := table.OverallClass().StandardError; math.IsNaN(e) != (days == 8) {
			t.Errorf("%d days: standard error %g", days, e)
		}
		if w := table.Warnings(); len(w) != 1 || w[0].Code != "shear_uncertain" {
			t.Errorf("%d days: %+v: %+v", days, table.OverallClass(), w)
		}
	}
}

// TestShearInvariance: turning all directions by 30° turns the table and nothing else; speeds in knots and back, stamps of
// nothing put in, and a record cut in two and joined change nothing.
func TestShearInvariance(t *testing.T) {
	law := func(month, sector int, day bool) float64 { return 0.1 + 0.01*float64(month+sector) }
	base := monthly(rand.New(rand.NewPCG(9, 10)), 1, law, 0.1, 0.1)
	want, err := MeasuredShear(base, 12)
	if err != nil {
		t.Fatal(err)
	}
	same := func(t *rapid.T, a, b ShearClass) {
		if a.N != b.N || a.Source != b.Source || math.Abs(a.Exponent-b.Exponent) > 1e-12 ||
			math.Abs(a.StandardError-b.StandardError) > 1e-9 || math.Abs(a.RoughnessM-b.RoughnessM) > 1e-9*b.RoughnessM {
			t.Fatalf("got %+v, want %+v", a, b)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		turn := rapid.IntRange(0, 11).Draw(t, "turn")
		cut := rapid.IntRange(1, base.Len()-1).Draw(t, "cut")
		s := &Series{StepS: base.StepS}
		for _, c := range base.Channels {
			s.Channels = append(s.Channels, Channel{Quantity: c.Quantity, HeightM: c.HeightM})
		}
		add := func(i int, missing bool) {
			s.Times = append(s.Times, base.Times[i])
			for k := range base.Channels {
				v := base.Channels[k].Values[i]
				if base.Channels[k].Quantity == Direction {
					v = math.Mod(v+30*float64(turn), 360)
				} else {
					v = v / 0.514444 * 0.514444
				}
				if missing {
					v = math.NaN()
				}
				s.Channels[k].Values = append(s.Channels[k].Values, v)
			}
		}
		for i := range base.Times {
			add(i, false)
			if i == cut {
				add(i, true)
				s.Times[len(s.Times)-1] += 1800
			}
		}
		got, err := MeasuredShear(s, 12)
		if err != nil {
			t.Fatal(err)
		}
		same(t, got.OverallClass(), want.OverallClass())
		for month := -1; month < 12; month++ {
			for _, day := range []bool{false, true} {
				same(t, got.At(month, -1, day), want.At(month, -1, day))
				for k := range 12 {
					same(t, got.At(month, (k+turn)%12, day), want.At(month, k, day))
				}
			}
		}
	})
}

package extreme

import (
	"math"
	"testing"
	"time"

	"mastworth/resource"
)

// TestAnnualMaximaByHand: two whole years, one of three quarters, one flagged peak, one missing.
func TestAnnualMaximaByHand(t *testing.T) {
	const days = 366 + 365 + 273 // 2012, 2013, until September 2014
	speeds := make([]float64, days)
	for i := range speeds {
		speeds[i] = 5
	}
	s := record(date(2012, 1, 1), secondsPerDay, speeds)
	c := &s.Channels[0]
	c.Flags = make([]resource.Flag, days)
	speeds[100], speeds[200], speeds[300] = 21, 30, math.NaN()
	c.Flags[200] = resource.FlagSpike
	speeds[366] = 19 // on 1 January 2013
	speeds[800] = 40
	got := AnnualMaxima(s, 0)
	if len(got) != 2 {
		t.Fatalf("got %+v", got)
	}
	want := []Maximum{
		{2012, 21, date(2012, 1, 1).Unix() + 100*secondsPerDay, 364.0 / 366},
		{2013, 19, date(2013, 1, 1).Unix(), 1},
	}
	for i, w := range want {
		if got[i] != w {
			t.Errorf("got %+v, want %+v", got[i], w)
		}
	}
	// Local standard time decides the year: an hour west of it the last day of 2012 has the peak of 1 January.
	s.UTCOffsetS = -3600
	if got = AnnualMaxima(s, 0); len(got) != 2 || got[1].SpeedMS != 5 || got[1].Year != 2013 {
		t.Errorf("an hour west: %+v", got)
	}
	s.Kind = resource.TypicalYear
	if got = AnnualMaxima(s, 0); got != nil {
		t.Errorf("typical year: %+v", got)
	}
}

// TestStormMaximaByHand: peaks nearer than 4 days are of one storm, the larger one of which counts.
func TestStormMaximaByHand(t *testing.T) {
	speeds := make([]float64, 2*365*24)
	for i := range speeds {
		speeds[i] = 4 + math.Sin(float64(i))
	}
	day := func(d, hour int, v float64) { speeds[24*d+hour] = v }
	day(10, 3, 20)
	day(13, 2, 22)  // less than 4 days on: the same storm
	day(17, 2, 18)  // 4 days to the hour: another
	day(40, 5, 15)  // below the threshold
	day(200, 5, 25) //
	s := record(date(2013, 1, 1), 3600, speeds)
	storms, perYear := StormMaxima(s, 0, StormOptions{ThresholdMS: 16})
	want := []float64{22, 18, 25}
	if len(storms) != len(want) {
		t.Fatalf("got %+v", storms)
	}
	for i, w := range want {
		near(t, "peak", storms[i].SpeedMS, w, 0)
		if storms[i].Year != 2013 || storms[i].Completeness != 1 {
			t.Errorf("got %+v", storms[i])
		}
	}
	near(t, "a year", perYear, 3/(730/365.2425), 1e-12)
	if storms[2].AtUnix != date(2013, 1, 1).Add((200*24+5)*time.Hour).Unix() {
		t.Errorf("at %d", storms[2].AtUnix)
	}

	if storms, _ = StormMaxima(s, 0, StormOptions{ThresholdMS: 16, ApartS: 2 * secondsPerDay}); len(storms) != 4 {
		t.Errorf("2 days apart: %+v", storms)
	}
	if storms, perYear = StormMaxima(s, 0, StormOptions{ThresholdMS: math.NaN()}); len(storms) != 20 || math.Abs(perYear-10) > 0.05 {
		t.Errorf("of itself: %d storms, %g a year", len(storms), perYear)
	}
	for i := 1; i < len(storms); i++ {
		if storms[i].AtUnix-storms[i-1].AtUnix < stormApartS {
			t.Errorf("storms %d and %d stand too near", i-1, i)
		}
	}
	for i := range speeds {
		speeds[i] = math.NaN()
	}
	if storms, perYear = StormMaxima(s, 0, StormOptions{}); storms != nil || !math.IsNaN(perYear) {
		t.Errorf("no speeds: %+v, %g", storms, perYear)
	}
}

// irish are the daily means of a station, m/s, 1961 to 1978 (Haslett & Raftery 1989), by its column.
func irish(t testing.TB, column int) *resource.Series {
	rows := shared(t, "data/irish_wind/irish_wind_daily_knots_1961_1978_6stations.csv")
	var speeds []float64
	for _, row := range rows[1:] {
		speeds = append(speeds, number(row[column])*0.514444)
	}
	s := record(date(1961, 1, 1), secondsPerDay, speeds)
	s.Kind = resource.Daily
	return s
}

// reanalysis is ten years of hourly reanalysis at 50 or 10 m, August 2015 to August 2025, and the largest of each year counted
// by straight code.
func reanalysis(t testing.TB, heightM float64) (s *resource.Series, largest map[int]float64) {
	rows := shared(t, "data/nasa_power/POWER_Point_Hourly_20150801_20250801_024d3415N_120d0E_LST_WS50M_WS10M.csv")
	column := 4
	if heightM == 10 {
		column = 5
	}
	largest = map[int]float64{}
	var speeds []float64
	begun := false
	for _, row := range rows {
		if begun {
			v, year := number(row[column]), int(number(row[0]))
			speeds = append(speeds, v)
			largest[year] = math.Max(largest[year], v)
		}
		begun = begun || row[0] == "YEAR"
	}
	s = record(date(2015, 8, 1), 3600, speeds)
	s.Channels[0].HeightM = heightM
	return s, largest
}

// TestMaximaOfOpenData: the calendar's arithmetic against counting by the files' own year columns.
func TestMaximaOfOpenData(t *testing.T) {
	s, largest := reanalysis(t, 50)
	got := AnnualMaxima(s, 0)
	if len(got) != 9 { // 2016 to 2024
		t.Fatalf("got %d years", len(got))
	}
	for _, m := range got {
		near(t, "largest of the year", m.SpeedMS, largest[m.Year], 0)
		near(t, "completeness", m.Completeness, 1, 1e-12)
	}

	dublin := irish(t, 3)
	got = AnnualMaxima(dublin, 0)
	if len(got) != 18 || got[0].Year != 1961 || got[17].Year != 1978 {
		t.Fatalf("Dublin: %+v", got)
	}
	rows := shared(t, "data/irish_wind/irish_wind_daily_knots_1961_1978_6stations.csv")
	knots := map[int]float64{}
	for _, row := range rows[1:] {
		year := int(number(row[0]))
		if year < 100 {
			year += 1900
		}
		knots[year] = math.Max(knots[year], number(row[3]))
	}
	for _, m := range got {
		near(t, "largest day of the year", m.SpeedMS, knots[m.Year]*0.514444, 1e-12)
	}
}

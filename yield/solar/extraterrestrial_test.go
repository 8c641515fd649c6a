package solar_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"mastworth/yield/solar"
)

// Duffie & Beckman (4th ed.), example 1.5.1: Madison, 89.4° W, 10:30 Central Standard Time on 3 February is 10:19 solar
// time, with an equation of time of −13.5 min.
func ExampleEquationOfTime() {
	e := solar.EquationOfTime(34)
	solarTime := 10*60 + 30 + 4*(90-89.4) + e
	fmt.Printf("%.1f min, %d:%02.0f\n", e, int(solarTime)/60, math.Mod(solarTime, 60))
	// Output: -13.5 min, 10:19
}

// Duffie & Beckman, table 1.6.1.
func TestMeanDayDeclination(t *testing.T) {
	want := [12]float64{-20.9, -13.0, -2.4, 9.4, 18.8, 23.1, 21.2, 13.5, 2.2, -9.6, -18.9, -23.0}
	for m, n := range solar.MeanDays {
		near(t, time.Month(m+1).String(), solar.Declination(float64(n)), want[m], 0.05)
	}
}

// Duffie & Beckman, example 1.10.1: 43° N on 15 April, 33.8 MJ/m² (from memory; recomputed as 33.775).
func TestDailyExtraterrestrial(t *testing.T) {
	near(t, "43 N, 15 April", 3.6*solar.DailyExtraterrestrial(43, 105, 1367), 33.775, 1e-3)
}

// The monthly table for 14 latitudes, recomputed from Duffie & Beckman's equations in reference/H0_monthly_MJ_m2.csv;
// a few of its figures stand here so that something is checked where the file is absent.
func TestMonthlyExtraterrestrial(t *testing.T) {
	at40 := [12]float64{15.21, 20.54, 27.44, 34.63, 39.69, 41.76, 40.67, 36.53, 29.99, 22.53, 16.44, 13.76}
	for m, n := range solar.MeanDays {
		near(t, "40 N", 3.6*solar.DailyExtraterrestrial(40, float64(n), 1367), at40[m], 0.0051)
	}
	rows, err := csv.NewReader(openData(t, "reference/H0_monthly_MJ_m2.csv")).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		for m, n := range solar.MeanDays {
			got := 3.6 * solar.DailyExtraterrestrial(num(t, row[0]), float64(n), 1367)
			near(t, row[0]+" "+rows[0][m+1], got, num(t, row[m+1]), 0.0051)
		}
	}
}

func TestSunsetHourAngle(t *testing.T) {
	near(t, "equator", solar.SunsetHourAngle(0, 23), 90, 1e-9)
	near(t, "equinox", solar.SunsetHourAngle(55, 0), 90, 1e-9)
	near(t, "polar day", solar.SunsetHourAngle(80, 20), 180, 0)
	near(t, "polar night", solar.SunsetHourAngle(-80, 20), 0, 0)
	near(t, "pole", solar.SunsetHourAngle(90, -1e-9), 0, 0)
	near(t, "night has no sun", solar.DailyExtraterrestrial(80, 355, 1367), 0, 0)
}

// ETR and ETRN of two TMY3 files: the publisher's own hourly extraterrestrial irradiation is an outside check of sun
// position, half-hour centring, and the part of an hour with the sun up. It is printed in whole Wh/m²,
// it seems rounded upwards.
func TestHourlyExtraterrestrialTMY3(t *testing.T) {
	for _, name := range []string{golden, jfkTMY3} {
		y := readYear(t, name)
		above := solar.Steps(y.site)
		sum, want, absolute := 0.0, 0.0, 0.0
		n, full := 0, 0
		for i, begin := range y.series.Times {
			got, normal, _, share := above(begin, 3600)
			if got == 0 && y.etr[i] == 0 {
				continue
			}
			n++
			sum, want, absolute = sum+got, want+y.etr[i], absolute+math.Abs(got-y.etr[i])
			if math.Abs(got-y.etr[i]) > 9 {
				t.Errorf("%s hour %d: %.1f Wh/m², published %.0f", name, i, got, y.etr[i])
			}
			if share > 0.999 && y.etrn[i] > 1300 { // a whole hour of sun in both
				full++
				near(t, "normal", normal, y.etrn[i], 3)
			}
		}
		t.Logf("%s: %d hours, mean difference %.2f, mean absolute %.2f Wh/m², sum %.4f of the published",
			name, n, (sum-want)/float64(n), absolute/float64(n), sum/want)
		near(t, name+" sum", sum/want, 1, 0.003)
		near(t, name+" mean absolute difference", absolute/float64(n), 0, 2)
		if full < 3500 {
			t.Errorf("only %d whole hours compared", full)
		}
	}
}

func TestCalendar(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		day := rapid.Int64Range(-200000, 200000).Draw(t, "day")
		want := time.Unix(day*86400, 0).UTC()
		year, month, dayOfMonth := solar.MonthOfDay(day)
		if int(year) != want.Year() || month != int(want.Month())-1 || dayOfMonth != want.Day() {
			t.Fatalf("day %d: %d-%d-%d, want %s", day, year, month+1, dayOfMonth, want)
		}
		if first := solar.DayOfYear1(year); first != day-int64(want.YearDay())+1 {
			t.Fatalf("first day of %d is %d", year, first)
		}
	})
}

package resource

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestCalendarAgainstTime holds the quick calendar against the standard library's.
func TestCalendarAgainstTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unix := rapid.Int64Range(-6e10, 2e11).Draw(t, "unix") // years 68 to 8307
		offset := rapid.Int64Range(-14*3600, 14*3600).Draw(t, "offset")
		want := time.Unix(unix+offset, 0).UTC()
		if got := MonthOf(unix, offset); got != int(want.Month())-1 {
			t.Fatalf("month %d, want %s", got, want.Month())
		}
		if got := HourOf(unix, offset); got != want.Hour() {
			t.Fatalf("hour %d, want %d", got, want.Hour())
		}
		if got := IsDay(unix, offset); got != (want.Hour() >= 7 && want.Hour() < 19) {
			t.Fatalf("day %t at %d h", got, want.Hour())
		}
		day := floorDiv(unix+offset, secondsPerDay)
		year, month, ofMonth := civil(day)
		if year != int64(want.Year()) || month != int(want.Month())-1 || ofMonth != want.Day() || dayOf(year, month, ofMonth) != day {
			t.Fatalf("%d-%d-%d, want %s", year, month+1, ofMonth, want)
		}
	})
}

func TestPeriodTimes(t *testing.T) {
	first := time.Date(2019, 12, 15, 6, 30, 0, 0, time.UTC).Unix()
	end := time.Date(2021, 2, 3, 12, 0, 0, 0, time.UTC).Unix()
	const day = secondsPerDay
	for month, want := range map[int]int64{
		0: 62 * day, 1: 29*day + 2*day + day/2, 2: 31 * day, 11: 16*day + day - 6*3600 - 1800 + 31*day,
	} {
		near(t, "month's time", float64(monthTime(month, first, end)), float64(want), 0)
	}
	months, hours := int64(0), int64(0)
	for m := range 12 {
		months += monthTime(m, first, end)
	}
	for h := range 24 {
		hours += hourTime(h, first, end)
	}
	near(t, "all months", float64(months), float64(end-first), 0)
	near(t, "all hours", float64(hours), float64(end-first), 0)
	near(t, "half an hour at the edge", float64(hourTime(6, first, end)-hourTime(5, first, end)), 1800, 0)
	if monthTime(3, end, first) != 0 || hourTime(3, end, first) != 0 {
		t.Error("no time backwards")
	}
}

func BenchmarkMonthOf(b *testing.B) {
	sum := 0
	for b.Loop() {
		sum += MonthOf(1356998400, 3600)
	}
	_ = sum
}

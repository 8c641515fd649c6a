package resource

import (
	"testing"
	"time"
)

// TestClockNight holds the Sundays on which clocks are changed against the zone tables of the standard library, for those
// years since 1987 in which they agree: every change of these zones must be known.
func TestClockNight(t *testing.T) {
	for _, z := range []struct {
		zone string
		from int // year since which its rule has been as it is
	}{{"Europe/Berlin", 1996}, {"Europe/Dublin", 1996}, {"America/Chicago", 2007}, {"America/Halifax", 2007}, {"Pacific/Auckland", 2008}, {"Australia/Sydney", 2008}} {
		loc, err := time.LoadLocation(z.zone)
		if err != nil {
			t.Skipf("no zone tables: %v", err)
		}
		changes := 0
		for at := time.Date(z.from, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() < 2025; at = at.Add(time.Hour) {
			_, before := at.Add(-time.Hour).In(loc).Zone()
			_, after := at.In(loc).Zone()
			local := at.Unix() + int64(before)
			switch {
			case after > before:
				changes++
				if clockNight(local, clocksForward[:]) == "" {
					t.Errorf("%s: no clock goes forward on %s", z.zone, at)
				}
			case after < before:
				changes++
				if clockNight(local-secondsPerHour, clocksBack[:]) == "" {
					t.Errorf("%s: no clock goes back on %s", z.zone, at)
				}
			}
		}
		if changes < 30 {
			t.Errorf("%s: %d changes", z.zone, changes)
		}
	}
	if where := clockNight(time.Date(2013, 3, 17, 2, 0, 0, 0, time.UTC).Unix(), clocksForward[:]); where != "" {
		t.Errorf("the third Sunday of March is of %s", where)
	}
}

// TestScreenLostHour: one hour lost in a spring night tells of summer time, but not among many.
func TestScreenLostHour(t *testing.T) {
	lose := func(others int) []Finding {
		s := mast(600, 120)
		row := int((time.Date(2021, 3, 28, 1, 0, 0, 0, time.UTC).Unix() - s.Times[0]) / 600) // 2:00 at UTC+1
		for i := range others {
			cut(s, row+3000-100*i, 6)
		}
		cut(s, row, 6)
		return Screen(s)
	}
	found := lose(0)
	if len(found) != 2 || found[1].Rule != "clock_shift" || found[1].Count != 6 || found[1].FromUnix != 1616893200 {
		t.Errorf("%s", listed(found))
	}
	if found := lose(25); len(found) != 1 || found[0].Rule != "missing_stamps" || found[0].Count != 26*6 {
		t.Errorf("%s", listed(found))
	}
}

package assess

import (
	"errors"
	"math"
	"slices"
	"testing"
	"time"

	"mastworth/yield"
)

// What is told of each step adds up to what the estimate has of the year: the mean of each calendar month, and months by their days. So
// it does behind a wall that takes from some directions alone, by night and by day.
func TestOwnPowersAddUpToTheEstimate(t *testing.T) {
	s := years(2019, 2, 1, 0.1, 3, 10, 30)
	r := at10m(s)
	r.Site.Obstacles = append(r.Site.Obstacles, wall())
	e := mustRun(t, r)
	for i := range e.Heights {
		h := &e.Heights[i]
		powers, err := OwnPowers(r, h.HubHeightM)
		if err != nil {
			t.Fatal(err)
		}
		var sums, n [12]float64
		for k, p := range powers {
			if p == p {
				m := time.Unix(s.Times[k], 0).UTC().Month() - 1
				sums[m] += p
				n[m]++
			}
		}
		year := 0.0
		for m := range sums {
			year += sums[m] / n[m] * float64(yield.DaysInMonth[m]) * 24 / 1000
			near(t, "a month", sums[m]/n[m]*h.Energy.NetKWh/h.Energy.GrossKWh, 1000*h.Energy.MonthlyKWh[m]/float64(yield.DaysInMonth[m]*24), 1e-9*year)
		}
		near(t, "the year", year, h.Energy.GrossKWh, 1e-9*year)
		again, err := OwnPowers(e.Request, h.HubHeightM)
		if err != nil || !slices.EqualFunc(powers, again, func(a, b float64) bool { return a == b || a != a && b != b }) {
			t.Errorf("at %g m the request as it was completed has other powers: %v", h.HubHeightM, err)
		}
	}
}

// A stretched record tells of its own time, not of the reference's.
func TestOwnPowersAreNotStretched(t *testing.T) {
	s := years(2019, 1, 0.9, 0.15, 1, 10)
	r := stretchedBy(s, years(2015, 6, 1, 0.1, 2, 10))
	r.Site.Obstacles = append(r.Site.Obstacles, wall())
	hub := r.Towers[0].HubHeightM
	got, err := OwnPowers(r, hub)
	if err != nil {
		t.Fatal(err)
	}
	r.Wind.LongTerm = nil
	want, err := OwnPowers(r, hub)
	if err != nil || len(got) != s.Len() {
		t.Fatalf("%d powers of %d steps, %v", len(got), s.Len(), err)
	}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 1e-9*math.Max(1, want[i]) {
			t.Fatalf("step %d: %g W stretched, %g W not", i, got[i], want[i])
		}
	}
}

func TestOwnPowersRefuse(t *testing.T) {
	var invalid *InvalidError
	if _, err := OwnPowers(garden(), garden().Towers[0].HubHeightM); !errors.As(err, &invalid) {
		t.Errorf("of a wind that is no record: %v", err)
	}
	if _, err := OwnPowers(at10m(years(2019, 1, 1, 0.1, 3, 10)), 99); !errors.As(err, &invalid) {
		t.Errorf("at a hub that is none: %v", err)
	}
	broken := at10m(years(2019, 1, 1, 0.1, 3, 10))
	broken.Turbine.RotorDiameterM = -1
	if _, err := OwnPowers(broken, broken.Towers[0].HubHeightM); !errors.As(err, &invalid) {
		t.Errorf("of a request that is wrong: %v", err)
	}
}

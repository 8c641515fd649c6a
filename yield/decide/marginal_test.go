package decide_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"mastworth/yield/decide"
)

func climb(t testing.TB, towers ...decide.Tower) decide.Ladder {
	t.Helper()
	l, err := decide.Climb(towers)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Worked by hand. From 10 to 15 m 100 kWh more cost 50: 0.50; to 20 m 400 more cost 40: 0.10; to 25 m energy falls; to 30 m 300
// more than at 25 m cost 10, but beside 20 m it is 200 for 100: 0.50. The frontier goes 10, 20, 30 m: 90/500 = 0.18, then 0.50;
// 15 m lies above the line from 10 to 20 m, 25 m is dearer than 20 m and gives less.
func TestTowersByHand(t *testing.T) {
	nan := math.NaN()
	l := climb(t, decide.Tower{10, 300, 1000}, decide.Tower{15, 350, 1100}, decide.Tower{20, 390, 1500},
		decide.Tower{25, 480, 1400}, decide.Tower{30, 490, 1700})
	for i, w := range []struct {
		per, marginal, frontier float64
		by                      int
	}{
		{0.3, nan, nan, -1}, {350.0 / 1100, 0.5, nan, -1}, {0.26, 0.1, 0.18, -1}, {480.0 / 1400, nan, nan, 2}, {490.0 / 1700, 10.0 / 300, 0.5, -1},
	} {
		r := l.Rungs[i]
		for name, v := range map[string][2]float64{"per kWh": {r.PerKWh, w.per}, "marginal": {r.MarginalPerKWh, w.marginal}, "frontier": {r.FrontierPerKWh, w.frontier}} {
			if !(math.Abs(v[0]-v[1]) < 1e-12) && !(math.IsNaN(v[0]) && math.IsNaN(v[1])) {
				t.Errorf("%g m, %s: got %g, want %g", r.HubHeightM, name, v[0], v[1])
			}
		}
		if r.Dominated != (w.by >= 0) || r.By != w.by || r.Frontier != slices.Contains([]int{0, 2, 4}, i) {
			t.Errorf("%g m: got %+v", r.HubHeightM, r)
		}
	}
	if !slices.Equal(l.Frontier, []int{0, 2, 4}) || l.Cheapest != 2 {
		t.Errorf("frontier %v, cheapest %d", l.Frontier, l.Cheapest)
	}
	near(t, "extra cost", l.Rungs[3].ExtraCost, 90, 1e-12)
	near(t, "extra energy", l.Rungs[3].ExtraKWh, -100, 1e-12)
}

func TestTowersAtTheEdges(t *testing.T) {
	nan := math.NaN()
	// The taller is both cheaper and gives more: a kWh more costs less than nothing.
	l := climb(t, decide.Tower{10, 300, 1000}, decide.Tower{20, 290, 1100})
	near(t, "less than nothing", l.Rungs[1].MarginalPerKWh, -0.1, 1e-12)
	if !l.Rungs[0].Dominated || l.Rungs[0].By != 1 || !slices.Equal(l.Frontier, []int{1}) || !math.IsNaN(l.Rungs[1].FrontierPerKWh) {
		t.Errorf("got %+v", l)
	}
	// As much for more, and the same again: neither of two equals dominates, the lower stands on the frontier.
	l = climb(t, decide.Tower{10, 300, 1000}, decide.Tower{10, 300, 1000}, decide.Tower{12, 310, 1000})
	if l.Rungs[0].Dominated || l.Rungs[1].Dominated || !l.Rungs[2].Dominated || !slices.Equal(l.Frontier, []int{0}) || l.Cheapest != 0 {
		t.Errorf("got %+v", l)
	}
	// In one line all are on the frontier.
	if l = climb(t, decide.Tower{10, 100, 100}, decide.Tower{20, 200, 200}, decide.Tower{30, 300, 300}); len(l.Frontier) != 3 {
		t.Errorf("got %v", l.Frontier)
	}
	// What is not known takes no part; no energy has no cost of a kWh.
	l = climb(t, decide.Tower{10, 300, 0}, decide.Tower{15, nan, 2000}, decide.Tower{20, 400, nan}, decide.Tower{30, 500, 900})
	if !slices.Equal(l.Frontier, []int{0, 3}) || l.Cheapest != 3 || !math.IsNaN(l.Rungs[0].PerKWh) || !math.IsNaN(l.Rungs[3].MarginalPerKWh) {
		t.Errorf("got %+v", l)
	}
	if l = climb(t); l.Cheapest != -1 || len(l.Frontier) != 0 {
		t.Errorf("got %+v", l)
	}
	for field, towers := range map[string][]decide.Tower{
		"towers[1].hub_height_m": {{20, 1, 1}, {10, 1, 1}},
		"towers[0].hub_height_m": {{nan, 1, 1}},
		"towers[0].yearly_cost":  {{10, -1, 1}},
		"towers[0].yearly_kwh":   {{10, 1, math.Inf(1)}},
	} {
		_, err := decide.Climb(towers)
		blames(t, err, field)
	}
}

// Along the frontier a kWh more costs ever more; no tower lies below it; the cheapest per kWh stands on it.
func TestFrontierIsConvex(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "n")
		towers := make([]decide.Tower, n)
		for i := range towers {
			towers[i] = decide.Tower{HubHeightM: 10 + float64(i), YearlyCost: float64(rapid.IntRange(1, 40).Draw(t, "cost")),
				YearlyKWh: float64(rapid.IntRange(1, 40).Draw(t, "energy"))}
		}
		l, err := decide.Climb(towers)
		if err != nil {
			t.Fatal(err)
		}
		for k := 1; k < len(l.Frontier); k++ {
			a, b := towers[l.Frontier[k-1]], towers[l.Frontier[k]]
			slope := l.Rungs[l.Frontier[k]].FrontierPerKWh
			if !(slope > 0) || k > 1 && slope < l.Rungs[l.Frontier[k-1]].FrontierPerKWh {
				t.Fatalf("slope %g at %d of %v", slope, k, l.Frontier)
			}
			for _, o := range towers {
				if o.YearlyKWh >= a.YearlyKWh && o.YearlyKWh <= b.YearlyKWh && o.YearlyCost < a.YearlyCost+slope*(o.YearlyKWh-a.YearlyKWh)-1e-9 {
					t.Fatalf("%+v lies below the frontier %v", o, l.Frontier)
				}
			}
		}
		best := math.Inf(1)
		for _, i := range l.Frontier {
			best = math.Min(best, l.Rungs[i].PerKWh)
		}
		if best != l.Rungs[l.Cheapest].PerKWh {
			t.Fatalf("the cheapest, %d, is not on the frontier %v", l.Cheapest, l.Frontier)
		}
	})
}

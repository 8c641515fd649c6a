package resource

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// TestShearStandardError: where days have errors of their own, the truth must lie within two standard errors about as often
// as a normal error would, 95 %; a little less in classes by month, whose error rests on some eight spells.
func TestShearStandardError(t *testing.T) {
	law := func(_, sector int, day bool) float64 {
		if day {
			return 0.1 + 0.01*float64(sector)
		}
		return 0.3
	}
	within := map[string]int{}
	total := map[string]int{}
	count := func(name string, c ShearClass, truth float64) {
		total[name]++
		if math.Abs(c.Exponent-truth) <= 2*c.StandardError {
			within[name]++
		}
	}
	for seed := range uint64(40) {
		table, err := MeasuredShear(monthly(rand.New(rand.NewPCG(seed, 3)), 1, law, 0.15, 0.1), 12)
		if err != nil {
			t.Fatal(err)
		}
		for _, sector := range []int{0, 6} {
			for _, day := range []bool{false, true} {
				truth := law(0, sector, day)
				for month := range 12 {
					count("month", table.At(month, sector, day), truth)
				}
				count("year", table.At(-1, sector, day), truth)
			}
		}
	}
	for name, n := range within {
		share := float64(n) / float64(total[name])
		t.Logf("%s: within two standard errors %.3f of %d", name, share, total[name])
		if share < 0.89 || share > 0.985 {
			t.Errorf("%s: within two standard errors in %.1f %%", name, 100*share)
		}
	}
}

// TestShearOfReanalysis holds the table of ten years at 10 and 50 m against the same sums by straight code with the standard
// library's calendar, and its standard error against leaving out one spell at a time (the jackknife).
func TestShearOfReanalysis(t *testing.T) {
	low, high := reanalysis(5, "")(t), reanalysis(4, "")(t)
	s := hourly(speedAt(10, low), speedAt(50, high))
	start := time.Date(2015, 8, 1, 0, 0, 0, 0, time.UTC)
	for i := range s.Times {
		s.Times[i] = start.Unix() + int64(i)*3600
	}
	table, err := MeasuredShear(s, 12)
	if err != nil {
		t.Fatal(err)
	}
	type sums struct{ low, high float64 }
	days := map[int]map[[2]int]sums{} // by length of a block in days and its number
	var all sums
	var classes [12][2]sums
	for i := range low {
		if !(low[i] > 3 && high[i] > 3) {
			continue
		}
		at := start.Add(time.Duration(i) * time.Hour)
		when := 0
		if at.Hour() >= 7 && at.Hour() < 19 {
			when = 1
		}
		c := &classes[at.Month()-1][when]
		c.low, c.high = c.low+low[i], c.high+high[i]
		all.low, all.high = all.low+low[i], all.high+high[i]
		for _, length := range []int{1, 4, 10} {
			if days[length] == nil {
				days[length] = map[[2]int]sums{}
			}
			morning := int(at.Unix()/3600) - 7
			block := [2]int{morning / 24 / length, int(at.Month())}
			b := days[length][block]
			days[length][block] = sums{b.low + low[i], b.high + high[i]}
		}
	}
	exponent := func(a sums) float64 { return math.Log(a.high/a.low) / math.Log(5) }
	near(t, "overall", table.Overall, exponent(all), 1e-12)
	for month := range 12 {
		for when := range 2 {
			c := table.At(month, -1, when == 1)
			near(t, "month", c.Exponent, exponent(classes[month][when]), 1e-12)
			if c.Source != "day and month" {
				t.Errorf("%+v", c)
			}
		}
	}
	jackknife := func(blocks map[[2]int]sums) float64 {
		var without []float64
		mean := 0.0
		for _, b := range blocks {
			without = append(without, exponent(sums{all.low - b.low, all.high - b.high}))
		}
		m := float64(len(without))
		for _, e := range without {
			mean += e / m
		}
		squares := 0.0
		for _, e := range without {
			squares += (e - mean) * (e - mean)
		}
		return math.Sqrt((m - 1) / m * squares)
	}
	near(t, "standard error", table.OverallClass().StandardError, jackknife(days[4]), -0.01)
	t.Logf("overall %.4f ± %.5f; by single days ± %.5f, by ten ± %.5f", table.Overall, table.OverallClass().StandardError,
		jackknife(days[1]), jackknife(days[10]))
}

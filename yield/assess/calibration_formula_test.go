package assess

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"mastworth/resource"
	"mastworth/yield"
)

// daysIn are the statistics of a record of days, by calendar month.
func daysIn(months ...int) *resource.Statistics {
	s := new(resource.Statistics)
	for _, m := range months {
		s.Months[m%12].N += yield.DaysInMonth[m%12]
		s.N += yield.DaysInMonth[m%12]
	}
	return s
}

func inARow(from, n int) (out []int) {
	for k := range n {
		out = append(out, from+k)
	}
	return out
}

// What a record stands for the long run by, worked by hand.
func TestStandsFor(t *testing.T) {
	const day = 86400
	for name, c := range map[string]struct {
		s      *resource.Statistics
		change float64
		want   float64
	}{
		"a year":                {daysIn(inARow(0, 12)...), 0.06, math.Sqrt(0.0036 + 0.0036)},
		"four years":            {daysIn(inARow(0, 48)...), 0.06, math.Sqrt(0.0009 + 0.0036)},
		"four years of a model": {daysIn(inARow(0, 48)...), 0, 0.03},
		// July to December: 184 of 365 days.
		"half a year": {daysIn(inARow(6, 6)...), 0.06,
			math.Sqrt(0.0072 + 0.0289*(365.25/12/184-1.0/12) + 0.0196*math.Pow(math.Sin(math.Pi*184/365)/(math.Pi*184/365), 2))},
		// Twice that: a year's days, and half its season, 0.14·2/π.
		"the same half twice": {daysIn(append(inARow(6, 6), inARow(6, 6)...)...), 0.06, math.Sqrt(0.0072 + math.Pow(0.14*2/math.Pi, 2))},
		"a day":               {&resource.Statistics{N: 1}, 0.06, 0.5},
	} {
		got, words := standsFor(c.s, day, 0.06, c.change)
		if math.Abs(got-c.want) > 0.001 {
			t.Errorf("%s: %.4f, not %.4f", name, got, c.want)
		}
		if strings.Contains(words, "slow changes") != (c.change > 0) || !strings.HasPrefix(words, "year_to_year") {
			t.Errorf("%s: %q", name, words)
		}
	}
}

// Whenever it begins, a longer record in a row is never less sure, and never surer than slow change allows.
func TestStandsForLonger(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from, n := rapid.IntRange(0, 11).Draw(t, "from"), rapid.IntRange(1, 60).Draw(t, "months")
		year, change := rapid.Float64Range(0, 0.2).Draw(t, "year"), rapid.Float64Range(0, 0.1).Draw(t, "change")
		short, _ := standsFor(daysIn(inARow(from, n)...), 86400, year, change)
		longer, _ := standsFor(daysIn(inARow(from, n+1)...), 86400, year, change)
		if longer > short+1e-12 || longer < change {
			t.Errorf("%d months %g, one more %g", n, short, longer)
		}
	})
}

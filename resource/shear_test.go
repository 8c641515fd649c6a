package resource

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// sheared is n hours at 10, 25 and 40 m whose exponent hangs on the sector (of 12) and on day and night.
func sheared(n int, exponent func(sector int, day bool) float64) *Series {
	low := gusty(n)
	high, direction := make([]float64, n), make([]float64, n)
	s := hourly(speedAt(40, high), speedAt(10, low), Channel{Quantity: Direction, HeightM: 10, Values: direction})
	for i := range low {
		direction[i] = math.Mod(37*float64(i), 360)
		e := exponent(SectorOf(direction[i], 12), IsDay(s.Times[i], 0))
		high[i] = low[i] * math.Pow(4, e)
	}
	return s
}

func TestMeasuredShear(t *testing.T) {
	truth := func(sector int, day bool) float64 {
		if day {
			return 0.10 + 0.01*float64(sector)
		}
		return 0.25 + 0.01*float64(sector)
	}
	table, err := MeasuredShear(sheared(8760, truth), 12)
	if err != nil {
		t.Fatal(err)
	}
	if table.LowM != 10 || table.HighM != 40 || table.Low != 1 || table.High != 0 || table.Sectors != 12 {
		t.Errorf("got %+v", table)
	}
	n := 0
	for k := range 12 {
		for d, day := range []bool{false, true} {
			near(t, "exponent", table.Exponent[k][d], truth(k, day), 1e-12)
			near(t, "factor", table.Factor(k, day, 10, 20), math.Pow(2, truth(k, day)), 1e-12)
			n += table.Counts[k][d]
			if table.Source[k][d] != "sector and day" {
				t.Errorf("source %q", table.Source[k][d])
			}
		}
	}
	near(t, "pairs", float64(table.N), float64(n), 0)
	near(t, "unknown sector", table.Factor(-1, true, 10, 40), math.Pow(4, table.ByDay[1]), 1e-12)
	if o := table.Overall; !(o > table.ByDay[1] && o < table.ByDay[0]) {
		t.Errorf("overall %g, by night and day %v", o, table.ByDay)
	}
	if !math.IsNaN(table.Factor(0, true, 0, 10)) || !math.IsNaN(table.Factor(0, true, 10, -1)) {
		t.Error("a factor to no height must be NaN")
	}
}

// TestShearFallback: what has too little data takes the wider class, in the stated order.
func TestShearFallback(t *testing.T) {
	s := sheared(8760, func(sector int, day bool) float64 { return 0.1 + 0.01*float64(sector) })
	a, b := s.Channels[1].Values, s.Channels[0].Values
	for i := range a {
		k, day := SectorOf(s.Channels[2].Values[i], 12), IsDay(s.Times[i], 0)
		if (k == 3 && !day) || (k == 5 && i > 200) {
			a[i] = math.NaN()
		}
		if k == 7 { // below 3 m/s: cups stick
			a[i], b[i] = 2, 2
		}
	}
	table, err := MeasuredShear(s, 12)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		sector, day int
		source      string
		exponent    float64
	}{
		{3, 1, "sector and day", 0.13}, {3, 0, "sector", 0.13}, {5, 0, "day", table.ByDay[0]}, {5, 1, "day", table.ByDay[1]},
		{7, 1, "day", table.ByDay[1]},
	} {
		if got := table.Source[c.sector][c.day]; got != c.source {
			t.Errorf("sector %d, %d: source %q, want %q", c.sector, c.day, got, c.source)
		}
		near(t, "exponent", table.Exponent[c.sector][c.day], c.exponent, 1e-12)
	}

	// Without directions only night and day are told apart, in daily means nothing is.
	s.Channels = s.Channels[:2]
	if table, err = MeasuredShear(s, 12); err != nil || table.Source[0][0] != "day" || table.Counts[0][0] != 0 {
		t.Errorf("without directions: %+v, %v", table, err)
	}
	s.StepS = secondsPerDay
	if table, err = MeasuredShear(s, 12); err != nil || table.Source[0][0] != "all" || table.ByDay[0] != table.Overall {
		t.Errorf("daily: %+v, %v", table, err)
	}
}

func TestNoShear(t *testing.T) {
	steady := func(int, bool) float64 { return 0.2 }
	one := sheared(1000, steady)
	one.Channels = one.Channels[1:]
	near1 := sheared(1000, steady)
	near1.Channels[0].HeightM = 11
	unknown := sheared(1000, steady)
	unknown.Channels[0].HeightM = math.NaN()
	short := sheared(40, steady)
	flagged := sheared(1000, steady)
	flagged.Channels[0].Flags = make([]Flag, 1000)
	for i := range flagged.Channels[0].Flags {
		flagged.Channels[0].Flags[i] = FlagFlat
	}
	for name, c := range map[string]struct {
		s    *Series
		says string
	}{
		"one height": {one, "no two wind speeds"}, "too near": {near1, "a fifth apart"}, "unknown height": {unknown, "known heights"},
		"short": {short, "at least 50"}, "flagged": {flagged, "0.0 hours"},
	} {
		if _, err := MeasuredShear(c.s, 12); !errors.Is(err, ErrNoShear) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
	// A dead top sensor gives way to the next below.
	three := sheared(1000, steady)
	top := speedAt(60, make([]float64, 1000))
	three.Channels = append(three.Channels, top)
	if table, err := MeasuredShear(three, 12); err != nil || table.HighM != 40 {
		t.Errorf("dead top: %+v, %v", table, err)
	}
}

// TestReanalysisShear: ten years of reanalysis over the sea at 10 and 50 m have means of 7.958483283 and 8.997121191 m/s
// (reference/weibull_fits.csv), an exponent of ln(8.9971/7.9585)/ln 5 = 0.0762; hours of both above 3 m/s alone must
// come near it.
func TestReanalysisShear(t *testing.T) {
	s := hourly(speedAt(10, reanalysis(5, "")(t)), speedAt(50, reanalysis(4, "")(t)))
	table, err := MeasuredShear(s, 12)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "exponent", table.Overall, 0.0762, 0.003)
}

// TestShearProperties: one law in, the same law out, whatever the number of sectors.
func TestShearProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := rapid.Float64Range(-0.1, 0.6).Draw(t, "exponent")
		sectors := rapid.IntRange(1, 36).Draw(t, "sectors")
		table, err := MeasuredShear(sheared(300, func(int, bool) float64 { return e }), sectors)
		if err != nil {
			t.Fatal(err)
		}
		for k := range sectors {
			for _, got := range table.Exponent[k] {
				if math.Abs(got-e) > 1e-12 {
					t.Fatalf("exponent %g, want %g", got, e)
				}
			}
		}
	})
}

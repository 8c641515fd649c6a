package solar_test

import (
	"errors"
	"math"
	"testing"

	"mastworth/resource"
	"mastworth/yield/solar"
)

// The steps of the published typical years (see data_test.go) add up to the year and to its months, 1e-9.
func TestStepsAddUpToTheYear(t *testing.T) {
	for _, file := range []string{jfkTMY3, golden, portAngeles} {
		y := readYear(t, file)
		want, err := solar.FromSeries(y.series, y.site, facing(40), true, solar.DefaultArray())
		if err != nil {
			t.Fatal(err)
		}
		got, err := solar.Along(y.series, y.site, facing(40), true, solar.DefaultArray())
		if err != nil {
			t.Fatal(err)
		}
		if got.KWhPerKW != want.KWhPerKW || got.Plane != want.Plane || len(got.Warnings) != len(want.Warnings) {
			t.Errorf("%s: the year is %+v, along the steps %+v", file, want, got.Yield)
		}
		whole := addsUp(t, file, y.series, got)
		// A whole year of hours needs no filling: there the powers alone make the year.
		if file != portAngeles { // which has a few hours beyond what is physically possible
			near(t, file+" plain sum", whole/want.KWhPerKW, 1, 1e-9)
		}
	}
}

// addsUp holds the weighed steps against the yield, and returns their plain sum, kWh/kW.
func addsUp(t *testing.T, what string, s *resource.Series, got solar.StepYield) (plain float64) {
	t.Helper()
	year, months := 0.0, make([]float64, 12)
	for i, p := range got.PowerW {
		if p != p {
			if got.Hours[i] != 0 {
				t.Errorf("%s, step %d: not known, yet it stands for %g h", what, i, got.Hours[i])
			}
			continue
		}
		year += p * got.Hours[i] / 1000
		months[resource.MonthOf(s.Times[i]+s.StepS/2, s.UTCOffsetS)] += p * got.Hours[i] / 1000
		plain += p * float64(s.StepS) / 3.6e6
	}
	near(t, what+" year", year/got.KWhPerKW, 1, 1e-9)
	for m := range months {
		near(t, what+" month", months[m]/got.MonthlyKWhPerKW[m], 1, 1e-9)
	}
	return plain
}

// Gaps and flagged values are not known by day and nothing by night, and the rest still adds up to the year.
func TestStepsWithGaps(t *testing.T) {
	y := readYear(t, jfkTMY3)
	for c := range 3 {
		y.series.Channels[c].Flags = make([]resource.Flag, y.series.Len())
	}
	const from, to = 24 * 100, 24 * 110 // ten days of April
	for i := from; i < to; i++ {
		for c := range 3 {
			y.series.Channels[c].Flags[i] = resource.FlagExclude
		}
	}
	got, err := solar.Along(y.series, y.site, facing(40), true, solar.DefaultArray())
	if err != nil {
		t.Fatal(err)
	}
	addsUp(t, "with a gap", y.series, got)
	above := solar.Steps(y.site)
	for i, begin := range y.series.Times {
		_, _, _, share := above(begin, 3600)
		inside := i >= from && i < to
		switch p := got.PowerW[i]; {
		case share <= 0 && p != 0:
			t.Fatalf("step %d: %g W at night", i, p)
		case share > 0 && inside != math.IsNaN(p):
			t.Fatalf("step %d by day, in the gap %t: %g W", i, inside, p)
		case share > 0 && !inside && !(p >= 0 && p < 1100):
			t.Fatalf("step %d: %g W of a kilowatt", i, p)
		}
	}
}

// What FromSeries refuses, Along refuses.
func TestStepsRefused(t *testing.T) {
	y := readYear(t, jfkTMY3)
	if _, err := solar.Along(y.with(3, 4), y.site, facing(40), true, solar.DefaultArray()); !errors.Is(err, solar.ErrNoIrradiance) {
		t.Errorf("without irradiance: %v", err)
	}
	y.series.StepS = 7200
	if _, err := solar.Along(y.series, y.site, facing(40), true, solar.DefaultArray()); !errors.Is(err, solar.ErrStep) {
		t.Errorf("with steps of two hours: %v", err)
	}
}

// BenchmarkAlong is a year of hours with the steps kept; beside BenchmarkFromSeries it shows what that costs.
func BenchmarkAlong(b *testing.B) {
	y := readYear(b, jfkTMY3)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := solar.Along(y.series, y.site, facing(40), true, solar.DefaultArray()); err != nil {
			b.Fatal(err)
		}
	}
}

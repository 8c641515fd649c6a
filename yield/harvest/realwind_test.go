package harvest

import (
	"math"
	"slices"
	"testing"
	"time"
)

// flat is twelve times one power.
func flat(w float64) []float64 {
	out := make([]float64, 12)
	for i := range out {
		out[i] = w
	}
	return out
}

// How windy 2020 was in ten years of a reanalysis off Taiwan at 50 m, by the means and mean cubes that the reference table of fits
// (reference/weibull_fits.csv beside the shared data, made by another program) has of the year and of the whole file: 9.278600865 and
// 8.997121191 m/s, 1488.165251 and 1430.391597 m³/s³.
func TestWindinessOfAKnownYear(t *testing.T) {
	from, to := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC).Unix(), time.Date(2021, 1, 1, 0, 0, 0, 0, time.UTC).Unix()
	for _, c := range []struct {
		name        string
		power       func(v float64) float64
		year, whole float64
	}{
		{"mean speed", func(v float64) float64 { return v }, 9.278600865, 8.997121191},
		{"mean cube", func(v float64) float64 { return v * v * v }, 1488.165251, 1430.391597},
	} {
		m := powerFile(t, c.power)
		m.LongRunW = flat(c.whole)
		w := windiness(t, m)
		ratio, covered := w.Over(from, to)
		near(t, c.name, ratio, c.year/c.whole, 2e-9)
		near(t, "cover", covered, 1, 0)
		first, last := m.Times[0], m.Times[len(m.Times)-1]+m.StepS
		ratio, _ = w.Over(first, last)
		near(t, c.name+" of all of it", ratio, 1, 2e-9)

		m.LongRunW, m.SeasonsW = nil, flat(1) // its own by month, each of ten years and a day
		ratio, _ = windiness(t, m).Over(first, last)
		near(t, c.name+" of all of it, months against themselves", ratio, 1, 1e-12)
	}
}

// A machine that keeps its promise hour by hour in that wind, read at the end of each month of 2020: the plain promise is missed and beaten
// with the seasons' and the year's luck, the corrected one is kept every month, whether it is promised by month or by year, and whether or
// not the record it is corrected by has all months.
func TestCorrectionFollowsTheWind(t *testing.T) {
	curve := func(v float64) float64 { return math.Min(1000, math.Max(0, 8*(v-3)*(v-3))) }
	m := powerFile(t, curve)
	year, months := 0.0, make([]float64, 12)
	var n [12]float64
	for i, p := range m.PowerW {
		k := time.Unix(m.Times[i], 0).UTC().Month() - 1
		months[k] += p
		n[k]++
	}
	seasons := make([]float64, 12)
	for k := range months {
		seasons[k] = months[k] / n[k]
		months[k] *= 24 * float64(time.Date(2021, time.Month(k+2), 0, 0, 0, 0, 0, time.UTC).Day()) / n[k] / 1000
		year += months[k]
	}
	var readings []Reading
	counter, i := 7.0, 0
	for k := range 13 {
		at := time.Date(2020, time.Month(k+1), 1, 0, 0, 0, 0, time.UTC).Unix()
		for ; m.Times[i] < at; i++ {
			if m.Times[i] >= time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC).Unix() {
				counter += m.PowerW[i] / 1000
			}
		}
		readings = append(readings, Reading{AtUnix: at, Meter: true, KWh: counter})
	}
	for _, c := range []struct {
		name           string
		months, record []float64 // what is promised by month; and by which the record tells its seasons
		december       bool      // whether the record has Decembers
		off            float64   // how far a month may be from its promise
	}{
		{"both know seasons", months, seasons, true, 1e-9},
		{"neither does", nil, nil, true, 1e-9},
		// Without Decembers its level is that of eleven months, by the promise's seasons or by none.
		{"the promise's seasons", months, seasons, false, 1e-9},
		{"none, and a month lacking", nil, nil, false, 0.1},
	} {
		m.SeasonsW = c.record
		record := m
		record.PowerW = slices.Clone(m.PowerW)
		for i := range record.PowerW {
			if !c.december && time.Unix(m.Times[i], 0).UTC().Month() == time.December {
				record.PowerW[i] = nan
			}
		}
		got := Compare(readings, Options{Promise: Promise{YearKWh: year, MonthKWh: c.months}, Wind: windiness(t, record), MaxW: 1000})
		farthest, corrected := 0.0, 0
		for _, p := range got.Periods {
			farthest = math.Max(farthest, math.Abs(p.KWh/p.PromisedKWh-1))
			if p.CorrectedKWh == p.CorrectedKWh {
				near(t, c.name+": a month for its wind", p.KWh/p.CorrectedKWh, 1, c.off)
				corrected++
			}
		}
		if want := map[bool]int{true: 12, false: 11}[c.december]; len(got.Periods) != 12 || corrected != want || farthest < 0.1 {
			t.Errorf("%s: %d months, %d corrected, the plain promise is off by %.0f %% at most", c.name, len(got.Periods), corrected, 100*farthest)
		}
		near(t, c.name+": the year for its wind", got.Corrected.Ratio, 1, c.off)
		t.Logf("%s: the year made %.3f of the plain promise; months were off by up to %.0f %%", c.name, got.Promised.Ratio, 100*farthest)
	}
}

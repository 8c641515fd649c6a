package climate

import (
	"math"
	"strings"
	"testing"

	"mastworth/resource"
)

// TestTower: 2012 of the 80 m tower. The shape is reference/weibull_fits.csv's 1.386. Turbulence by speed is held
// against a plain loop over the file's own TI column.
func TestTower(t *testing.T) {
	s, speeds, intensities := tower(t)
	c := of(t, s, Options{Sectors: 16})
	near(t, "k", c.Fits[0].Shape, 1.386, 5e-4)
	if !c.Fits[0].Used || c.Uneven || c.MonthsCounted != 12 || len(c.Years) != 1 {
		t.Errorf("used %v, uneven %v, %d months, years %v", c.Fits[0].Used, c.Uneven, c.MonthsCounted, c.Years)
	}
	near(t, "year", float64(c.Years[0].Year), 2012, 0)
	near(t, "year's completeness", c.Years[0].Completeness, 52699./52704, 1e-12)
	tu := c.Turbulence
	if tu == nil {
		t.Fatal(c.WhyNoTurbulence)
	}
	n := 0
	for bin, got := range tu.Bins {
		sum, squares, count, speed := 0.0, 0.0, 0.0, 0.0
		low, high := float64(bin)+0.5, float64(bin)+1.5
		for i, v := range speeds {
			if v >= low && v < high && !math.IsNaN(intensities[i]) {
				count++
				speed += v
				sum += intensities[i]
			}
		}
		for i, v := range speeds {
			if v >= low && v < high && !math.IsNaN(intensities[i]) {
				squares += (intensities[i] - sum/count) * (intensities[i] - sum/count)
			}
		}
		n += got.N
		near(t, "from", got.FromMS, low, 0)
		near(t, "to", got.ToMS, high, 0)
		near(t, "n", float64(got.N), count, 0)
		near(t, "speed", got.MeanSpeedMS, speed/count, -1e-9)
		near(t, "TI", got.Mean, sum/count, -1e-9)
		if count > 1 {
			sd := math.Sqrt(squares / (count - 1))
			near(t, "SD of TI", got.SD, sd, -1e-8)
			near(t, "representative", got.Representative, sum/count+1.28*sd, -1e-8)
		}
	}
	near(t, "n of all bins", float64(n), float64(tu.N), 0)
	if tu.At15 != tu.Bins[14] || tu.At15.N < 100 {
		t.Errorf("at 15 m/s: %+v", tu.At15)
	}
	near(t, "implied at 15 m/s", tu.Implied15, tu.At15.Representative, 1e-15)
	if _, ok := warned(c, "turbulence_step"); ok {
		t.Error("10 minutes is the step of the standards")
	}
	// Bands of experience for open, hilly-edge country at 80 m, from memory: mean intensity at 15 m/s of 0.08 to 0.20.
	if tu.At15.Mean < 0.08 || tu.At15.Mean > 0.20 {
		t.Errorf("TI at 15 m/s: %g", tu.At15.Mean)
	}
	if c.Gusts != nil || c.WhyNoGusts == "" {
		t.Errorf("gusts %v, %q", c.Gusts, c.WhyNoGusts)
	}
}

// TestMinuteStation: a week of 1-minute means has neither deviations nor gusts, and says so. Strung to steps of 10 minutes
// (mean, deviation and highest of ten means), the gust factor is that of a 1-minute gust in 10 minutes: 1.05 over sea to
// 1.2 over land by the tropical cyclone guidelines of the World Meteorological Organization (2010, from memory).
func TestMinuteStation(t *testing.T) {
	rows := table(t, "data/arm_met/sgpmetE13_20190101-07_1min.csv", 1)
	minutes, bearings := column(rows, 1), column(rows, 3)
	c := of(t, record(60, channel(resource.Speed, 10, minutes), channel(resource.Direction, 10, bearings)), Options{})
	if c.Turbulence != nil || c.Gusts != nil || c.WhyNoTurbulence == "" || c.WhyNoGusts == "" {
		t.Errorf("%v %q, %v %q", c.Turbulence, c.WhyNoTurbulence, c.Gusts, c.WhyNoGusts)
	}
	if d, ok := warned(c, "part_year"); !ok || !strings.HasPrefix(d, "No calendar month is") || c.MonthsCounted != 0 || !math.IsNaN(c.Evened.MeanMS) || c.Average != c.Plain {
		t.Errorf("a week is no year: %+v", c.Warnings)
	}
	var means, deviations, gusts []float64
	ratios, n := 0.0, 0.0
	for i := 0; i+10 <= len(minutes); i += 10 {
		mean, squares, top := 0.0, 0.0, 0.0
		for _, v := range minutes[i : i+10] {
			mean += v / 10
			top = math.Max(top, v)
		}
		for _, v := range minutes[i : i+10] {
			squares += (v - mean) * (v - mean)
		}
		means, deviations, gusts = append(means, mean), append(deviations, math.Sqrt(squares/9)), append(gusts, top)
		if mean >= 5 {
			ratios += top / mean
			n++
		}
	}
	c = of(t, record(600, channel(resource.Speed, 10, means), channel(resource.SpeedSD, 10, deviations),
		channel(resource.Gust, 10, gusts)), Options{})
	near(t, "n", float64(c.Gusts.Above5.N), n, 0)
	near(t, "gust factor", c.Gusts.Above5.Mean, ratios/n, -1e-12)
	if f := c.Gusts.Above5.Mean; f < 1.05 || f > 1.25 {
		t.Errorf("gust factor %g", f)
	}
	// The highest of ten independent normal values lies 1.539 deviations above the mean (Tippett 1925); wind's minutes hang
	// together, which takes a little off.
	if f := (c.Gusts.Above5.Mean - 1) / c.Turbulence.Above5.Mean; f < 1.3 || f > 1.65 {
		t.Errorf("peak factor %g", f)
	}
	if c.Gusts.Odd != 0 {
		t.Errorf("%d gusts below the mean", c.Gusts.Odd)
	}
}

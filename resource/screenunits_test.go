package resource

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// breeze is n speeds of a Weibull distribution of shape 2 and a scale in some unit, each rounded to whole numbers.
func breeze(n int, scale float64) []float64 {
	r := rand.New(rand.NewPCG(3, 4))
	w := Weibull{Shape: 2, Scale: scale}
	out := make([]float64, n)
	for i := range out {
		out[i] = math.Round(w.Quantile(r.Float64()))
	}
	return out
}

func scaled(values []float64, by, to float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = v * by
		if to > 0 {
			out[i] = math.Round(out[i]/to) * to
		}
	}
	return out
}

// TestScreenUnit reads speeds written in one unit as if they were in another. The knot is 1852 m an hour, the mile 1609.344 m:
// by definition.
func TestScreenUnit(t *testing.T) {
	airport := breeze(5000, 8) // knots; less than 3 is written as calm
	for i, v := range airport {
		if v < 3 {
			airport[i] = 0
		}
	}
	for _, c := range []struct {
		name   string
		values []float64
		says   string // "": nothing
	}{
		{"whole knots, converted", scaled(breeze(5000, 12), 1852.0/3600, 0), ""},
		{"whole knots, converted and rounded", scaled(breeze(5000, 12), 1852.0/3600, 0.1), ""},
		{"whole mph, converted", scaled(breeze(5000, 14), 0.44704, 0), ""},
		{"whole km/h, converted", scaled(breeze(5000, 22), 1/3.6, 0.01), ""},
		{"whole m/s", breeze(5000, 6), ""},
		{"whole m/s of a windy place", breeze(5000, 9.5), ""},
		{"whole m/s, no calms below 3", airport, "as airports write knots"},
		{"whole knots", breeze(5000, 12), "in knots, mph or km/h it would be 5."},
		{"knots in mph", scaled(breeze(5000, 8), 1852/1609.344, 0), "whole knots written in mph"},
		{"knots in mph, rounded", scaled(breeze(5000, 8), 1852/1609.344, 0.01), "whole knots written in mph"},
		{"knots in km/h", scaled(breeze(5000, 8), 1.852, 0), "whole knots written in km/h"},
		{"mph in km/h", scaled(breeze(5000, 8), 1.609344, 0), "whole mph written in km/h"},
		{"m/s in km/h", scaled(breeze(5000, 4), 3.6, 0), "whole m/s written in km/h"},
		{"m/s in knots", scaled(breeze(5000, 4), 3600.0/1852, 0.01), "whole m/s written in knots"},
		{"m/s in mph", scaled(breeze(5000, 4), 1/0.44704, 0.01), "whole m/s written in mph"},
		{"km/h, fine", scaled(gusty(5000), 3.6, 0), "more than any place"},
		{"too few", scaled(gusty(400), 3.6, 0), ""},
	} {
		found, err := ScreenWith(hourly(speedAt(10, c.values)), ScreenOptions{Off: []string{"range", "spike", "flat_line"}})
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case c.says == "" && len(found) != 0:
			t.Errorf("%s: %+v", c.name, found)
		case c.says != "" && (len(found) != 1 || found[0].Rule != "suspect_unit" || found[0].Action != ActionReported || !strings.Contains(found[0].Detail, c.says)):
			t.Errorf("%s: %+v", c.name, found)
		}
	}
}

// TestScreenUnitElsewhere: quantities other than speed.
func TestScreenUnitElsewhere(t *testing.T) {
	near := func(mean, sd float64) []float64 {
		r := rand.New(rand.NewPCG(5, 6))
		out := make([]float64, 1000)
		for i := range out {
			out[i] = mean + sd*r.NormFloat64()
		}
		return out
	}
	for _, c := range []struct {
		q        Quantity
		mean, sd float64
		says     string
	}{
		{Temperature, 15, 8, ""}, {Temperature, 38, 3, ""}, {Temperature, -30, 5, ""},
		{Temperature, 59, 8, "°F"}, {Temperature, 288, 8, "kelvin"},
		{Pressure, 101325, 800, ""}, {Pressure, 1013.25, 8, "hPa"}, {Pressure, 101.325, 0.8, "kPa"}, {Pressure, 29.92, 0.3, "inches of mercury"},
		{Humidity, 0.8, 0.02, ""}, {Humidity, 80, 2, "per cent"},
		{GlobalHorizontal, 200, 10, ""},
	} {
		found := Screen(hourly(Channel{Name: "c", Quantity: c.q, HeightM: 2, Values: near(c.mean, c.sd)}))
		said := ""
		for _, f := range found {
			if f.Rule == "suspect_unit" {
				said = f.Detail
			}
		}
		if (c.says == "") != (said == "") || !strings.Contains(said, c.says) {
			t.Errorf("%s of %g: %q", c.q, c.mean, said)
		}
	}
}

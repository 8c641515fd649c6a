package ingest

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
)

// powers is a test log of a machine that makes up to most watts at the rows' own time, with some rows as given.
func powers(rows int, most float64, odd map[int]string) string {
	var b strings.Builder
	b.WriteString("time,ws (m/s),power (W)\n")
	for i := range rows {
		v := fmt.Sprintf("%.0f.5", math.Floor(most*math.Abs(math.Sin(float64(i)/7)))) // never a code
		if o, is := odd[i]; is {
			v = o
		}
		fmt.Fprintf(&b, "2024-03-%02d %02d:%02d,%.1f,%s\n", 1+i/1440, i/60%24, i%60, 3+float64(i%9), v)
	}
	return b.String()
}

// A machine makes 999 W as well as any other power: such a number means a missing value only where it stands apart.
func TestCodesThatMayBeReadings(t *testing.T) {
	odd := map[int]string{100: "999", 200: "990", 300: "-999"}
	often := map[int]string{}
	for i := 0; i < 1500; i += 2 {
		often[i] = "999"
	}
	for name, c := range map[string]struct {
		most float64
		odd  map[int]string
		o    Options
		want map[int]float64 // NaN: missing
		told []string
	}{
		"among its like": {1200, odd, Options{}, map[int]float64{100: 999, 200: 990, 300: math.NaN()},
			[]string{`-999 in "power (W)" means a missing value (1 of them)`, `990 and 999 in "power (W)" are taken for measured, since other values come near; if that means a missing value, say so, as in missing=990`}},
		"apart":         {400, odd, Options{}, map[int]float64{100: math.NaN(), 200: math.NaN(), 300: math.NaN()}, []string{`-999, 990 and 999 in "power (W)" mean a missing value (3 of them)`}},
		"more often":    {1200, often, Options{}, map[int]float64{100: math.NaN(), 2: math.NaN()}, []string{`999 in "power (W)" means a missing value (750 of them)`}},
		"as was said":   {1200, odd, Options{Missing: []string{"999"}}, map[int]float64{100: math.NaN(), 200: 990}, []string{`-999 and 999 in "power (W)" mean a missing value (2 of them)`}},
		"a large plant": {12000, map[int]string{100: "9999"}, Options{}, map[int]float64{100: 9999}, []string{`9999 in "power (W)" is taken for measured`}},
	} {
		text := powers(2000, c.most, c.odd)
		s, rep, err := Read(strings.NewReader(text), c.o)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for i, want := range c.want {
			if got := s.Channels[1].Values[i]; got != want && !(math.IsNaN(got) && math.IsNaN(want)) {
				t.Errorf("%s: row %d is %v, want %v", name, i, got, want)
			}
		}
		for _, want := range c.told {
			if !slices.ContainsFunc(rep.Assumptions, func(a string) bool { return strings.HasPrefix(a, want) }) {
				t.Errorf("%s: %q is not told: %q", name, want, rep.Assumptions)
			}
		}
		inPieces(t, []byte(text), c.o, 300, 5000)
	}
}

package household

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// The shape may be judgement; that it adds up to the energy asked for, turns with the hemisphere and has no jump is not.
func TestAssumedShape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		latitude := rapid.Float64Range(-90, 90).Draw(t, "latitude")
		kWh := rapid.Float64Range(1, 20000).Draw(t, "kWh")
		s := AssumedShape(latitude)
		l, err := s.Load(kWh)
		if err != nil {
			t.Fatal(err)
		}
		if sum := l.YearlyKWh(); math.Abs(sum-kWh) > 1e-9*kWh {
			t.Fatalf("a year of %g kWh has %g", kWh, sum)
		}
		other := AssumedShape(-latitude)
		near := AssumedShape(math.Min(latitude+0.1, 90))
		for m := range 12 {
			if math.Abs(s.Months[m]-other.Months[(m+6)%12]) > 1e-12 {
				t.Fatalf("month %d: %g north, %g six months on in the south", m, s.Months[m], other.Months[(m+6)%12])
			}
			if latitude*(latitude+0.1) > 0 && math.Abs(s.Months[m]-near.Months[m]) > 0.003 {
				t.Fatalf("a jump at latitude %g", latitude)
			}
		}
		if ratio := slices.Max(s.Hours[:]) / slices.Min(s.Hours[:]); ratio < 2.3 || ratio > 2.7 {
			t.Fatalf("highest hour over lowest %g, stated about 2.5", ratio)
		}
	})
}

// Days of the year against the standard library's calendar.
func TestAlong(t *testing.T) {
	var l Load
	for i := range l.W {
		l.W[i] = float64(i)
	}
	for _, c := range []struct {
		at   time.Time
		want int
	}{
		{time.Date(2023, 1, 1, 0, 30, 0, 0, time.UTC), 0}, {time.Date(2023, 12, 31, 23, 0, 0, 0, time.UTC), 8759},
		{time.Date(2024, 2, 28, 5, 0, 0, 0, time.UTC), 58*24 + 5}, {time.Date(2024, 2, 29, 5, 0, 0, 0, time.UTC), 58*24 + 5},
		{time.Date(2024, 3, 1, 0, 0, 0, 0, time.UTC), 59 * 24}, {time.Date(2024, 12, 31, 23, 0, 0, 0, time.UTC), 8759},
		{time.Date(1965, 3, 1, 7, 0, 0, 0, time.UTC), 59*24 + 7},
	} {
		if got := l.Along([]int64{c.at.Unix()}, 0)[0]; got != float64(c.want) {
			t.Errorf("%v: hour %g of the year, want %d", c.at, got, c.want)
		}
		if got := l.Along([]int64{c.at.Unix() - 7200}, 7200)[0]; got != float64(c.want) {
			t.Errorf("%v two hours east: hour %g of the year, want %d", c.at, got, c.want)
		}
	}
}

func hourly(head string, n int, value func(int) float64) []byte {
	var b strings.Builder
	b.WriteString(head + "\n")
	for i := range n {
		fmt.Fprintln(&b, value(i))
	}
	return []byte(b.String())
}

func shapeText(hours, months int) string {
	b := "hour,weight\n"
	for h := range hours {
		b += fmt.Sprintf("%d, %d\n", h, h+1)
	}
	if months > 0 {
		b += "month,weight\n"
		for m := range months {
			b += fmt.Sprintf("%d,%d\n", m+1, 1+m%2)
		}
	}
	return b
}

func TestReadLoad(t *testing.T) {
	l, err := ReadLoad(hourly("Load_kWh", 8760, func(i int) float64 { return float64(i % 2) }), math.NaN())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "energy", l.YearlyKWh(), 4380, 1e-9)
	near(t, "an hour", l.W[1], 1000, 0)
	l, err = ReadLoad(hourly("load_w", 8784, func(i int) float64 { return float64(i) }), math.NaN())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "1 March after a leap day", l.W[59*24], 60*24, 0)
	l, err = ReadLoad([]byte(shapeText(24, 12)), 3000)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "energy of a shape", l.YearlyKWh(), 3000, 1e-9)
	near(t, "hours 23 and 0", l.W[23]/l.W[0], 24, 1e-12)
	near(t, "February and January", l.W[31*24]/l.W[0], 2, 1e-12)
	if l, err = ReadLoad([]byte("\ufeff"+shapeText(24, 0)), 3000); err != nil || l.W[0] != l.W[24*200] {
		t.Errorf("a shape of the day alone: %v", err)
	}

	for want, text := range map[string]string{
		"load csv":          "",
		"load csv, line 1":  "watts\n3\n",
		"load csv, line 3":  "load_w\n1\nx\n",
		"load csv, line 2":  "load_w\n-1\n",
		"load csv, line 25": strings.Replace(shapeText(24, 12), "23, 24", "24, 24", 1),
		"load csv, line 26": strings.Replace(shapeText(24, 12), "month,weight", "hour,weight", 1),
		"yearly_kwh":        shapeText(24, 12),
	} {
		_, err := ReadLoad([]byte(text), math.NaN())
		wantFault(t, want, err)
	}
	for _, text := range []string{shapeText(23, 12), shapeText(24, 11), "load_w\n1\n2\n"} {
		_, err := ReadLoad([]byte(text), 3000)
		wantFault(t, "load csv", err)
	}
}

func FuzzReadLoad(f *testing.F) {
	f.Add([]byte(shapeText(24, 12)))
	f.Add([]byte("load_w\n1\n\"2\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		if l, err := ReadLoad(text, 1000); err == nil && !(math.Abs(l.YearlyKWh()-1000) < 1e-6) {
			t.Errorf("a year of %g kWh, want 1000", l.YearlyKWh())
		}
	})
}

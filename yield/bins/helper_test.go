package bins

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"mastworth/yield"
)

// near checks a number against one from outside: within tol absolutely, or, for tol below 0, within −tol relatively.
func near(t testing.TB, name string, got, want, tol float64) {
	t.Helper()
	limit := tol
	if tol < 0 {
		limit = -tol * math.Abs(want)
	}
	if !(math.Abs(got-want) <= limit) {
		t.Errorf("%s: got %.12g, want %.12g within %g", name, got, want, limit)
	}
}

// shared is the path of a file beside the project. Where it is absent the test is skipped, but in CI it fails.
func shared(t testing.TB, name string) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			t.Fatal("no go.mod above the package")
		}
		dir = parent
	}
	path := filepath.Join(dir, "..", "shared", filepath.FromSlash(name))
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s must be present in CI: %v", path, err)
		}
		t.Skipf("%s is absent: this check against outside data is left out", path)
	}
	return path
}

// referenceCurve reads an open government reference curve: columns of m/s and kW.
func referenceCurve(t testing.TB, name string) *yield.Curve {
	t.Helper()
	f, err := os.Open(shared(t, "reference/"+name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var points []yield.Point
	for _, row := range rows[1:] {
		v, err1 := strconv.ParseFloat(row[0], 64)
		kw, err2 := strconv.ParseFloat(row[1], 64)
		if err1 != nil || err2 != nil {
			t.Fatal(row)
		}
		points = append(points, yield.Point{SpeedMS: v, PowerW: 1000 * kw})
	}
	c, err := yield.NewCurve(points, 1.225)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// plain is a made-up machine of 3.7 m for tests that need no reference: it starts at 3 m/s and makes 2 kW from 11 m/s.
func plain() *yield.Curve {
	c, err := yield.NewCurve([]yield.Point{{SpeedMS: 3}, {SpeedMS: 5, PowerW: 250}, {SpeedMS: 7, PowerW: 750}, {SpeedMS: 9, PowerW: 1500},
		{SpeedMS: 11, PowerW: 2000}, {SpeedMS: 25, PowerW: 2000}}, 1.225)
	if err != nil {
		panic(err)
	}
	return c
}

// weather makes a log of minutes: a wind of Rayleigh's distribution that drifts over hours and gusts from minute to minute,
// the power a curve makes of it and noise, and air that is the reference's.
func weather(seed uint64, minutes int, curve *yield.Curve, mean, noiseW float64) Log {
	r := rand.New(rand.NewPCG(seed, 1))
	l := Log{StepS: 60, Times: make([]int64, minutes), SpeedMS: make([]float64, minutes), PowerW: make([]float64, minutes),
		TemperatureC: make([]float64, minutes), PressurePa: make([]float64, minutes)}
	// Two independent normal components make a Rayleigh speed. Each is part slow, part fast.
	const slow, keep = 0.95, 0.998
	sd := mean * math.Sqrt(2/math.Pi)
	step := math.Sqrt(1 - keep*keep)
	x, y := r.NormFloat64(), r.NormFloat64()
	for i := range l.Times {
		x, y = keep*x+step*r.NormFloat64(), keep*y+step*r.NormFloat64()
		fast := math.Sqrt(1 - slow*slow)
		u, v := slow*x+fast*r.NormFloat64(), slow*y+fast*r.NormFloat64()
		l.Times[i] = 1_700_000_040 + 60*int64(i)
		l.SpeedMS[i] = sd * math.Hypot(u, v)
		l.PowerW[i] = curve.Power(l.SpeedMS[i]) + noiseW*r.NormFloat64()
		// 15 °C and 1013.27 hPa make 1.225 kg/m³ of dry air by the standard's gas constant.
		l.TemperatureC[i] = 15
		l.PressurePa[i] = 1.225 * 287.05 * 288.15
	}
	return l
}

func scaled(values []float64, by float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = v * by
	}
	return out
}

func measured(t testing.TB, l Log, o Options) Result {
	t.Helper()
	r, err := Measure(l, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func warned(r Result, code string) bool {
	for _, w := range r.Warnings {
		if w.Code == code {
			return true
		}
	}
	return false
}

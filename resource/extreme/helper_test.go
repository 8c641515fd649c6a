package extreme

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"mastworth/resource"
)

// near checks a number within tol absolutely.
func near(t testing.TB, name string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g within %g", name, got, want, tol)
	}
}

// shared reads a CSV file outside the project, in shared beside it. Where it is absent the test is skipped, but in CI it
// fails.
func shared(t testing.TB, name string) [][]string {
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
	raw, err := os.ReadFile(path)
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s must be present in CI: %v", path, err)
		}
		t.Skipf("%s is absent: this check against outside data is left out", path)
	}
	r := csv.NewReader(strings.NewReader(strings.ReplaceAll(string(raw), "\r\n", "\n")))
	r.FieldsPerRecord, r.LazyQuotes = -1, true
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return rows
}

func number(field string) float64 {
	v, err := strconv.ParseFloat(strings.TrimSpace(field), 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// record is a series of one speed channel at 10 m without gaps.
func record(from time.Time, stepS int64, speeds []float64) *resource.Series {
	s := &resource.Series{StepS: stepS, Channels: []resource.Channel{{Name: "speed", Quantity: resource.Speed, HeightM: 10, Values: speeds}}}
	for i := range speeds {
		s.Times = append(s.Times, from.Unix()+int64(i)*stepS)
	}
	return s
}

func date(year int, month time.Month, day int) time.Time {
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

// codes are the codes of warnings.
func codes(ws []resource.Warning) string {
	var out []string
	for _, w := range ws {
		out = append(out, w.Code)
	}
	return strings.Join(out, " ")
}

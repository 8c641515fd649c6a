package resource

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
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

// shared is the path of a file that lies outside the project, in shared beside it. Where it is absent the test is
// skipped, but in CI it fails.
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
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s must be present in CI: %v", path, err)
		}
		t.Skipf("%s is absent: this check against outside data is left out", path)
	}
	return path
}

// table reads a CSV file outside the project, its first skip lines left out.
func table(t testing.TB, name string, skip int) [][]string {
	t.Helper()
	raw, err := os.ReadFile(shared(t, name))
	if err != nil {
		t.Fatal(err)
	}
	text := strings.ReplaceAll(string(raw), "\r\n", "\n")
	for range skip {
		_, text, _ = strings.Cut(text, "\n")
	}
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = -1
	r.LazyQuotes = true
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return rows
}

// number reads a number; NaN for whatever is none.
func number(field string) float64 {
	v, err := strconv.ParseFloat(strings.TrimSpace(field), 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// column takes one column, counted from 0, as numbers; NaN where there is none.
func column(rows [][]string, i int) []float64 {
	out := make([]float64, len(rows))
	for k, row := range rows {
		out[k] = math.NaN()
		if i < len(row) {
			out[k] = number(row[i])
		}
	}
	return out
}

// present leaves NaN out, as a caller of FitSpeeds must.
func present(values []float64) []float64 {
	out := make([]float64, 0, len(values))
	for _, v := range values {
		if !math.IsNaN(v) {
			out = append(out, v)
		}
	}
	return out
}

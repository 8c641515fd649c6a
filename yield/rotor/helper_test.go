package rotor

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
		t.Errorf("%s: got %.10g, want %.10g within %g", name, got, want, limit)
	}
}

// reference reads a table of figures from beside the project, without its head. Where it is absent the test is skipped,
// but in CI it fails.
func reference(t testing.TB, name string) [][]string {
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
	path := filepath.Join(dir, "..", "shared", "reference", name)
	raw, err := os.ReadFile(path)
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s must be present in CI: %v", path, err)
		}
		t.Skipf("%s is absent: this check against outside data is left out", path)
	}
	r := csv.NewReader(strings.NewReader(string(raw)))
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return rows[1:]
}

func number(t testing.TB, field string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(strings.TrimSpace(field), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// constant is a section of the same coefficients at every angle.
type constant struct{ cl, cd float64 }

func (c constant) Coefficients(float64, float64) (cl, cd float64) { return c.cl, c.cd }

// thin is lift without drag, with a slope per rad.
type thin float64

func (s thin) Coefficients(alphaRad, _ float64) (cl, cd float64) {
	return float64(s) * math.Sin(alphaRad), 0
}

func prepared(t testing.TB, r Rotor) *Prepared {
	t.Helper()
	p, err := New(r)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

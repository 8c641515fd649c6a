package shelter

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// reporter is what a test and a property's test have in common.
type reporter interface {
	Helper()
	Errorf(format string, args ...any)
	Fatal(args ...any)
}

// near checks a number against one from outside: within tol absolutely, or, for tol below 0, within −tol relatively.
func near(t reporter, name string, got, want, tol float64) {
	t.Helper()
	limit := tol
	if tol < 0 {
		limit = -tol * math.Abs(want)
	}
	if !(math.Abs(got-want) <= limit) {
		t.Errorf("%s: got %.12g, want %.12g within %g", name, got, want, limit)
	}
}

// grid reads a table of numbers from the folder beside the project, without its header. Where it is absent the test is
// skipped, but in CI it fails.
func grid(t testing.TB, name string) [][]float64 {
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
	f, err := os.Open(path)
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s must be present in CI: %v", path, err)
		}
		t.Skipf("%s is absent: this check against outside data is left out", path)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	numbers := make([][]float64, 0, len(rows))
	for _, row := range rows[1:] {
		var line []float64
		for _, field := range row {
			v, err := strconv.ParseFloat(field, 64)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			line = append(line, v)
		}
		numbers = append(numbers, line)
	}
	return numbers
}

// grass is the roughness of open ground in all directions.
func grass(int) float64 { return 0.03 }

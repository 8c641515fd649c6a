package ingest

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"mastworth/resource"
)

// shared is the folder with the open data and reference figures, beside the one that holds go.mod. Without it tests are
// skipped, but not in CI.
func shared(tb testing.TB, parts ...string) string {
	tb.Helper()
	dir, err := os.Getwd()
	if err != nil {
		tb.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		up := filepath.Dir(dir)
		if up == dir {
			tb.Fatal("no go.mod above the test")
		}
		dir = up
	}
	path := filepath.Join(append([]string{filepath.Dir(dir), "shared"}, parts...)...)
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("CI") == "true" {
			tb.Fatalf("CI must have the open data: %v", err)
		}
		tb.Skipf("the open data are not here: %v", err)
	}
	return path
}

// fitRow is a row of reference/weibull_fits.csv: figures computed from the same files with another program.
type fitRow struct {
	n, missing, zero int
	mean, max        float64
}

func referenceFits(t *testing.T) map[string]fitRow {
	t.Helper()
	f, err := os.Open(shared(t, "reference", "weibull_fits.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	fits := map[string]fitRow{}
	for _, r := range rows[1:] {
		num := func(i int) float64 {
			v, err := strconv.ParseFloat(r[i], 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		fits[r[0]] = fitRow{n: int(num(2)), missing: int(num(3)), zero: int(num(4)), mean: num(6), max: num(8)}
	}
	return fits
}

// readFile reads a file with options and fails the test on an error.
func readFile(t *testing.T, path string, o Options) (*resource.Series, Report) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, rep, err := Read(f, o)
	if err != nil {
		t.Fatalf("%s: %v\n%+v", filepath.Base(path), err, rep)
	}
	checkSeries(t, s)
	return s, rep
}

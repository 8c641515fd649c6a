package longterm_test

import (
	"math"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"mastworth/resource"
	"mastworth/resource/ingest"
)

// near checks a number: within tol absolutely, or, for tol below 0, within −tol relatively.
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

// root is the folder that holds go.mod.
func root(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("no go.mod above the package")
		}
		dir = up
	}
}

// shared is the path of a file that lies outside the project, in shared beside it. Where it is absent the test is
// skipped, but in CI it fails.
func shared(t testing.TB, name string) string {
	t.Helper()
	path := filepath.Join(root(t), "..", "shared", filepath.FromSlash(name))
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s must be present in CI: %v", path, err)
		}
		t.Skipf("%s is absent: this check against outside data is left out", path)
	}
	return path
}

// The Irish stations: daily mean speeds 1961 to 1978, Haslett & Raftery 1989 (open data).
var stations = []string{"DUB", "SHA", "BIR", "CLO", "MUL", "BEL"}

var irish = struct {
	sync.Mutex
	of map[string]*resource.Series
}{of: map[string]*resource.Series{}}

// station reads one of them, in m/s.
func station(t testing.TB, code string) *resource.Series {
	t.Helper()
	path := shared(t, "data/irish_wind/irish_wind_daily_knots_1961_1978_6stations.csv")
	irish.Lock()
	defer irish.Unlock()
	if s := irish.of[code]; s != nil {
		return s
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, _, err := ingest.Read(f, ingest.Options{OnlyColumns: true,
		Columns: []ingest.ColumnSpec{{Column: code, Quantity: "speed", HeightM: 10, Unit: "knots"}}})
	if err != nil {
		t.Fatal(err)
	}
	if s.Len() != 6574 || len(s.Channels) != 1 {
		t.Fatalf("%s: %d days and %d channels", code, s.Len(), len(s.Channels))
	}
	irish.of[code] = s
	return s
}

// part is a record's stamps [from, to).
func part(s *resource.Series, from, to int) *resource.Series {
	out := *s
	out.Times = s.Times[from:to]
	out.Channels = nil
	for _, c := range s.Channels {
		c.Values = c.Values[from:to]
		if c.Flags != nil {
			c.Flags = c.Flags[from:to]
		}
		out.Channels = append(out.Channels, c)
	}
	return &out
}

// meanOf is the mean of a channel's usable values.
func meanOf(s *resource.Series, channel int) float64 {
	sum, n := 0.0, 0.0
	for i, v := range s.Channels[channel].Values {
		if s.Channels[channel].Usable(i) {
			sum += v
			n++
		}
	}
	return sum / n
}

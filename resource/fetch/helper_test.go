package fetch

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/csv"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"mastworth/resource"
)

// sharedFile is a file of the folder with open data and reference figures, beside the one that holds go.mod. Without it
// tests are skipped, but not in CI.
func sharedFile(tb testing.TB, name string) []byte {
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
	raw, err := os.ReadFile(filepath.Join(filepath.Dir(dir), "shared", filepath.FromSlash(name)))
	if err != nil {
		if os.Getenv("CI") != "" {
			tb.Fatalf("CI must have the open data: %v", err)
		}
		tb.Skipf("the open data are not here: %v", err)
	}
	return raw
}

// referenceFit is a row of reference/weibull_fits.csv: figures computed from the same files with another program.
type referenceFit struct {
	n, missing      int
	mean, max, k, a float64
}

func reference(tb testing.TB, name string) referenceFit {
	tb.Helper()
	rows, err := csv.NewReader(bytes.NewReader(sharedFile(tb, "reference/weibull_fits.csv"))).ReadAll()
	if err != nil {
		tb.Fatal(err)
	}
	for _, r := range rows {
		if r[0] != name {
			continue
		}
		num := func(i int) float64 {
			v, err := strconv.ParseFloat(r[i], 64)
			if err != nil {
				tb.Fatal(err)
			}
			return v
		}
		return referenceFit{n: int(num(2)), missing: int(num(3)), mean: num(6), max: num(8), k: num(11), a: num(12)}
	}
	tb.Fatalf("no row %q in weibull_fits.csv", name)
	return referenceFit{}
}

// stub is a service on the loopback that counts what it is asked.
type stub struct {
	*httptest.Server
	mu    sync.Mutex
	asked []string
}

func newStub(tb testing.TB, handle http.HandlerFunc) *stub {
	s := &stub{}
	s.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.mu.Lock()
		s.asked = append(s.asked, r.URL.String())
		s.mu.Unlock()
		handle(w, r)
	}))
	tb.Cleanup(s.Close)
	return s
}

func (s *stub) count() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.asked)
}

// sleeper stands in for time: it notes the waits and moves the clock on.
type sleeper struct {
	mu    sync.Mutex
	now   time.Time
	waits []time.Duration
}

func (s *sleeper) Now() time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.now
}

func (s *sleeper) Sleep(ctx context.Context, d time.Duration) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.now = s.now.Add(d)
	s.waits = append(s.waits, d)
	return ctx.Err()
}

// today is the tests' present: after the last row of the ten years of open data.
var today = time.Date(2025, 11, 20, 12, 0, 0, 0, time.UTC)

// newClient makes a client of the stub's services alone, with a clock that does not run.
func newClient(tb testing.TB, base string, change ...func(*Options)) (*Client, *sleeper) {
	tb.Helper()
	clock := &sleeper{now: today}
	o := Options{Sources: MirrorSources(base), AllowPrivate: true, Now: clock.Now, Sleep: clock.Sleep, RatePerHost: 1e9, Seed: 1}
	for _, f := range change {
		f(&o)
	}
	c, err := New(o)
	if err != nil {
		tb.Fatal(err)
	}
	return c, clock
}

func withDisk(tb testing.TB) func(*Options) {
	cache, err := NewDiskCache(filepath.Join(tb.TempDir(), "cache"))
	if err != nil {
		tb.Fatal(err)
	}
	return func(o *Options) { o.Cache = cache }
}

func offline(o *Options) { o.Offline = true }

func packed(b []byte) []byte {
	var out bytes.Buffer
	z := gzip.NewWriter(&out)
	_, _ = z.Write(b) // a buffer takes everything
	_ = z.Close()
	return out.Bytes()
}

// powerStub answers like the service, by cutting the wanted dates out of a file of many years.
func powerStub(file []byte) http.HandlerFunc {
	head, rows, _ := strings.Cut(string(file), "-END HEADER-")
	rows = strings.TrimLeft(rows, "\r\n")
	names, rows, _ := strings.Cut(rows, "\n")
	byYear := map[string]*strings.Builder{}
	for line := range strings.Lines(rows) {
		year, _, _ := strings.Cut(line, ",")
		if byYear[year] == nil {
			byYear[year] = &strings.Builder{}
		}
		byYear[year].WriteString(line)
	}
	return func(w http.ResponseWriter, r *http.Request) {
		start := r.URL.Query().Get("start")
		rows, ok := byYear[start[:min(4, len(start))]]
		if !ok {
			http.Error(w, `{"messages":["no such dates"]}`, http.StatusUnprocessableEntity)
			return
		}
		w.Header().Set("Content-Type", "text/csv")
		_, _ = fmt.Fprintf(w, "%s-END HEADER-\n%s\n%s", head, names, rows.String()) // the client may be gone
	}
}

// inventedPower is a year in the service's format with a wind of the given speed in each hour that keep lets through.
func inventedPower(year int, lat, lon float64, speed func(hour int) string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "-BEGIN HEADER-\nNASA/POWER Source Native Resolution Hourly Data \nDates (month/day/year): 01/01/%d through 12/31/%d in UTC\n"+
		"Location: latitude  %g   longitude %g \nelevation from MERRA-2: Average for 0.5 x 0.625 degree lat/lon region = 120.5 meters\n"+
		"Value for missing source data that cannot be computed or is outside of the sources availability range: -999 \nParameter(s): \n"+
		"WS10M     MERRA-2 Wind Speed at 10 Meters (m/s) \nWS50M     MERRA-2 Wind Speed at 50 Meters (m/s) \n-END HEADER-\nYEAR,MO,DY,HR,WS10M,WS50M\n", year, year, lat, lon)
	hour := 0
	for t := newYear(year); t.Year() == year; t = t.Add(time.Hour) {
		if v := speed(hour); v != "" {
			fmt.Fprintf(&b, "%d,%d,%d,%d,%s,%s\n", year, t.Month(), t.Day(), t.Hour(), v, v)
		}
		hour++
	}
	return b.Bytes()
}

// alternating is a wind that changes, so that no reader takes it for a dead sensor.
func alternating(hour int) string { return strconv.FormatFloat(4+float64(hour%17)/4, 'f', 2, 64) }

func channel(tb testing.TB, s *resource.Series, q resource.Quantity, heightM float64) *resource.Channel {
	tb.Helper()
	for i := range s.Channels {
		if c := &s.Channels[i]; c.Quantity == q && (c.HeightM == heightM || heightM == 0) {
			return c
		}
	}
	tb.Fatalf("no %s at %g m among %d channels", q, heightM, len(s.Channels))
	return nil
}

// check holds a series to what every record must be.
func check(tb testing.TB, s *resource.Series) {
	tb.Helper()
	for i := 1; i < len(s.Times); i++ {
		if s.Times[i] <= s.Times[i-1] {
			tb.Fatalf("stamp %d, %d, does not rise above %d", i, s.Times[i], s.Times[i-1])
		}
	}
	for i := range s.Channels {
		if n := len(s.Channels[i].Values); n != s.Len() {
			tb.Fatalf("channel %s has %d values to %d stamps", s.Channels[i].Name, n, s.Len())
		}
	}
	if s.UTCOffsetS%3600 != 0 || s.UTCOffsetS < -12*3600 || s.UTCOffsetS > 12*3600 {
		tb.Errorf("offset %d s", s.UTCOffsetS)
	}
}

func codes(notes []resource.Warning) []string {
	var out []string
	for _, n := range notes {
		out = append(out, n.Code)
	}
	return out
}

package climate

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

// near checks a number: within tol absolutely, or, for tol below 0, within −tol relatively. NaN is near NaN.
func near(t interface {
	Helper()
	Errorf(string, ...any)
}, name string, got, want, tol float64) {
	t.Helper()
	limit := tol
	if tol < 0 {
		limit = -tol * math.Abs(want)
	}
	if !(math.Abs(got-want) <= limit) && !(math.IsNaN(got) && math.IsNaN(want)) && got != want {
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
		if os.Getenv("CI") != "" {
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

// record lays channels on stamps that follow each other from the beginning of 2001.
func record(stepS int64, channels ...resource.Channel) *resource.Series {
	s := &resource.Series{StepS: stepS, Channels: channels}
	begin := time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC).Unix()
	for i := range channels[0].Values {
		s.Times = append(s.Times, begin+int64(i)*stepS)
	}
	return s
}

func channel(q resource.Quantity, heightM float64, values []float64) resource.Channel {
	return resource.Channel{Name: q.String(), Quantity: q, HeightM: heightM, Values: values}
}

func of(t testing.TB, s *resource.Series, o Options) Climate {
	t.Helper()
	c, err := Of(s, 0, o)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// warned reports whether a climate has a warning of a code, and gives its sentence.
func warned(c Climate, code string) (string, bool) {
	for _, w := range c.Warnings {
		if w.Code == code {
			return w.Detail, true
		}
	}
	return "", false
}

// lite reads a fixed-width year of the integrated surface database: direction in degrees, speed in tenths of m/s.
func lite(t testing.TB, name string) *resource.Series {
	t.Helper()
	raw, err := os.ReadFile(shared(t, name))
	if err != nil {
		t.Fatal(err)
	}
	s := &resource.Series{StepS: 3600}
	var speeds, directions []float64
	for line := range strings.Lines(string(raw)) {
		at := [4]int{int(number(line[0:4])), int(number(line[4:7])), int(number(line[7:10])), int(number(line[10:13]))}
		s.Times = append(s.Times, time.Date(at[0], time.Month(at[1]), at[2], at[3], 0, 0, 0, time.UTC).Unix())
		speed, direction := number(line[37:43])/10, number(line[31:37])
		if speed == -999.9 {
			speed = math.NaN()
		}
		if direction == -9999 {
			direction = math.NaN()
		}
		speeds, directions = append(speeds, speed), append(directions, direction)
	}
	s.Channels = []resource.Channel{channel(resource.Speed, 10, speeds), channel(resource.Direction, 10, directions)}
	return s
}

// tower reads the year of 10-minute data of the 80 m tower: the standard deviation is turbulence intensity times speed.
func tower(t testing.TB) (s *resource.Series, speeds, intensities []float64) {
	t.Helper()
	rows := table(t, "data/nrel_m2/m2_80m_10min_2012.csv", 1)
	speeds, intensities = column(rows, 1), column(rows, 3)
	deviations := make([]float64, len(rows))
	s = &resource.Series{StepS: 600, UTCOffsetS: -7 * 3600}
	for i, row := range rows {
		at, err := time.Parse("2006-01-02 15:04", row[0])
		if err != nil {
			t.Fatal(err)
		}
		s.Times = append(s.Times, at.Unix()+7*3600)
		deviations[i] = intensities[i] * speeds[i]
	}
	s.Channels = []resource.Channel{
		channel(resource.Speed, 80, speeds), channel(resource.Direction, 80, column(rows, 2)),
		channel(resource.SpeedSD, 80, deviations),
	}
	return s, speeds, intensities
}

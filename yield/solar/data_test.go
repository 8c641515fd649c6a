package solar_test

import (
	"bufio"
	"encoding/csv"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/paulmach/orb"

	"mastworth/resource"
	"mastworth/yield/solar"
)

// openData opens a file of open data beside the checkout. It skips where the folder is absent, and fails in CI.
func openData(t testing.TB, name string) *os.File {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		if dir == filepath.Dir(dir) {
			t.Fatal("no go.mod above the package")
		}
		dir = filepath.Dir(dir)
	}
	f, err := os.Open(filepath.Join(dir, "..", "shared", name))
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("open data are needed in CI: %v", err)
		}
		t.Skipf("open data are absent: %v", err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// typicalYear is a year of hours as two public formats publish it; only what these tests need is read.
type typicalYear struct {
	series *resource.Series
	site   solar.Site
	etr    []float64 // TMY3: extraterrestrial horizontal and normal irradiation of the hour, Wh/m²
	etrn   []float64
}

// spec says where things stand in a row, from 0.
type spec struct {
	header                                     int
	ghi, dni, dhi, air, wind, place, zone, etr int
}

var (
	tmy3Spec = spec{header: 2, ghi: 4, dni: 7, dhi: 10, air: 31, wind: 46, place: 4, zone: 3, etr: 2}
	epwSpec  = spec{header: 8, ghi: 13, dni: 14, dhi: 15, air: 6, wind: 21, place: 6, zone: 8, etr: -1}
)

var (
	yearFiles = map[string]spec{
		"data/tmy3/724666TYA.CSV":                                                  tmy3Spec,
		"data/tmy3/744860TYA.CSV":                                                  tmy3Spec,
		"data/epw/USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw":             epwSpec,
		"data/epw/USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw":                    epwSpec,
		"data/epw/USA_WA_Port.Angeles-William.R.Fairchild.Intl.AP.727885_TMY3.epw": epwSpec,
	}
	golden      = "data/tmy3/724666TYA.CSV"
	jfkTMY3     = "data/tmy3/744860TYA.CSV"
	jfkEPW      = "data/epw/USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw"
	chicago     = "data/epw/USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw"
	portAngeles = "data/epw/USA_WA_Port.Angeles-William.R.Fairchild.Intl.AP.727885_TMY3.epw"
)

// readYear lays the hours of a typical year, whose stamps mark the end, on the nominal year 2001.
func readYear(t testing.TB, name string) typicalYear {
	t.Helper()
	sp := yearFiles[name]
	r := csv.NewReader(bufio.NewReader(openData(t, name)))
	r.FieldsPerRecord = -1
	r.LazyQuotes = true
	var out typicalYear
	s := &resource.Series{StepS: 3600, Kind: resource.TypicalYear}
	quantities := []resource.Quantity{resource.GlobalHorizontal, resource.DirectNormal, resource.DiffuseHorizontal,
		resource.Temperature, resource.Speed}
	for _, q := range quantities {
		s.Channels = append(s.Channels, resource.Channel{Name: q.String(), Quantity: q, HeightM: math.NaN()})
	}
	s.Channels[4].HeightM = 10
	for row := 0; ; row++ {
		f, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if row == 0 {
			out.site = solar.Site{LatitudeDeg: num(t, f[sp.place]), LongitudeDeg: num(t, f[sp.place+1])}
			if sp.etr >= 0 {
				out.site.ElevationM = num(t, f[sp.place+2])
			} else {
				out.site.ElevationM = num(t, f[9])
			}
			s.UTCOffsetS = int64(3600 * num(t, f[sp.zone]))
		}
		if row < sp.header {
			continue
		}
		month, day, hour := f[1], f[2], f[3]
		if sp.etr >= 0 {
			d := strings.Split(f[0], "/")
			month, day, hour = d[0], d[1], strings.SplitN(f[1], ":", 2)[0]
			out.etr = append(out.etr, num(t, f[sp.etr]))
			out.etrn = append(out.etrn, num(t, f[sp.etr+1]))
		}
		begin := time.Date(2001, time.Month(num(t, month)), int(num(t, day)), int(num(t, hour))-1, 0, 0, 0, time.UTC)
		s.Times = append(s.Times, begin.Unix()-s.UTCOffsetS)
		for k, at := range []int{sp.ghi, sp.dni, sp.dhi, sp.air, sp.wind} {
			s.Channels[k].Values = append(s.Channels[k].Values, num(t, f[at]))
		}
	}
	if s.Len() != 8760 {
		t.Fatalf("%s: %d hours", name, s.Len())
	}
	s.Place = &resource.Place{Point: orb.Point{out.site.LongitudeDeg, out.site.LatitudeDeg}, ElevationM: out.site.ElevationM}
	out.series = s
	return out
}

func num(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// with is the record with some of its channels, in the order of readYear.
func (y typicalYear) with(channels ...int) *resource.Series {
	s := *y.series
	s.Channels = nil
	for _, c := range channels {
		s.Channels = append(s.Channels, y.series.Channels[c])
	}
	return &s
}

func near(t testing.TB, name string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.6g, want %.6g ± %.2g", name, got, want, tol)
	}
}

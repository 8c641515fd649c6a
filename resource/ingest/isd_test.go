package ingest

import (
	"bufio"
	"encoding/csv"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"mastworth/resource"
)

// synopWind is the wind group of a report from land (WMO-No. 306, FM 12: Nddff, dd in tens of degrees, ff in m/s where
// the report's units say so), after station, iRiXhVV.
var synopWind = regexp.MustCompile(`REMSYN\d{3}02413 .{5} .(\d\d)(\d\d) `)

// TestISDAgainstReports holds the fixed columns against the weather report that each line carries as a remark.
func TestISDAgainstReports(t *testing.T) {
	path := shared(t, "data", "noaa_isd", "024130-99999-2016_first400.txt")
	s, rep := readFile(t, path, Options{})
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	speed, direction := channelOf(t, s, resource.Speed), channelOf(t, s, resource.Direction)
	n, calms, compared := 0, 0, 0
	for sc := bufio.NewScanner(f); sc.Scan(); n++ {
		m := synopWind.FindStringSubmatch(sc.Text())
		if m == nil {
			continue // a few came in a binary form, or without wind
		}
		compared++
		dd, _ := strconv.Atoi(m[1])
		ff, _ := strconv.Atoi(m[2])
		if speed.Values[n] != float64(ff) {
			t.Errorf("line %d: %g m/s, the report says %d", n+1, speed.Values[n], ff)
		}
		if ff == 0 {
			calms++
			if !math.IsNaN(direction.Values[n]) {
				t.Errorf("line %d: a calm from %g°", n+1, direction.Values[n])
			}
		} else if direction.Values[n] != float64(dd*10%360) {
			t.Errorf("line %d: from %g°, the report says %d", n+1, direction.Values[n], dd*10)
		}
	}
	if n != s.Len() || calms < 99 || compared < 350 || rep.ProblemCount != 0 {
		t.Errorf("%d lines, %d of them compared, %d stamps, %d calms, problems %v", n, compared, s.Len(), calms, rep.ProblemCounts)
	}
	if s.UTCOffsetS != 3600 || s.Place == nil || s.Place.Point != [2]float64{12.767, 60.75} || s.Place.ElevationM != 205 || s.StepS != 3600 {
		t.Errorf("offset %d at %v", s.UTCOffsetS, s.Place)
	}
}

var metarWind = regexp.MustCompile(` (\d{3}|VRB)(\d\d)(?:G(\d\d))?KT `)

// TestISDCSVAgainstReports holds the packed groups, and our reading of the reports' text, against each other: the groups
// were decoded by their publisher.
func TestISDCSVAgainstReports(t *testing.T) {
	path := shared(t, "data", "noaa_isd", "00702699999_first299rows.csv")
	s, _ := readFile(t, path, Options{})
	at := map[int64]int{}
	for i, u := range s.Times {
		at[u] = i
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	speed, direction, temperature := channelOf(t, s, resource.Speed), channelOf(t, s, resource.Direction), channelOf(t, s, resource.Temperature)
	gust := channelOf(t, s, resource.Gust)
	seen, gusts, settings := 0, 0, 0
	for _, row := range rows[1:] {
		when, err := time.Parse("2006-01-02T15:04:05", row[1])
		if err != nil {
			t.Fatal(err)
		}
		remark := row[len(row)-2]
		m := metarWind.FindStringSubmatch(remark)
		if m == nil {
			continue
		}
		knots, _ := strconv.ParseFloat(m[2], 64)
		d := decodeReport([]byte(remark[strings.Index(remark, "METAR"):]))
		near(t, "decoded speed", d.speed, knots*1852/3600, 1e-12)
		if altimeter, err := strconv.ParseFloat(strings.SplitN(row[20], ",", 2)[0], 64); err == nil {
			near(t, "decoded altimeter setting, hPa", d.altimeterPa/100, altimeter/10, 0.06)
			settings++
		}
		tmp, _ := strconv.ParseFloat(strings.SplitN(row[13], ",", 2)[0], 64)
		near(t, "decoded temperature", d.temperature, tmp/10, 1e-9)
		i, ok := at[when.Unix()]
		if !ok {
			continue
		}
		seen++
		near(t, "speed at "+row[1], speed.Values[i], knots*1852/3600, 0.06) // told in tenths
		near(t, "temperature at "+row[1], temperature.Values[i], tmp/10, 1e-9)
		if m[1] != "VRB" && knots > 0 {
			deg, _ := strconv.ParseFloat(m[1], 64)
			near(t, "direction at "+row[1], direction.Values[i], math.Mod(deg, 360), 0)
			near(t, "decoded direction", d.direction, deg, 0)
		} else if !math.IsNaN(direction.Values[i]) {
			t.Errorf("%s: variable or calm, yet from %g°", row[1], direction.Values[i])
		}
		if m[3] != "" {
			g, _ := strconv.ParseFloat(m[3], 64)
			gusts++
			near(t, "gust at "+row[1], gust.Values[i], g*1852/3600, 0.06)
			near(t, "decoded gust", d.gust, g*1852/3600, 1e-12)
		}
	}
	if seen < 290 || gusts < 10 || settings < 250 {
		t.Errorf("%d reports, %d gusts and %d altimeter settings compared", seen, gusts, settings)
	}
	// The pod's file says 0° N, 0° E, 7026 m, which is its number: no station pressure may be made of that.
	if s.Place != nil || hasQuantity(s, resource.Pressure) {
		t.Errorf("place %v", s.Place)
	}
}

func hasQuantity(s *resource.Series, q resource.Quantity) bool {
	for i := range s.Channels {
		if s.Channels[i].Quantity == q {
			return true
		}
	}
	return false
}

const isdCSVHead = `"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","REPORT_TYPE","WND","TMP","SLP","MA1"` + "\n"

// TestISDCSVTraps: quality codes, calms, summaries of the day, station pressure beside and from the altimeter setting,
// joined files.
func TestISDCSVTraps(t *testing.T) {
	row := func(date, kind, wind, air, sea, pressure string) string {
		return `"A","` + date + `","40.0","-105.0","1609.344","X, Y","` + kind + `","` + wind + `","` + air + `","` + sea + `","` + pressure + "\"\n"
	}
	text := isdCSVHead +
		row("2020-01-01T00:00:00", "FM-15", "360,1,N,0051,1", "+0100,1", "10132,1", "10132,1,08400,1") +
		row("2020-01-01T01:00:00", "FM-15", "090,3,N,0100,3", "-0005,7", "10132,1", "10132,1,99999,9") +
		isdCSVHead +
		row("2020-01-01T01:20:00", "FM-16", "090,1,N,0200,1", "+0100,1", "99999,9", "99999,9,99999,9") +
		row("2020-01-01T02:00:00", "FM-15", "999,9,C,9999,9", "+9999,9", "99999,9", "99999,9,99999,9") +
		row("2020-01-01T02:59:00", "SOD  ", "999,9,9,9999,9", "+9999,9", "99999,9", "99999,9,99999,9") +
		row("2020-01-01T03:00:00", "FM-15", "270,1,N,9999,9", "x0100,1", "99999,9", "")
	s, rep, err := Read(strings.NewReader(text), Options{})
	if err != nil {
		t.Fatalf("%v %+v", err, rep)
	}
	checkSeries(t, s)
	want := []string{"speed@10: 5.1 10 0 -", "direction@10: 0 90 - 270", "temperature: 10 -0.5 - -"}
	for i, w := range want {
		if got := show(&s.Channels[i]); got != w {
			t.Errorf("%s, want %s", got, w)
		}
	}
	if f := s.Channels[0].Flags; len(f) != 4 || f[0] != 0 || f[1] != resource.FlagSource || f[2] != 0 {
		t.Errorf("flags %v", f)
	}
	// 840 hPa as told; 834.5 hPa from 1013.2 hPa at 5280 ft (the shared reference works 1013.25 hPa to 834.51 hPa).
	p := channelOf(t, s, resource.Pressure)
	near(t, "station pressure", p.Values[0], 84000, 1e-9)
	near(t, "pressure from the altimeter setting", p.Values[1]/100, 834.51-0.05*0.83, 0.02)
	if rep.ProblemCounts[ProblemHeaderAgain] != 1 || rep.ProblemCounts[ProblemNumber] != 1 || rep.ProblemCount != 2 {
		t.Errorf("problems %v", rep.ProblemCounts)
	}
	told := strings.Join(rep.Assumptions, "\n")
	for _, w := range []string{"1 rows sum up", "code for calm", "1609 m", "1 others are left out", "set aside"} {
		if !strings.Contains(told, w) {
			t.Errorf("nothing says %q:\n%s", w, told)
		}
	}
	_, _, err = Read(strings.NewReader(text+strings.Replace(row("2020-01-01T05:00:00", "FM-15", "270,1,N,0010,1", "", "", ""), `"A"`, `"B"`, 1)), Options{})
	if err == nil || !strings.Contains(err.Error(), "only=STATION=A") {
		t.Errorf("two stations: %v", err)
	}
	s, rep, err = Read(strings.NewReader(text), Options{Only: map[string]string{"REPORT_TYPE": "FM-16"}})
	if err != nil || s.Len() != 1 || rep.LeftOut != 5 {
		t.Errorf("%v, left out %d", err, rep.LeftOut)
	}
}

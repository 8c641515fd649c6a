package main

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// The command brings a year from a mirror, writes it, and has it from its cache when there is no network.
func TestFetchCommand(t *testing.T) {
	asked := 0
	mirror := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		asked++
		if !strings.Contains(r.URL.Path, "nasa_power") {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Type", "text/csv")
		fmt.Fprint(w, "-BEGIN HEADER-\nNASA/POWER Source Native Resolution Hourly Data \nDates (month/day/year): 01/01/2021 through 12/31/2021 in UTC\n"+ //nolint:errcheck // a test's
			"Location: latitude  52.2   longitude -1.44 \nelevation from MERRA-2: Average for 0.5 x 0.625 degree lat/lon region = 120.5 meters\n"+
			"The value for missing source data that cannot be computed or is outside of the sources availability range: -999 \nParameter(s): \n"+
			"WS10M     MERRA-2 Wind Speed at 10 Meters (m/s) \n-END HEADER-\nYEAR,MO,DY,HR,WS10M\n")
		for at := time.Date(2021, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() == 2021; at = at.Add(time.Hour) {
			fmt.Fprintf(w, "%d,%d,%d,%d,%.2f\n", at.Year(), at.Month(), at.Day(), at.Hour(), 3+float64(at.Unix()/3600*7919%53)/10) //nolint:errcheck // as above
		}
	}))
	defer mirror.Close()
	dir := t.TempDir()
	command := func(args ...string) (code int, out, errs string) {
		var o, e bytes.Buffer
		code = run(context.Background(), append(args, "--mirror", mirror.URL, "--cache", filepath.Join(dir, "cache")),
			streams{in: strings.NewReader(""), out: &o, err: &e, env: func(string) (string, bool) { return "", false }})
		return code, o.String(), e.String()
	}
	file := filepath.Join(dir, "here.csv")
	code, _, errs := command("fetch", "--lat", "52.21", "--lon", "-1.44", "--years", "2021", "--out", file)
	if code != 0 || !strings.Contains(errs, "8760 stamps") || !strings.Contains(errs, "terms:") {
		t.Fatalf("%d: %s", code, errs)
	}
	if text, err := os.ReadFile(file); err != nil || bytes.Count(text, []byte("\n")) != 8761 {
		t.Errorf("%v, %.80s", err, text)
	}
	before := asked
	if code, out, errs := command("fetch", "--lat", "52.21", "--lon", "-1.44", "--years", "2021", "--offline"); code != 0 || asked != before ||
		strings.Count(out, "\n") != 8761 {
		t.Errorf("%d, asked %d times: %s", code, asked-before, errs)
	}
	for want, args := range map[string][]string{
		"--lat and --lon": {"fetch", "--years", "2021"},
		"--years":         {"fetch", "--lat", "1", "--lon", "1", "--years", "soon"},
		"offline":         {"fetch", "--lat", "1", "--lon", "1", "--years", "2021", "--offline"},
		"2999":            {"fetch", "--lat", "1", "--lon", "1", "--years", "2999"},
	} {
		if code, _, errs := command(args...); code == 0 || !strings.Contains(errs, want) {
			t.Errorf("%v: %d, %s", args, code, errs)
		}
	}
	if code, out, errs := command("sources", "--lat", "52.21", "--lon", "-1.44"); code != 0 || !strings.Contains(out, "nasa_power") {
		t.Errorf("%d: %s%s", code, out, errs)
	}
}

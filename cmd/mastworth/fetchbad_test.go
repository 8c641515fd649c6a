package main

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// powerYear is an invented year in the form of the archive, for whatever place is asked for.
func powerYear(r *http.Request, elevation string, value func(at time.Time) string) string {
	var b strings.Builder
	q := r.URL.Query()
	fmt.Fprintf(&b, "-BEGIN HEADER-\nNASA/POWER Source Native Resolution Hourly Data \nDates (month/day/year): 01/01/2021 through 12/31/2021 in UTC\n"+
		"Location: latitude  %s   longitude %s \nelevation from MERRA-2: Average for 0.5 x 0.625 degree lat/lon region = %s meters\n"+
		"The value for missing source data that cannot be computed or is outside of the sources availability range: -999 \nParameter(s): \n"+
		"WS10M     MERRA-2 Wind Speed at 10 Meters (m/s) \n-END HEADER-\nYEAR,MO,DY,HR,WS10M\n", q.Get("latitude"), q.Get("longitude"), elevation)
	for at := time.Date(2021, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() == 2021; at = at.Add(time.Hour) {
		fmt.Fprintf(&b, "%d,%d,%d,%d,%s\n", at.Year(), at.Month(), at.Day(), at.Hour(), value(at))
	}
	return b.String()
}

func changing(at time.Time) string {
	return fmt.Sprintf("%.2f", 3+float64(at.Unix()/3600*7919%53)/10)
}

// What a person may ask for wrongly, or what may be wrong with the data: each is told in words, and exits as bad input
// where asking otherwise would mend it.
func TestFetchOfOddPlacesAndData(t *testing.T) {
	firstHalf := func(at time.Time) string {
		if at.Month() > 6 {
			return "-999.0"
		}
		return changing(at)
	}
	none := func(time.Time) string { return "-999.0" }
	for _, k := range []struct {
		name, lat, lon, years, elevation string
		value                            func(time.Time) string
		code                             int
		says                             []string
	}{
		{"pole", "90", "0", "2021", "0.0", changing, 0, []string{"8760 stamps", "a cell of 56 by 0 km"}},
		{"south pole", "-90", "0", "2021", "2835.0", changing, 0, []string{"8760 stamps"}},
		{"date line from the west", "10", "180", "2021", "120.5", changing, 0, []string{"8760 stamps", "UTC+12 h"}},
		{"date line from the east", "10", "-180", "2021", "120.5", changing, 0, []string{"8760 stamps", "UTC-12 h"}},
		{"beyond the date line", "10", "190", "2021", "120.5", changing, 2, []string{"190 is no longitude", "write -170"}},
		{"beyond the pole", "90.5", "0", "2021", "120.5", changing, 2, []string{"90.5 is no latitude"}},
		{"ocean", "0", "-30", "2021", "0.0", changing, 0, []string{"8760 stamps", "the cell lies on the sea"}},
		{"the future", "10", "10", "2999", "120.5", changing, 2, []string{"2999 is in the future", "the archive has 2001 to"}},
		{"half a year missing", "10", "10", "2021", "120.5", firstHalf, 0, []string{"49.6 % of the time has a wind speed", "184.0 days, from 2021-07-01"}},
		{"nothing but missing values", "10", "10", "2021", "120.5", none, 2, []string{"every wind speed of 2021 is missing", "other years or another source"}},
	} {
		t.Run(k.name, func(t *testing.T) {
			t.Parallel() // each waits for its turn to ask
			mirror := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				if r.URL.Path != "/nasa_power" {
					http.NotFound(w, r)
					return
				}
				fmt.Fprint(w, powerYear(r, k.elevation, k.value)) //nolint:errcheck // the client may be gone
			}))
			defer mirror.Close()
			code, errs := fetchInto(t, mirror.URL, "--lat", k.lat, "--lon", k.lon, "--years", k.years)
			if code != k.code {
				t.Errorf("exits with %d, want %d: %s", code, k.code, errs)
			}
			for _, says := range k.says {
				if !strings.Contains(errs, says) {
					t.Errorf("does not say %q: %s", says, errs)
				}
			}
		})
	}
}

// Nobody there: that is no bad input, and the place that was asked for is not at fault.
func TestFetchWithoutNetwork(t *testing.T) {
	t.Parallel() // it waits between the attempts
	mirror := httptest.NewServer(http.NotFoundHandler())
	mirror.Close()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	var errs bytes.Buffer
	code := run(ctx, []string{"fetch", "--lat", "1", "--lon", "1", "--years", "2021", "--mirror", mirror.URL, "--cache", t.TempDir()},
		streams{in: strings.NewReader(""), out: &bytes.Buffer{}, err: &errs, env: func(string) (string, bool) { return "", false }})
	if code != exitFailed || !strings.Contains(errs.String(), "connection refused") || !strings.Contains(errs.String(), "check the network") {
		t.Errorf("%d: %s", code, &errs)
	}
}

// A record without irradiance comes with the months, as a request takes them.
func TestFetchTellsTheMonths(t *testing.T) {
	mirror := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case "/nasa_power":
			fmt.Fprint(w, powerYear(r, "120.5", changing)) //nolint:errcheck // the client may be gone
		case "/nasa_power_months":
			fmt.Fprint(w, "-BEGIN HEADER-\nNASA/POWER Climatology\nALLSKY_SFC_SW_DWN  x (kW-hr/m^2/day)\n-END HEADER-\n"+ //nolint:errcheck // as above
				"PARAMETER,JAN,FEB,MAR,APR,MAY,JUN,JUL,AUG,SEP,OCT,NOV,DEC,ANN\nALLSKY_SFC_SW_DWN,1,2,3,4,5,6,5,4,3,2,1,0.5,3\n")
		}
	}))
	defer mirror.Close()
	code, errs := fetchInto(t, mirror.URL, "--lat", "10", "--lon", "10", "--years", "2021")
	// Days times daily means, by hand.
	told := strings.Join(strings.Fields(errs), " ")
	if code != 0 || !strings.Contains(told, "solar: {monthly_irradiation_kwh_m2: [31, 56.5, 93, 120, 155, 180, 155, 124, 90, 62, 30, 15.5]}") {
		t.Errorf("%d: %s", code, errs)
	}
}

func fetchInto(t *testing.T, mirror string, args ...string) (code int, errs string) {
	t.Helper()
	dir := t.TempDir()
	var out, e bytes.Buffer
	code = run(t.Context(), append(append([]string{"fetch"}, args...), "--mirror", mirror, "--cache", filepath.Join(dir, "cache"), "--out", filepath.Join(dir, "here.csv")),
		streams{in: strings.NewReader(""), out: &out, err: &e, env: func(string) (string, bool) { return "", false }})
	return code, strings.Join(strings.Fields(e.String()), " ")
}

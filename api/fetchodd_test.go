package api

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"mastworth/openapi"
	"mastworth/resource/fetch"
)

// oddMirror answers for whatever place is asked for, on the sea at longitude −30, with an invented wind that is missing
// throughout at longitude 20 and for the second half of the year at longitude 21, and with the place's months.
func oddMirror(t *testing.T) *httptest.Server {
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		q := r.URL.Query()
		if r.URL.Path == "/nasa_power_months" {
			fmt.Fprint(w, "-BEGIN HEADER-\nNASA/POWER Climatology\nALLSKY_SFC_SW_DWN  x (kW-hr/m^2/day)\n-END HEADER-\n"+ //nolint:errcheck // the client may be gone
				"PARAMETER,JAN,FEB,MAR,APR,MAY,JUN,JUL,AUG,SEP,OCT,NOV,DEC,ANN\nALLSKY_SFC_SW_DWN,1,2,3,4,5,6,5,4,3,2,1,0.5,3\n")
			return
		}
		elevation := "120.5"
		if q.Get("longitude") == "-30" {
			elevation = "0.0"
		}
		fmt.Fprintf(w, "-BEGIN HEADER-\nNASA/POWER Source Native Resolution Hourly Data \nDates (month/day/year): 01/01/2021 through 12/31/2021 in UTC\n"+ //nolint:errcheck // as above
			"Location: latitude  %s   longitude %s \nelevation from MERRA-2: Average for 0.5 x 0.625 degree lat/lon region = %s meters\n"+
			"The value for missing source data that cannot be computed or is outside of the sources availability range: -999 \nParameter(s): \n"+
			"WS10M     MERRA-2 Wind Speed at 10 Meters (m/s) \n-END HEADER-\nYEAR,MO,DY,HR,WS10M\n", q.Get("latitude"), q.Get("longitude"), elevation)
		for at, h := time.Date(2021, 1, 1, 0, 0, 0, 0, time.UTC), 0; at.Year() == 2021; at, h = at.Add(time.Hour), h+1 {
			v := 2 + float64(h*7919%83)/10
			if q.Get("longitude") == "20" || q.Get("longitude") == "21" && at.Month() > 6 {
				v = -999
			}
			fmt.Fprintf(w, "%d,%d,%d,%d,%.2f\n", at.Year(), at.Month(), at.Day(), at.Hour(), v) //nolint:errcheck // as above
		}
	}))
	t.Cleanup(s.Close)
	return s
}

func withMirror(t *testing.T, base string) func(*Options) {
	client, err := fetch.New(fetch.Options{Sources: fetch.MirrorSources(base), AllowPrivate: true, RatePerHost: 1e6, Retries: -1, MonthlySun: true,
		Now: func() time.Time { return time.Date(2024, 6, 1, 0, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	return func(o *Options) { o.Fetch = client }
}

// Poles, the date line and the sea are places; what is odd about the data is said in the record, months of sun included.
func TestFetchOfOddPlaces(t *testing.T) {
	f := newFixture(t, withMirror(t, oddMirror(t).URL))
	for _, k := range []struct {
		name     string
		lat, lon float64
		says     string
	}{
		{"north pole", 90, 0, "a cell of 56 km by 0 km"},
		{"south pole", -90, 0, "a cell of 56 km by 0 km"},
		{"date line from the west", 10, 180, "UTC+12 h"},
		{"date line from the east", 10, -180, "UTC-12 h"},
		{"ocean", 0, -30, "the cell lies on the sea"},
		{"half a year missing", 10, 21, "Only 49.6 % of 2021 has a wind speed; the longest stretch without lasts 184.0 days, from 2021-07-01"},
		{"months of sun", 52, -1, "solar: {monthly_irradiation_kwh_m2: [31, 56.5, 93, 120, 155, 180, 155, 124, 90, 62, 30, 15.5]}"},
	} {
		var rec openapi.Record
		f.post("/v1/records/fetch", fmt.Appendf(nil, `{"latitude":%g,"longitude":%g,"from_year":2021,"to_year":2021}`, k.lat, k.lon)).want(201).json(&rec)
		if said := strings.Join(rec.Import.Assumptions, "\n"); rec.Rows != 8760 || !strings.Contains(said, k.says) {
			t.Errorf("%s: %d rows; it does not say %q: %s", k.name, rec.Rows, k.says, said)
		}
	}
}

// What cannot be fetched names what was asked for wrongly, or says that it was the other service.
func TestFetchOfWhatIsNotThere(t *testing.T) {
	f := newFixture(t, withMirror(t, oddMirror(t).URL))
	for name, k := range map[string]struct{ body, at, says string }{
		"nothing but missing values": {`{"latitude":10,"longitude":20,"from_year":2021,"to_year":2021}`, "body.source", "every wind speed of 2021 is missing"},
		"the future":                 {`{"latitude":10,"longitude":10,"from_year":2025,"to_year":2025}`, "body.from_year", "2025 is in the future; the archive has 2001 to 2024"},
		"beyond the pole":            {`{"latitude":-90.5,"longitude":10,"from_year":2021,"to_year":2021}`, "body.latitude", "90"},
		"beyond the date line":       {`{"latitude":10,"longitude":190,"from_year":2021,"to_year":2021}`, "body.longitude", "180"},
		"no place":                   {`{"latitude":null,"longitude":10,"from_year":2021,"to_year":2021}`, "body.latitude", ""},
	} {
		a := f.post("/v1/records/fetch", []byte(k.body))
		checkNamed(t, a, k.at, name)
		if !strings.Contains(string(a.body), k.says) {
			t.Errorf("%s does not say %q: %s", name, k.says, a.body)
		}
	}
	gone := httptest.NewServer(http.NotFoundHandler())
	gone.Close()
	f = newFixture(t, withMirror(t, gone.URL))
	a := f.post("/v1/records/fetch", []byte(`{"latitude":10,"longitude":10,"from_year":2021,"to_year":2021}`))
	if a.status != http.StatusBadGateway || !strings.Contains(string(a.body), "connection refused") || !strings.Contains(string(a.body), "check the network") {
		t.Errorf("without a network: %d %s", a.status, a.body)
	}
}

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

// powerMirror stands in for a reanalysis: an invented year of hourly wind, in its format.
func powerMirror(t *testing.T) *httptest.Server {
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		start := r.URL.Query().Get("start")
		year, err := time.Parse("2006", start[:min(4, len(start))])
		if err != nil || !strings.Contains(r.URL.Path, "nasa_power") || year.Year() < 2001 {
			http.Error(w, `{"messages":["no such thing"]}`, http.StatusUnprocessableEntity)
			return
		}
		w.Header().Set("Content-Type", "text/csv")
		fmt.Fprintf(w, "-BEGIN HEADER-\nNASA/POWER Source Native Resolution Hourly Data \nDates (month/day/year): 01/01/%d through 12/31/%d in UTC\n"+ //nolint:errcheck // a test's
			"Location: latitude  52.2   longitude -1.44 \nelevation from MERRA-2: Average for 0.5 x 0.625 degree lat/lon region = 120.5 meters\n"+
			"The value for missing source data that cannot be computed or is outside of the sources availability range: -999 \nParameter(s): \n"+
			"WS10M     MERRA-2 Wind Speed at 10 Meters (m/s) \nWS50M     MERRA-2 Wind Speed at 50 Meters (m/s) \n-END HEADER-\nYEAR,MO,DY,HR,WS10M,WS50M\n",
			year.Year(), year.Year())
		for at, h := year, 0; at.Year() == year.Year(); at, h = at.Add(time.Hour), h+1 {
			v := 2 + float64(h*7919%83)/10
			fmt.Fprintf(w, "%d,%d,%d,%d,%.2f,%.2f\n", at.Year(), at.Month(), at.Day(), at.Hour(), v, 1.3*v) //nolint:errcheck // as above
		}
	}))
	t.Cleanup(s.Close)
	return s
}

func withFetch(t *testing.T) func(*Options) {
	client, err := fetch.New(fetch.Options{Sources: fetch.MirrorSources(powerMirror(t).URL), AllowPrivate: true, RatePerHost: 1e6, Retries: -1,
		Now: func() time.Time { return time.Date(2024, 6, 1, 0, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	return func(o *Options) { o.Fetch = client }
}

// A record fetched for a place is a record like any other, and what to mind about its source is said by every estimate over it.
func TestFetch(t *testing.T) {
	f := newFixture(t, withFetch(t))
	var rec openapi.Record
	a := f.post("/v1/records/fetch", []byte(`{"latitude":52.21,"longitude":-1.44,"from_year":2021,"to_year":2022}`)).want(201)
	a.json(&rec)
	if rec.Rows != 2*8760 || rec.Format != "nasa_power_csv" || len(rec.Import.Assumptions) == 0 || a.header.Get("Location") != "/v1/records/"+rec.ID {
		t.Fatalf("%+v", rec)
	}
	var e openapi.Estimate
	f.post("/v1/estimates", change(t, exampleJSON(t, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": rec.ID}})).want(200).json(&e)
	said := map[string]bool{}
	for _, w := range e.Warnings {
		said[w.Code] = true
	}
	for _, code := range []string{"record_assumption", "reanalysis_cell", "measuring_ground_assumed"} {
		if !said[code] {
			t.Errorf("the estimate does not say %s", code)
		}
	}
	if over := e.Request.Wind.MeasuredOver; over == nil || *over.RoughnessM != 0.03 {
		t.Errorf("measured over %+v", over)
	}
	var list openapi.SourceList
	f.do("GET", "/v1/sources?latitude=52.21&longitude=-1.44", nil).want(200).json(&list)
	if len(list.Sources) < 2 || list.Sources[0].Reason == "" || len(list.Warnings) == 0 {
		t.Errorf("%+v", list)
	}
}

func TestFetchRefused(t *testing.T) {
	off := newFixture(t)
	sound := []byte(`{"latitude":52.21,"longitude":-1.44,"from_year":2021,"to_year":2022}`)
	off.post("/v1/records/fetch", sound).problem(fetchOff, "", "")
	off.do("GET", "/v1/sources?latitude=52.21&longitude=-1.44", nil).problem(fetchOff, "", "")
	f := newFixture(t, withFetch(t))
	for at, body := range map[string]string{
		"body.latitude":  `{"latitude":91,"longitude":-1.44,"from_year":2021,"to_year":2022}`,
		"body.to_year":   `{"latitude":52,"longitude":-1.44,"from_year":2022,"to_year":2021}`,
		"body.from_year": `{"latitude":52,"longitude":-1.44,"from_year":2044,"to_year":2045}`,
		"body.source":    `{"latitude":52,"longitude":-1.44,"from_year":2021,"to_year":2022,"source":"almanac"}`,
		"body.sauce":     `{"latitude":52,"longitude":-1.44,"from_year":2021,"to_year":2022,"sauce":1}`,
	} {
		checkNamed(t, f.post("/v1/records/fetch", []byte(body)), at, at)
	}
	a := f.do("POST", "/v1/records/fetch", []byte(`{"latitude":52,"longitude":-1.44,"from_year":2000,"to_year":2022,"source":"open_meteo"}`),
		header{"Content-Type", "application/json"})
	if a.status != http.StatusBadGateway {
		t.Errorf("a service that refuses: %d %s", a.status, a.body)
	}
	f.do("GET", "/v1/sources?latitude=52.21", nil).want(400)
	var list openapi.RecordList
	if f.do("GET", "/v1/records", nil).json(&list); len(list.Records) != 0 {
		t.Error("half a fetch was kept")
	}
}

package fetch

import (
	"errors"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"mastworth/resource"
)

// strait is the place of the ten years of open data (its file's header says so).
var strait = Place{Lat: 24.3415, Lon: 120}

var tenYears = Years{2015, 2025}

const tenYearsFile = "data/nasa_power/POWER_Point_Hourly_20150801_20250801_024d3415N_120d0E_LST_WS50M_WS10M.csv"

// Ten years fetched year by year are the very record that the file holds in one: number, mean, largest and Weibull fit
// against reference/weibull_fits.csv.
func TestTenYearsOfPower(t *testing.T) {
	s := newStub(t, powerStub(sharedFile(t, tenYearsFile)))
	var told []Progress
	disk := withDisk(t)
	c, _ := newClient(t, s.URL, disk, func(o *Options) { o.Progress = func(p Progress) { told = append(told, p) } })
	series, report, fetched, err := c.Fetch(t.Context(), strait, tenYears, Source{Archive: NASAPower})
	if err != nil {
		t.Fatal(err)
	}
	check(t, series)
	for height, name := range map[float64]string{50: "nasa_power:WS50M all rows 2015-08..2025-08", 10: "nasa_power:WS10M all rows 2015-08..2025-08"} {
		want, speeds := reference(t, name), channel(t, series, resource.Speed, height).Values
		sum := 0.0
		for _, v := range speeds {
			sum += v
		}
		if len(speeds) != want.n || math.Abs(sum/float64(len(speeds))-want.mean) > 5e-10 || slices.Max(speeds) != want.max {
			t.Errorf("%s: %d values, mean %.10g, largest %g; want %d, %.10g, %g", name, len(speeds), sum/float64(len(speeds)), slices.Max(speeds), want.n, want.mean, want.max)
		}
	}
	if report.GapCount != 0 || report.Rows != 87696 || report.Kept != 87696 || report.ProblemCount != 0 || report.StepS != 3600 {
		t.Errorf("report: %+v", report)
	}
	if series.UTCOffsetS != 8*3600 { // 120° E
		t.Errorf("offset %d s", series.UTCOffsetS)
	}
	// 87 696 hours from August to August are 92.0 % of the 95 280 from 1 January 2015 to 13 November 2025, a week ago.
	if math.Abs(fetched.Coverage-87696/95280.) > 1e-12 {
		t.Errorf("coverage %g", fetched.Coverage)
	}
	if got := codes(fetched.Warnings); !slices.Equal(got, []string{"fetched_incomplete", "reanalysis_cell", "cell_at_sea_level"}) {
		t.Errorf("warnings %v", fetched.Warnings)
	}
	if len(fetched.Requests) != 11 || s.count() != 11 || fetched.FromCache || fetched.DistanceKM > 1 || series.Attribution == "" {
		t.Errorf("%d requests, stub asked %d times, %+v", len(fetched.Requests), s.count(), fetched)
	}
	if len(told) != 11 || told[10].Done != 11 || told[10].Total != 11 || told[10].Bytes < 2_000_000 {
		t.Errorf("progress %+v", told)
	}
	// Again, from the cache alone.
	c, _ = newClient(t, s.URL, disk, offline)
	again, _, fetched, err := c.Fetch(t.Context(), strait, tenYears, Source{Archive: NASAPower})
	if err != nil || s.count() != 11 || !fetched.FromCache || !slices.Equal(again.Times, series.Times) {
		t.Errorf("offline: %v, stub asked %d times, from cache %v", err, s.count(), fetched.FromCache)
	}
	// What is not there is said.
	_, _, _, err = c.Fetch(t.Context(), Place{Lat: 50, Lon: 8}, Years{2020, 2020}, Source{Archive: NASAPower})
	if !errors.Is(err, ErrOffline) || s.count() != 11 {
		t.Errorf("offline elsewhere: %v", err)
	}
}

// One leap year by itself.
func TestPower2020(t *testing.T) {
	s := newStub(t, powerStub(sharedFile(t, tenYearsFile)))
	c, _ := newClient(t, s.URL)
	series, _, fetched, err := c.Fetch(t.Context(), strait, Years{2020, 2020}, Source{Archive: NASAPower})
	if err != nil {
		t.Fatal(err)
	}
	want := reference(t, "nasa_power:WS50M YEAR==2020")
	fit, err := resource.FitSpeeds(channel(t, series, resource.Speed, 50).Values, resource.MaximumLikelihood)
	if err != nil || series.Len() != want.n {
		t.Fatalf("%d values, %v", series.Len(), err)
	}
	if math.Abs(fit.Shape-want.k) > 1e-6 || math.Abs(fit.Scale-want.a) > 1e-6 {
		t.Errorf("fit %v; want %v", fit, want)
	}
	if fetched.Coverage < 0.999 { // the file counts local solar time: 8 hours stand in the year before
		t.Errorf("coverage %v", fetched.Coverage)
	}
}

// The request is the one that the service's own examples show: names and forms of the parameters as in the requests
// beside the open data, and coordinates of no more than two decimals.
func TestPowerRequest(t *testing.T) {
	var got url.Values
	s := newStub(t, func(w http.ResponseWriter, r *http.Request) {
		got = r.URL.Query()
		_, _ = w.Write(inventedPower(2024, 52.27, 6.88, alternating))
	})
	c, _ := newClient(t, s.URL)
	if _, _, _, err := c.Fetch(t.Context(), Place{Lat: 52.267134, Lon: 6.8765432}, Years{2024, 2024}, Source{Archive: NASAPower}); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{"latitude": "52.27", "longitude": "6.88", "start": "20240101", "end": "20241231", "community": "RE",
		"format": "CSV", "time-standard": "UTC"} {
		if got.Get(name) != want {
			t.Errorf("%s=%q, want %q", name, got.Get(name), want)
		}
	}
	if p := strings.Split(got.Get("parameters"), ","); len(p) > 15 || !slices.Contains(p, "WS50M") {
		t.Errorf("parameters %v: the service takes at most 15", p)
	}
	real, err := url.Parse(strings.TrimSpace(string(sharedFile(t, "data/nasa_power/daily_sb_point_UTC.request.txt"))))
	if err != nil {
		t.Fatal(err)
	}
	for name := range got {
		if !real.Query().Has(name) {
			t.Errorf("parameter %q is not in a real request", name)
		}
	}
}

// The service's real answer to a real request: three hours of the storm of 1953, in km/h as it was asked for then.
func TestOpenMeteoAnswer(t *testing.T) {
	body := sharedFile(t, "data/open_meteo/historical_weather.json")
	var got url.Values
	s := newStub(t, func(w http.ResponseWriter, r *http.Request) {
		got = r.URL.Query()
		w.Header().Set("Content-Type", "application/json; charset=utf-8")
		w.Header().Set("Content-Encoding", "gzip")
		_, _ = w.Write(packed(body))
	})
	c, _ := newClient(t, s.URL)
	series, _, fetched, err := c.Fetch(t.Context(), Place{Lat: 52.22, Lon: 6.89}, Years{1953, 1953}, Source{Archive: OpenMeteo})
	if err != nil {
		t.Fatal(err)
	}
	check(t, series)
	speeds := channel(t, series, resource.Speed, 10).Values
	for i, kmh := range []float64{23.2, 23.7, 24.8} { // the answer's own figures
		if math.Abs(speeds[i]-kmh/3.6) > 1e-9 {
			t.Errorf("hour %d: %g m/s, want %g km/h", i, speeds[i], kmh)
		}
	}
	if begin := time.Date(1953, 1, 30, 22, 0, 0, 0, time.UTC); series.Times[0] != begin.Unix() { // midnight at UTC+2
		t.Errorf("begins at %d", series.Times[0])
	}
	if got.Get("wind_speed_unit") != "ms" || got.Get("timezone") != "GMT" || got.Get("start_date") != "1953-01-01" || got.Get("end_date") != "1954-01-01" {
		t.Errorf("request %v", got)
	}
	if !strings.Contains(fetched.Licence, "CC BY 4.0") || !strings.Contains(series.Attribution, "Open-Meteo") {
		t.Errorf("terms %q, %q", fetched.Licence, series.Attribution)
	}
	if fetched.DistanceKM < 6 || fetched.DistanceKM > 8 { // 0.047° of latitude and 0.069° of longitude at 52°: 5.2 km and 4.7 km
		t.Errorf("distance %g km", fetched.DistanceKM)
	}
}

package api

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"mastworth/openapi"
)

// A choice of units is remembered by a plain form, and a query's word counts before it; pages that obey it tell lengths and speeds in
// them alone, documents stay as they are.
func TestUnitsAreRememberedAndObeyed(t *testing.T) {
	f := newFixture(t)
	id := f.savedSite(string(exampleJSON(t, "MeanWind")))
	f.do("PUT", "/v1/sites/"+id+"/club", []byte(`{"public":true}`), header{"Content-Type", "application/json"}).want(200)
	w := f.browse("POST", "/units", url.Values{"units": {"feet"}, "next": {"/sites/" + id}}, nil)
	cookies := w.Result().Cookies() //nolint:bodyclose // of a recorder
	if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/sites/"+id || len(cookies) != 1 || cookies[0].Value != "feet" || !cookies[0].HttpOnly {
		t.Fatalf("%d to %q with %v", w.Code, w.Header().Get("Location"), cookies)
	}
	for _, path := range []string{"/sites/" + id, "/sites/" + id + "/report", "/sites", "/club", "/club/sites/" + id, "/sites/" + id + "/charts/energy-by-height.csv",
		"/sites/" + id + "/charts/speeds.svg", "/sites/" + id + "/edit", "/new"} {
		metric, feet := f.browse("GET", path, nil, nil), f.browse("GET", path, nil, cookies[0])
		byQuery, back := f.browse("GET", path+"?units=feet", nil, nil), f.browse("GET", path+"?units=metric", nil, cookies[0])
		tell := func(text string) bool {
			return strings.Contains(text, "mph") && !strings.Contains(path, "edit") || strings.Contains(text, "\u00a0ft") || strings.Contains(text, "(ft)") || strings.Contains(text, ", ft")
		}
		plain := strings.NewReplacer("feet and mph", "", "Feet, mph", "", "value=\"feet\"", "").Replace
		switch {
		case metric.Code != 200 || feet.Code != 200:
			t.Errorf("%s: %d and %d", path, metric.Code, feet.Code)
		case !tell(plain(feet.Body.String())) || !tell(plain(byQuery.Body.String())):
			t.Errorf("%s does not tell in feet or mph", path)
		case tell(plain(back.Body.String())) && path != "/new" && !strings.Contains(path, "edit"):
			t.Errorf("%s tells in feet where the query says metric", path)
		case !strings.Contains(metric.Header().Get("Vary"), "Cookie"):
			t.Errorf("%s does not tell caches that it depends on a cookie", path)
		case feet.Header().Get("ETag") != "" && feet.Header().Get("ETag") == metric.Header().Get("ETag"):
			t.Errorf("%s has one tag in both units", path)
		}
	}
	for _, path := range []string{"/v1/sites/" + id, "/v1/sites/" + id + "/estimate", "/v1/club/board"} {
		if metric, feet := f.browse("GET", path, nil, nil), f.browse("GET", path, nil, cookies[0]); metric.Body.String() != feet.Body.String() {
			t.Errorf("%s depends on a cookie", path)
		}
	}
	for form, want := range map[string]int{"units=yards": 422, "": 422, "units=metric&next=//elsewhere.example/": 303} {
		values, err := url.ParseQuery(form)
		if err != nil {
			t.Fatal(err)
		}
		w := f.browse("POST", "/units", values, nil)
		if w.Code != want || w.Code == 303 && w.Header().Get("Location") != "/" {
			t.Errorf("%q: %d to %q", form, w.Code, w.Header().Get("Location"))
		}
	}
	if w := f.browse("GET", "/sites?units=yards", nil, nil); w.Code != http.StatusBadRequest {
		t.Errorf("a query of yards: %d", w.Code)
	} else if kind := w.Header().Get("Content-Type"); !strings.HasPrefix(kind, "text/html") {
		t.Errorf("a browser's query of yards is answered by %s", kind)
	}
}

// Records and curves are told in feet and mph to whoever wants that, in words, tables and drawings: 10 m are 32.8 ft, 4.4704 m/s 10 mph.
// What is downloaded of them as data stays in SI.
func TestRecordsAndCurvesInFeet(t *testing.T) {
	f := newFixture(t)
	rec := f.upload(twoHeightsCSV(9000), nil)
	var curve openapi.Curve
	f.post("/v1/curves", []byte(`{"rotor_diameter_m":3.048,"power_curve":{"points":[[3,0],[4.4704,100],[12,700]]}}`)).want(201).json(&curve)
	site := f.savedSite(string(change(t, exampleJSON(t, "MeanWind"), "towers", json.RawMessage(`[{"hub_height_m":12,"cost":500},{"hub_height_m":18,"cost":900}]`))))
	lower, upper := rec.Statistics.Channels[0], rec.Statistics.Channels[1]
	mph := func(ms *float64) string { return fmt.Sprintf("%.2f\u00a0mph", *ms/0.44704) }
	for address, tells := range map[string][]string{
		"/records":                    {"33\u00a0ft, 98\u00a0ft"},
		"/records/" + rec.ID:          {mph(upper.MeanMS), "scale", "Mean speed by month, mph", "between 33\u00a0ft and 98\u00a0ft", "speeds above 6.71 mph", "At 33.6 mph", "Speed, mph", "units=feet"},
		"/curves":                     {"10\u00a0ft"},
		"/curves/" + curve.ID:         {"Wind, mph", `<th scope="row">10.0</th><td>100</td>`, "10\u00a0ft", "power-curves.csv?units=feet"},
		"/sites/" + site + "/harvest": {"39\u00a0ft", "59\u00a0ft"},
		"/records/" + rec.ID + "/charts/month-hour.csv":    {"12 h (mph)"},
		"/records/" + rec.ID + "/charts/two-heights.svg":   {"33 ft", "98 ft", "mph"},
		"/records/" + rec.ID + "/charts/speeds.csv":        {"(mph)"},
		"/records/" + rec.ID + "/charts/wind-rose.csv":     {"mph"},
		"/curves/" + curve.ID + "/charts/power-curves.csv": {"mph"},
	} {
		join, wait := "?", ""
		if address == "/records/"+rec.ID {
			join, wait = "&", "?whole=true"
		}
		got := func(query string) string {
			text, _, _ := strings.Cut(string(f.do("GET", address+query, nil).want(200).body), `<h2 id="upload"`)              // a file's units are its own
			return strings.NewReplacer(rec.ID, "", "(m/s)", "", ", m/s)", "", `<td class="words">m/s</td>`, "").Replace(text) // and so are its columns' names and units
		}
		feet := got(wait + join + "units=feet")
		lacks(t, address+" in feet", feet, tells...)
		for _, not := range []string{"m/s", "\u00a0m<", "\u00a0m,"} {
			if at := strings.Index(feet, not); at >= 0 && !strings.Contains(feet[max(0, at-60):at], "metres and ") {
				t.Errorf("%s in feet tells of %q: %q", address, not, feet[max(0, at-90):at+len(not)])
			}
		}
		if strings.Contains(strings.ReplaceAll(got(wait), "feet and mph", ""), "mph") {
			t.Errorf("%s tells in mph nobody asked for", address)
		}
	}
	lacks(t, "the lower height", string(f.do("GET", "/records/"+rec.ID+"?whole=true&units=feet&channel="+url.QueryEscape(lower.Channel), nil).want(200).body), mph(lower.MeanMS))
}

// A record's chart in feet is another file than the one in metres: whoever keeps the one is not told that it is the other.
func TestRecordChartsHaveATagOfTheirUnits(t *testing.T) {
	f := newFixture(t)
	at := "/records/" + f.upload(twoHeightsCSV(2000), nil).ID + "/charts/speeds.csv"
	metric, feet := f.do("GET", at, nil).want(200), f.do("GET", at+"?units=feet", nil).want(200)
	if metric.header.Get("ETag") == feet.header.Get("ETag") {
		t.Error("one tag for both")
	}
	f.do("GET", at+"?units=feet", nil, header{"If-None-Match", metric.header.Get("ETag")}).want(200)
}

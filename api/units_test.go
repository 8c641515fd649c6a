package api

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
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

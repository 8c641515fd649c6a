package api

import (
	"html"
	"net/http"
	"net/http/httptest"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"

	"mastworth/openapi"
)

// A site is deleted by its page's form, if whoever sends it is sure.
func TestSiteIsDeletedByForm(t *testing.T) {
	f := newFixture(t)
	id := f.savedSite(string(exampleJSON(t, "MeanWind")))
	lacks(t, "a form without the tick", wellFormed(t, "again", f.sent("/sites/"+id, "delete=").want(http.StatusUnprocessableEntity)), `aria-invalid="true"`, `id="delete-fault"`,
		"Nothing is deleted until")
	f.do("GET", "/sites/"+id, nil).want(200)
	if at := f.sent("/sites/"+id, "delete=yes").want(http.StatusSeeOther).header.Get("Location"); at != "/sites" {
		t.Errorf("it goes on at %s", at)
	}
	f.do("GET", "/sites/"+id, nil).problem(missing, "", id)
	f.sent("/sites/"+id, "delete=yes").problem(missing, "", id)
	f.post("/sites/"+id, []byte("{}")).problem(unsupportedMedia, "header.Content-Type", "")
	lacks(t, "the empty list", wellFormed(t, "the list", f.do("GET", "/sites", nil).want(200)), "No site is saved yet", `href="/new"`)
}

// The request as YAML is the request, and can be saved again.
func TestRequestAsYAML(t *testing.T) {
	f := newFixture(t)
	for kind, id := range shownSites(f) {
		a := f.do("GET", "/sites/"+id+"/request.yaml", nil).want(200)
		if d := a.header.Get("Content-Disposition"); !strings.Contains(d, id+".yaml") {
			t.Errorf("%s: %s", kind, d)
		}
		var plain any
		if err := yaml.Unmarshal(a.body, &plain); err != nil {
			t.Fatal(err)
		}
		var before, after openapi.Site
		f.do("GET", "/v1/sites/"+id, nil).want(200).json(&before)
		f.do("POST", "/v1/sites", a.body, header{"Content-Type", "application/yaml"}).want(http.StatusCreated).json(&after)
		if !reflect.DeepEqual(before.Request, after.Request) {
			t.Errorf("%s: the request has become another:\n%s", kind, a.body)
		}
	}
	f.do("GET", "/sites/nobody/request.yaml", nil).problem(missing, "", "nobody")
}

// The list says of each site what it rests on, and goes on where it is long.
func TestSitesList(t *testing.T) {
	f := newFixture(t)
	ids := shownSites(f)
	text := wellFormed(t, "the list", f.do("GET", "/sites", nil).want(200))
	lacks(t, "the list", text, "a record", "a table of speeds", "a Weibull distribution", "six boards", "52.34°\u00a0N", "12\u00a0m to 24\u00a0m")
	for _, id := range ids {
		lacks(t, "the list", text, `href="/sites/`+id+`"`, `href="/sites/`+id+`/report"`)
	}
	body := string(exampleJSON(t, "MeanWind"))
	for range sitesListed {
		f.savedSite(body)
	}
	more := regexp.MustCompile(`href="(/sites\?after=[^"]*)"`).FindStringSubmatch(string(f.do("GET", "/sites", nil).want(200).body))
	if more == nil {
		t.Fatal("a long list has no next page")
	}
	lacks(t, "the next page", string(f.do("GET", html.UnescapeString(more[1]), nil).want(200).body), `href="/sites/`+ids["MeanWind"]+`"`)
}

// What a user writes does not become a part of the page.
func TestResultEscapes(t *testing.T) {
	f := newFixture(t)
	const evil = `<img src=x onerror=alert(1)>"'&`
	body := change(t, change(t, exampleJSON(t, "MeanWind"), "site.name", evil), "turbine.name", evil)
	body = change(t, body, "site.obstacles", []any{map[string]any{"name": evil, "bearing_deg": 10, "distance_m": 30, "height_m": 9, "width_m": 5}})
	id := f.savedSite(string(body))
	for _, path := range []string{"/sites", "/sites/" + id, "/sites/" + id + "/report", "/sites/" + id + "/charts/site-plan.svg"} {
		if text := string(f.do("GET", path, nil).want(200).body); strings.Contains(text, "<img src=x") {
			t.Errorf("%s has what was written as its own", path)
		}
	}
}

// BenchmarkResultPage is the page from a kept estimate of a record's year, BenchmarkReport the report.
func BenchmarkResultPage(b *testing.B) { benchmarkShown(b, "") }
func BenchmarkReport(b *testing.B)     { benchmarkShown(b, "/report") }

func benchmarkShown(b *testing.B, path string) {
	f := newFixture(b)
	target := "/sites/" + shownSites(f)["record"] + path
	f.do("GET", target, nil).want(200)
	for b.Loop() {
		w := httptest.NewRecorder()
		f.ServeHTTP(w, httptest.NewRequestWithContext(b.Context(), http.MethodGet, target, http.NoBody))
		if w.Code != http.StatusOK {
			b.Fatal(w.Code)
		}
	}
}

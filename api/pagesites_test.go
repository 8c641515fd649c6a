package api

import (
	"bytes"
	"encoding/json"
	"errors"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// savedSite saves a request and gives its id.
func (f *fixture) savedSite(body string) string {
	f.t.Helper()
	made := f.do("POST", "/v1/sites", []byte(body), header{"Content-Type", "application/json"}).want(http.StatusCreated)
	return strings.TrimPrefix(made.header.Get("Location"), "/v1/sites/")
}

// A site's page says what its estimate says, in words, tables and pictures, and weighs little; every picture is there as a file.
func TestResultPage(t *testing.T) {
	f := newFixture(t)
	id := f.savedSite(string(exampleJSON(t, "MeanWind")))
	list := f.do("GET", "/sites", nil).want(http.StatusOK)
	if !strings.Contains(string(list.body), "/sites/"+id) {
		t.Errorf("the list lacks the site: %s", list.body)
	}
	for _, path := range []string{"/sites/" + id, "/sites/" + id + "/report"} {
		a := f.do("GET", path, nil).want(http.StatusOK)
		body := string(a.body)
		if len(body) > 150_000 {
			t.Errorf("%s weighs %d bytes", path, len(body))
		}
		for _, want := range []string{"<h1>", "What would change it", "Before you build", "Masts fall", "<svg", "Where the numbers come from", "P90"} {
			if !strings.Contains(body, want) {
				t.Errorf("%s lacks %q", path, want)
			}
		}
		for _, not := range []string{"NaN", "<nil>", "%!", " style=", "<script>", "{{"} {
			if strings.Contains(body, not) {
				t.Errorf("%s has %q in it", path, not)
			}
		}
	}
	chart := "/sites/" + id + "/charts/energy-by-height"
	for end, media := range map[string]string{"svg": "image/svg+xml", "png": "image/png", "csv": "text/csv"} {
		a := f.do("GET", chart+"."+end+"?dark=true", nil).want(http.StatusOK)
		if !strings.HasPrefix(a.header.Get("Content-Type"), media) || len(a.body) < 50 {
			t.Errorf("%s: %s, %d bytes", end, a.header.Get("Content-Type"), len(a.body))
		}
		f.do("GET", chart+"."+end+"?dark=true", nil, header{"If-None-Match", a.header.Get("ETag")}).want(http.StatusNotModified)
	}
	f.do("GET", "/sites/"+id+"/charts/no-such.svg", nil).problem(missing, "path.file", "")
	f.do("GET", "/sites/"+id+"/charts/months.gif", nil).problem(missing, "path.file", "")
	f.do("GET", "/sites/nobody", nil).problem(missing, "", "")
}

// A page from a kept estimate takes less than 50 ms, by far.
func TestResultPageIsQuick(t *testing.T) {
	f := newFixture(t)
	id := f.savedSite(string(exampleJSON(t, "MeanWind")))
	f.do("GET", "/sites/"+id, nil).want(http.StatusOK)
	best := time.Hour
	for range 5 {
		began := time.Now()
		f.do("GET", "/sites/"+id, nil).want(http.StatusOK)
		best = min(best, time.Since(began))
	}
	if best > 50*time.Millisecond && !raceDetector {
		t.Errorf("the page takes %s", best)
	}
}

// The document that the page begins with can be sent as it is; a fault is told with its place, and what was written stays.
func TestNewPage(t *testing.T) {
	f := newFixture(t)
	if same, err := os.ReadFile(filepath.Join("..", "testdata", "examples", "orchard-end.yaml")); err != nil || string(same) != exampleDocument {
		t.Errorf("the example is no longer that of testdata/examples: %v", err)
	}
	if w := f.browse("GET", "/new/document", nil, nil); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "rotor_diameter_m") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	send := func(document string) *httptest.ResponseRecorder {
		var body bytes.Buffer
		form := multipart.NewWriter(&body)
		if err := errors.Join(form.WriteField("document", document), form.Close()); err != nil {
			t.Fatal(err)
		}
		r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "/new/document", &body)
		r.Header.Set("Content-Type", form.FormDataContentType())
		r.Header.Set("Accept", "text/html")
		w := httptest.NewRecorder()
		f.Handler.ServeHTTP(w, r)
		return w
	}
	w := send(exampleDocument)
	if w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	if shown := f.browse("GET", w.Header().Get("Location"), nil, nil); shown.Code != http.StatusOK {
		t.Errorf("%d %s", shown.Code, shown.Body)
	}
	w = send(strings.Replace(exampleDocument, "rotor_diameter_m: ", "rotor_diameter_m: -", 1) + "\n# <script>alert(1)</script>\n")
	if body := w.Body.String(); w.Code != http.StatusUnprocessableEntity || !strings.Contains(body, "turbine.rotor_diameter_m") ||
		!strings.Contains(body, "# &lt;script&gt;") {
		t.Errorf("%d %s", w.Code, body)
	}
	if w = send("towers: ["); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}

// A saved site that cannot be worked out leads to where it is mended, from its page and from the list.
func TestASiteThatCannotBeWorkedOutLeadsToItsForm(t *testing.T) {
	f := newFixture(t)
	id := f.savedSite(string(change(t, exampleJSON(t, "MeanWind"), "site.obstacles", json.RawMessage(
		`[{"name":"barn","bearing_deg":10,"distance_m":12,"height_m":14,"width_m":30}]`))))
	for _, path := range []string{"/sites/" + id, "/sites/" + id + "/report", "/sites/" + id + "/harvest", "/sites"} {
		w := f.browse("GET", path, nil, nil)
		if want := map[bool]int{true: 200, false: 422}[path == "/sites"]; w.Code != want || !strings.Contains(w.Body.String(), `href="/sites/`+id+`/edit"`) {
			t.Errorf("%s: %d, %s", path, w.Code, w.Body)
		}
	}
}

package api

import (
	"bytes"
	"encoding/json"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"mastworth/openapi"
)

// sendFile sends what a browser would of fields and a file.
func (f *fixture) sendFile(target string, v url.Values, field, name string, content []byte) *httptest.ResponseRecorder {
	f.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for key := range v {
		if err := form.WriteField(key, v.Get(key)); err != nil {
			f.t.Fatal(err)
		}
	}
	part, err := form.CreateFormFile(field, name)
	if err != nil {
		f.t.Fatal(err)
	}
	if _, err := part.Write(content); err != nil {
		f.t.Fatal(err)
	}
	if err := form.Close(); err != nil {
		f.t.Fatal(err)
	}
	r := httptest.NewRequestWithContext(f.t.Context(), http.MethodPost, target, &body)
	r.Header.Set("Content-Type", form.FormDataContentType())
	r.Header.Set("Accept", "text/html")
	w := httptest.NewRecorder()
	f.Handler.ServeHTTP(w, r)
	return w
}

// A dropped file becomes a record, and the site is worked out from it.
func TestGuideTakesAFile(t *testing.T) {
	f := newFixture(t)
	v := typing(gardenForm(), "by.wind", "file")
	w := f.sendFile("/new", v, "wind.file", "garden.csv", hourlyCSV(24*40))
	site := f.saved(w)
	if site.RecordID == nil || site.Request.Wind.Record == nil || *site.Request.Wind.Record.ID != *site.RecordID {
		t.Errorf("%+v", site)
	}
	w = f.sendFile("/new", typing(v, "do", "file"), "wind.file", "garden.csv", hourlyCSV(24*40))
	if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "The record is added and chosen: garden.csv") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	w = f.sendFile("/new", v, "wind.file", "poem.csv", []byte("no table\nat all\n"))
	if note, _ := between(w.Body.String(), `id="f-wind-file-note"`, "</p>"); w.Code != http.StatusUnprocessableEntity || !strings.Contains(note, "fault") {
		t.Errorf("%d %s", w.Code, note)
	}
	w = f.sendFile("/new", v, "wind.file", "two.csv", []byte("site,time,ws (m/s)\nA,2023-05-01 00:00,1\nB,2023-05-01 00:00,2\nA,2023-05-01 01:00,3\nB,2023-05-01 01:00,4\n"))
	if note, _ := between(w.Body.String(), `id="f-wind-file-note"`, "</p>"); w.Code != http.StatusUnprocessableEntity || !strings.Contains(note, "“Only rows where”") || strings.Contains(note, "only=") {
		t.Errorf("%d %s", w.Code, note)
	}
	w = f.sendFile("/new", typing(gardenForm(), "do", "look"), "wind.file", "garden.csv", hourlyCSV(24*40))
	if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "the file was not used") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	w = f.browse("POST", "/new", v, nil)
	if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "choose a file first") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}

// A page that is sent again brings its file along again, which is kept once all the same.
func TestGuideKeepsAFileOnce(t *testing.T) {
	f := newFixture(t)
	v := typing(gardenForm(), "by.wind", "file")
	for _, do := range []string{"draft", "file", "draft", "see"} {
		if w := f.sendFile("/new", typing(v, "do", do), "wind.file", "garden.csv", hourlyCSV(24*40)); w.Code > 399 {
			t.Fatalf("%s: %d %s", do, w.Code, w.Body)
		}
	}
	f.sendFile("/new", typing(v, "do", "file"), "wind.file", "other.csv", hourlyCSV(24*41))
	var list openapi.RecordList
	if err := json.Unmarshal(f.do("GET", "/v1/records", nil).body, &list); err != nil {
		t.Fatal(err)
	}
	if len(list.Records) != 2 {
		t.Errorf("%d records of two files", len(list.Records))
	}
}

// A draft goes out as the document and comes in again, whole or not.
func TestGuideDraft(t *testing.T) {
	f := newFixture(t)
	for _, v := range []url.Values{gardenForm(), typing(gardenForm(), "site.latitude", "", "money.turbine_cost", "a lot")} {
		w := f.browse("POST", "/new", typing(v, "do", "draft"), nil)
		if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "application/yaml" {
			t.Fatalf("%d %s", w.Code, w.Body)
		}
		again := f.sendFile("/new", url.Values{"do": {"open"}}, "draft", "mastworth.yaml", w.Body.Bytes())
		body := again.Body.String()
		for _, name := range []string{"site.longitude", "site.latitude", "money.turbine_cost", "losses.wiring", "towers[1].cost"} {
			if want := `name="` + name + `" value="` + v.Get(name) + `"`; again.Code != http.StatusOK || !strings.Contains(body, want) {
				t.Errorf("%d, lacks %s", again.Code, want)
			}
		}
	}
	w := f.sendFile("/new", url.Values{"do": {"open"}}, "draft", "x.yaml", []byte("towers: ["))
	if note, _ := between(w.Body.String(), `id="f-draft-note"`, "</p>"); w.Code != http.StatusUnprocessableEntity || !strings.Contains(note, "fault") {
		t.Errorf("%d %s", w.Code, note)
	}
}

// A saved request comes through the page as it was, with what the page has no field for.
func TestGuideEdits(t *testing.T) {
	f := newFixture(t)
	files, err := filepath.Glob(filepath.Join("..", "testdata", "examples", "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatal(err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(file, "orchard-end.yaml") { // parts that have no field
			text = append(text, "household: {yearly_kwh: 4000, battery: {capacity_kwh: 5, power_kw: 2}}\nuncertainty: {verdict: {worth_it: 0.8}}\n"...)
		}
		made := f.do("POST", "/v1/sites", text, header{"Content-Type", "application/yaml"}).want(http.StatusCreated)
		var before, after openapi.Site
		made.json(&before)
		page := f.browse("GET", "/sites/"+before.ID+"/edit", nil, nil)
		if page.Code != http.StatusOK || page.Body.Len() > 150_000 {
			t.Fatalf("%d, %d bytes", page.Code, page.Body.Len())
		}
		form := formOf(t, page.Body.String())
		form.Set("do", "see")
		w := f.browse("POST", "/sites/"+before.ID+"/edit", form, nil)
		if w.Code != http.StatusSeeOther {
			t.Fatalf("%s: %d %s", file, w.Code, w.Body)
		}
		f.do("GET", "/v1/sites/"+before.ID, nil).json(&after)
		was, errWas := json.Marshal(before.Request)
		is, errIs := json.Marshal(after.Request)
		if errWas != nil || errIs != nil || !bytes.Equal(was, is) || after.Version != before.Version+1 {
			t.Errorf("%s came back as\n%s\nand was\n%s", file, is, was)
		}
		// The same form once more is of an earlier version.
		if w := f.browse("POST", "/sites/"+before.ID+"/edit", form, nil); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "changed this site meanwhile") {
			t.Errorf("%d %s", w.Code, w.Body)
		}
	}
	f.do("GET", "/sites/nobody/edit", nil).problem(missing, "", "")
}

// formOf is what a browser would send of the page's form, untouched.
func formOf(t *testing.T, page string) url.Values {
	t.Helper()
	root, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	out := url.Values{}
	for n := range root.Descendants() {
		a := map[string]string{}
		for _, attr := range n.Attr {
			a[attr.Key] = attr.Val
		}
		_, checked := a["checked"]
		switch {
		case n.Type != html.ElementNode || a["name"] == "":
		case n.Data == "input" && (a["type"] == "checkbox" || a["type"] == "radio") && !checked:
		case n.Data == "input" && a["type"] != "image" && a["type"] != "file":
			out.Add(a["name"], a["value"])
		case n.Data == "textarea" && n.FirstChild != nil:
			out.Add(a["name"], n.FirstChild.Data)
		case n.Data == "select":
			for o := range n.Descendants() {
				for _, attr := range o.Attr {
					if attr.Key == "selected" {
						out.Add(a["name"], o.Attr[0].Val)
					}
				}
			}
		}
	}
	return out
}

// A typical year is strung together from months of many years: no list may give it the stamps of the first and the last.
func TestGuideNamesATypicalYear(t *testing.T) {
	files := sharedFiles(t, "tmy3/744860TYA.CSV")
	if len(files) != 1 {
		t.Fatal("there is no typical year among the shared data")
	}
	file, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	f := newFixture(t)
	const want = "744860TYA.CSV, January to December"
	w := f.sendFile("/new", typing(gardenForm(), "by.wind", "file", "do", "file"), "wind.file", "744860TYA.CSV", file)
	if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "The record is added and chosen: "+want) {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	page := f.browse("GET", "/new", nil, nil).Body.String()
	if list, _ := between(page, `name="wind.record.id"`, "</select>"); !strings.Contains(list, want+"<") {
		t.Errorf("the list to choose from is %s", list)
	}
	// It cannot tell how windy a month was, so that it is not offered for that.
	f.upload(hourlyCSV(900), nil)
	id := f.savedSite(string(exampleJSON(t, "MeanWind")))
	f.do("POST", "/v1/sites/"+id+"/readings", []byte("time,energy_kwh\n2024-03,40\n2024-04,30\n"), asCSV...).want(http.StatusOK)
	page = f.browse("GET", "/sites/"+id+"/harvest", nil, nil).Body.String()
	if list, _ := between(page, `name="record"`, "</select>"); strings.Count(list, "<option") != 2 || strings.Contains(list, "744860") {
		t.Errorf("the list to compare by is %s", list)
	}
}

package api

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"mastworth/api/document"
	"mastworth/openapi"
)

// A form with a file is as good as the file itself, and the file's name is the record's.
func TestUploadForm(t *testing.T) {
	f := newFixture(t)
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	part, err := w.CreateFormFile("file", `C:\data\garden.csv`)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := part.Write(hourlyCSV(800)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	var rec openapi.Record
	f.do(http.MethodPost, "/v1/records", b.Bytes(), header{"Content-Type", w.FormDataContentType()}).want(201).json(&rec)
	if rec.Rows != 800 || rec.Name != "garden.csv" {
		t.Errorf("%+v", rec)
	}
}

// Reading options come as query parameters.
func TestUploadOptions(t *testing.T) {
	f := newFixture(t)
	file := strings.NewReplacer(",", ";", ".", ",").Replace(string(hourlyCSV(800)))
	file = "A logger's own heading\n" + strings.Replace(file, "wind speed 10 m (m/s)", "AN1", 1)
	rec := f.upload([]byte(file), url.Values{"header_line": {"2"}, "delimiter": {"semicolon"}, "decimal_comma": {"true"},
		"column": {"AN1=speed,height=12,unit=km/h"}, "stamps_at": {"end"}, "missing": {"-999", "7999"}})
	c := rec.Channels[0]
	if c.Quantity != "speed" || c.HeightM == nil || *c.HeightM != 12 {
		t.Errorf("channels: %+v", rec.Channels)
	}
	plain := f.upload(hourlyCSV(800), nil)
	if got, want := *rec.Statistics.Channels[0].MeanMS*3.6, *plain.Statistics.Channels[0].MeanMS; got/want-1 > 1e-9 || want/got-1 > 1e-9 {
		t.Errorf("the mean is %g km/h, want %g", got, want)
	}
	if d := plain.First.Sub(rec.First); d.Hours() != 1 {
		t.Errorf("stamps at the end of the step are moved by %s", d)
	}
}

// Lists come in pages, newest first.
func TestPages(t *testing.T) {
	f := newFixture(t)
	var ids []string
	for range 5 {
		ids = append(ids, f.upload(hourlyCSV(800), nil).ID)
	}
	slices.Reverse(ids)
	var got []string
	target := "/v1/records?limit=2"
	for range 10 {
		var list openapi.RecordList
		f.do(http.MethodGet, target, nil).want(200).json(&list)
		for _, r := range list.Records {
			got = append(got, r.ID)
		}
		if list.Next == nil {
			break
		}
		target = "/v1/records?limit=2&after=" + *list.Next
	}
	if !slices.Equal(got, ids) {
		t.Errorf("listed %v, want %v", got, ids)
	}
}

// A body that does not say what it is, is looked at. (The contract cannot say so.)
func TestUntoldContentType(t *testing.T) {
	f := newFixture(t)
	for _, body := range [][]byte{exampleJSON(t, "FittedWind"), []byte("site: {latitude: 1")} {
		w := httptest.NewRecorder()
		f.ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), http.MethodPost, "/v1/estimates", bytes.NewReader(body)))
		if want := map[bool]int{true: 200, false: 400}[body[0] == '{']; w.Code != want {
			t.Errorf("%d, want %d: %s", w.Code, want, w.Body)
		}
	}
}

// HEAD is GET without the body.
func TestHead(t *testing.T) {
	f := newFixture(t)
	a := f.do(http.MethodHead, "/livez", nil).want(200)
	if a.header.Get("Content-Length") == "" {
		t.Errorf("%v", a.header)
	}
}

// Every example of the contract is a sound document.
func TestExamplesDecode(t *testing.T) {
	for name := range loadSpec(t).Components.Examples {
		if _, err := document.Decode(exampleJSON(t, name), document.JSON); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

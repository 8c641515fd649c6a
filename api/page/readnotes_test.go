package page

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"mastworth/openapi"
)

// The readers say what is taken for a note in these very words.
func TestReadNotesAreTheReaders(t *testing.T) {
	files, err := filepath.Glob("../../resource/ingest/*.go")
	if err != nil || len(files) == 0 {
		t.Fatal("no readers", err)
	}
	var all strings.Builder
	for _, f := range files {
		body, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		all.Write(body)
	}
	for _, note := range readNotes {
		if !strings.Contains(all.String(), note) {
			t.Errorf("no reader says %q", note)
		}
	}
}

// A unit that nobody stated is to be minded; a clock that a column names is not, and is told apart from it.
func TestReadNotesAreNoWarnings(t *testing.T) {
	unit, clock := `column "v" does not state its unit: m/s is taken`, `the column "t" says that its time is UTC`
	if got := doubtsFirst([]string{clock, unit, clock}); !slices.Equal(got, []string{unit, clock, clock}) {
		t.Error(got)
	}
	mean := 5.0
	e := openapi.Estimate{BestHubHeightM: &mean, Heights: []openapi.HeightEstimate{{HubHeightM: 5, Wind: openapi.HubWind{MeanSpeedMS: &mean}}}}
	for _, a := range []string{clock, unit} {
		e.Warnings = append(e.Warnings, openapi.Warning{Code: "record_assumption", Detail: "in reading the record, " + a})
	}
	r, err := NewResult(ResultSite{ID: "abc"}, &e, Units{})
	if err != nil {
		t.Fatal(err)
	}
	s := r.section("wind")
	if s == nil || len(s.Notes) != 1 || len(s.Warnings) != 1 || !strings.Contains(s.Warnings[0], "unit") {
		t.Fatalf("%+v", s)
	}
	for _, name := range []string{"result", "report"} {
		r.Report = name == "report"
		var b strings.Builder
		if err := New().Render(&b, name, &Frame{Title: r.Name, Page: r}); err != nil || !strings.Contains(b.String(), "its time is UTC") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

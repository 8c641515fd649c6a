package api

import (
	"bytes"
	"testing"

	"mastworth/openapi"
)

// What was wrong with a record's file, and what had to be assumed in reading it, is said by every estimate over it.
func TestEstimateTellsOfItsRecordsFile(t *testing.T) {
	f := newFixture(t)
	file := bytes.Replace(hourlyCSV(900), []byte("\n2"), []byte("\nspilt coffee\n2"), 3)
	rec := f.upload(file, nil)
	if rec.Import.ProblemCount == 0 {
		t.Fatal("the broken rows were not noticed")
	}
	body := change(t, exampleJSON(t, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": rec.ID}})
	var e openapi.Estimate
	f.post("/v1/estimates", body).want(200).json(&e)
	said := map[string]bool{}
	for _, w := range e.Warnings {
		said[w.Code] = true
	}
	if !said["record_problems"] || !said["record_assumption"] {
		t.Errorf("the estimate says %v", said)
	}
}

package api

import (
	"strings"
	"testing"

	"mastworth/api/document"
	"mastworth/openapi"
)

// Of more faults than help anybody the first are told, and that there are more, whether the reading or the domain finds them.
func TestMoreFaultsThanAreTold(t *testing.T) {
	f := newFixture(t)
	var wrong []map[string]any
	for range 70 {
		wrong = append(wrong, map[string]any{"bearing_deg": 400, "distance_m": 30, "height_m": 5, "width_m": 5})
	}
	for name, doc := range map[string][]byte{
		"by the domain": change(t, exampleJSON(t, "FittedWind"), "site.obstacles", wrong),
		"by both":       change(t, change(t, exampleJSON(t, "FittedWind"), "site.obstacles", wrong), "money.life_years", "twenty"),
	} {
		var p openapi.Problem
		f.post("/v1/estimates", doc).want(422).json(&p)
		n := len(p.Errors)
		if n != document.MaxFaults+1 || p.Detail != "more than 60 things in the document must be mended" || !strings.Contains(p.Errors[n-1].Detail, "first 60") {
			t.Errorf("%s: %d faults, %q, the last %q", name, n, p.Detail, p.Errors[n-1].Detail)
		}
	}
}

package api

import (
	"net/http"
	"testing"
)

// Whoever has an answer already is told so by its tag and by how long that stands, and by no policy: a browser would put the policies of a 304
// upon the page it has kept, and show it without its style. Every answer says whether it may be kept.
func TestNothingNewHasNoPolicy(t *testing.T) {
	f := newFixture(t)
	id := f.show(exampleJSON(t, "MeanWind"), `{"public":true}`)
	rec := f.upload(twoHeightsCSV(2000), nil)
	for _, path := range []string{"/sites/" + id, "/sites/" + id + "/report", "/method", "/contract", "/club", "/club/sites/" + id, "/club/sites/" + id + "/embed",
		"/sites/" + id + "/card.svg", "/club/feed.atom", "/v1/sites/" + id + "/estimate", "/v1/club/board", "/v1/club/sites/" + id, "/v1/methods",
		"/sites/" + id + "/charts/speeds.svg", "/records/" + rec.ID + "/charts/coverage.svg", "/v1/records/" + rec.ID, "/v1/sites/" + id + "/harvest"} {
		first := f.do("GET", path, nil).want(http.StatusOK)
		again := f.do("GET", path, nil, header{"If-None-Match", first.header.Get("ETag")}).want(http.StatusNotModified)
		for _, policy := range []string{"Content-Security-Policy", "X-Frame-Options"} {
			if first.header.Get(policy) == "" && (policy == "Content-Security-Policy" || path != "/club/sites/"+id+"/embed") {
				t.Errorf("%s has no %s", path, policy)
			}
			if again.header.Get(policy) != "" {
				t.Errorf("%s: a 304 has %s: %s", path, policy, again.header.Get(policy))
			}
		}
		if again.header.Get("ETag") != first.header.Get("ETag") || again.header.Get("Cache-Control") != first.header.Get("Cache-Control") {
			t.Errorf("%s: a 304 has the tag %s and %q, not %s and %q", path, again.header.Get("ETag"), again.header.Get("Cache-Control"), first.header.Get("ETag"),
				first.header.Get("Cache-Control"))
		}
	}
	for _, path := range []string{"/sites", "/sites/" + id + "/edit", "/sites/" + id + "/harvest", "/records", "/records/" + rec.ID, "/new", "/v1/sites", "/v1/records"} {
		if got := f.do("GET", path, nil).header.Get("Cache-Control"); got != "private, no-cache" {
			t.Errorf("%s may be kept as %q", path, got)
		}
	}
}

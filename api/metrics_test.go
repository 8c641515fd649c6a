package api

import (
	"net/http"
	"strings"
	"testing"

	"mastworth/storage"
)

// What is counted is told, by route rather than by address, and nothing of what was asked for is in it.
func TestMetrics(t *testing.T) {
	f := newFixture(t)
	f.do("POST", "/v1/estimates", exampleJSON(t, "MeanWind"), header{"Content-Type", "application/json"}).want(http.StatusOK)
	f.do("GET", "/v1/sites/secret-place", nil).want(http.StatusNotFound)
	f.do("GET", "/nowhere/52.1234", nil).want(http.StatusNotFound)
	text := string(f.do("GET", "/metrics", nil).want(http.StatusOK).body)
	for _, want := range []string{
		`mastworth_requests_total{method="POST",route="/v1/estimates",status="200"} 1`,
		`mastworth_requests_total{method="GET",route="/v1/sites/:id",status="404"} 1`,
		`mastworth_requests_total{method="GET",route="none",status="404"} 1`,
		`mastworth_estimate_seconds_count{stage="work"} 1`, "mastworth_heavy_jobs 0", "go_goroutines", "go_memstats_heap_inuse_bytes",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the metrics lack %s", want)
		}
	}
	for _, private := range []string{"secret-place", "52.1234", "52.21"} {
		if strings.Contains(text, private) {
			t.Errorf("%s is in the metrics", private)
		}
	}
	locked := newFixture(t, func(o *Options) { o.Access.Keys = true })
	locked.do("GET", "/metrics", nil).want(http.StatusUnauthorized)
	locked.do("GET", "/metrics", nil, header{"Authorization", "Bearer " + locked.key("watcher", storage.ScopeRead, locked.service.Now().AddDate(1, 0, 0))}).want(http.StatusOK)
}

// Methods that a client makes up take no memory.
func TestMetricsOfMadeUpMethods(t *testing.T) {
	f := newFixture(t)
	for _, method := range []string{"BREW", "WHEN", "PROPFIND"} {
		f.do(method, "/v1/sites", nil)
		f.do(method, "/nowhere", nil)
	}
	text := string(f.do("GET", "/metrics", nil).want(http.StatusOK).body)
	if strings.Contains(text, "BREW") || strings.Count(text, `method="other"`) > 2 {
		t.Errorf("the metrics keep them: %s", text)
	}
}

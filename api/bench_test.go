package api

import (
	"bytes"
	"context"
	"net/http"
	"net/http/httptest"
	"testing"

	"mastworth/storage"
)

// benchmarkRequest is a stateless estimate at four heights, the contract's first example, without odds.
func benchmarkRequest(tb testing.TB) []byte {
	tb.Helper()
	return change(tb, exampleJSON(tb, "FittedWind"), "uncertainty.draws", 0)
}

// BenchmarkEstimateHandler is that estimate without a network. deploy/bench measures the service over one.
func BenchmarkEstimateHandler(b *testing.B) {
	h := New(Options{Store: noStore{}, Version: "bench"})
	request := benchmarkRequest(b)
	b.ReportAllocs()
	for b.Loop() {
		w := httptest.NewRecorder()
		r := httptest.NewRequestWithContext(context.Background(), http.MethodPost, "/v1/estimates", bytes.NewReader(request))
		r.Header.Set("Content-Type", "application/json")
		h.ServeHTTP(w, r)
		if w.Code != http.StatusOK {
			b.Fatal(w.Body)
		}
	}
}

// noStore is for what needs none.
type noStore struct{ storage.Store }

func (noStore) Ping(context.Context) error { return nil }

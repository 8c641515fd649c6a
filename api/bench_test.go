package api

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/gin-gonic/gin"

	"mastworth/storage"
)

// benchmarkRequest is a stateless estimate at four heights, the contract's first example, without odds; oddsRequest is it with them.
func benchmarkRequest(tb testing.TB) []byte {
	tb.Helper()
	return change(tb, exampleJSON(tb, "FittedWind"), "uncertainty.draws", 0)
}

func oddsRequest(tb testing.TB) []byte {
	tb.Helper()
	return exampleJSON(tb, "FittedWind")
}

// BenchmarkEstimateHTTP is a stateless estimate at four heights over loopback, connections kept alive, as many clients as
// processors. BenchmarkEchoHTTP is the same with an engine of the same set-up that reads the same body and writes the same
// answer without work: their ratio is what the service costs beside the transport.
func BenchmarkEstimateHTTP(b *testing.B) {
	hammer(b, New(Options{Store: noStore{}, Version: "bench"}), benchmarkRequest(b))
}

// BenchmarkEstimateOddsHTTP is the same with the default of a thousand draws.
func BenchmarkEstimateOddsHTTP(b *testing.B) {
	hammer(b, New(Options{Store: noStore{}, Version: "bench"}), oddsRequest(b))
}

func BenchmarkEchoHTTP(b *testing.B) { hammer(b, echo(answerFor(b)), benchmarkRequest(b)) }

// answerFor is what the service answers to the benchmark's request.
func answerFor(b *testing.B) []byte {
	b.Helper()
	w := httptest.NewRecorder()
	r := httptest.NewRequestWithContext(context.Background(), http.MethodPost, "/v1/estimates", bytes.NewReader(benchmarkRequest(b)))
	r.Header.Set("Content-Type", "application/json")
	New(Options{Store: noStore{}, Version: "bench"}).ServeHTTP(w, r)
	if w.Code != http.StatusOK {
		b.Fatal(w.Body)
	}
	return w.Body.Bytes()
}

// echo is gin and nothing else: it reads a body to its end and answers the same bytes each time.
func echo(answer []byte) http.Handler {
	e := gin.New()
	e.ContextWithFallback = true
	e.HandleMethodNotAllowed = true
	e.POST("/v1/estimates", func(c *gin.Context) {
		if _, err := io.ReadAll(c.Request.Body); err != nil {
			c.Status(http.StatusBadRequest)
			return
		}
		c.Data(http.StatusOK, "application/json", answer)
	})
	return e
}

func hammer(b *testing.B, h http.Handler, request []byte) {
	server := httptest.NewServer(h)
	defer server.Close()
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 64, DisableCompression: true}}
	defer client.CloseIdleConnections()
	b.ReportAllocs()
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			if err := post(client, server.URL+"/v1/estimates", request); err != nil {
				b.Error(err)
				return
			}
		}
	})
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "req/s")
}

func post(client *http.Client, url string, body []byte) error {
	r, err := http.NewRequestWithContext(context.Background(), http.MethodPost, url, bytes.NewReader(body))
	if err != nil {
		return err
	}
	r.Header.Set("Content-Type", "application/json")
	resp, err := client.Do(r)
	if err != nil {
		return err
	}
	defer resp.Body.Close() //nolint:errcheck // read to its end
	_, err = io.Copy(io.Discard, resp.Body)
	if err == nil && resp.StatusCode != http.StatusOK {
		err = fmt.Errorf("status %d", resp.StatusCode)
	}
	return err
}

// BenchmarkEstimateHandler is the same estimate without a network.
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

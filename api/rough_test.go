package api

import (
	"bytes"
	"context"
	"errors"
	"io"
	"iter"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"mastworth/openapi"
	"mastworth/storage"
)

// A request that is sound by itself but not with its record is told so when the record is read, in the saved request's places.
func TestSiteEstimateNamesItsFault(t *testing.T) {
	f := newFixture(t)
	file := bytes.Replace(hourlyCSV(900), []byte("wind speed 10 m (m/s)"), []byte("wind speed (m/s)"), 1)
	rec := f.upload(file, nil)
	if rec.Channels[0].HeightM != nil {
		t.Fatalf("the file says no height, the record %v", *rec.Channels[0].HeightM)
	}
	body := change(t, exampleJSON(t, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": rec.ID}})
	f.post("/v1/estimates", body).problem(invalidRequest, "body.wind.record.height_m", "height")
	var site openapi.Site
	f.post("/v1/sites", body).want(201).json(&site)
	f.do(http.MethodGet, "/v1/sites/"+site.ID+"/estimate", nil).problem(invalidRequest, "request.wind.record.height_m", "height")

	body = change(t, body, "wind", map[string]any{"record": map[string]any{"id": rec.ID, "height_m": 10}})
	f.post("/v1/estimates", body).want(200)
}

// Of several who change the same version at once, one wins and the others are told.
func TestReplaceAtOnce(t *testing.T) {
	f := newFixture(t)
	var site openapi.Site
	f.post("/v1/sites", exampleJSON(t, "FittedWind")).want(201).json(&site)
	body := exampleJSON(t, "MeanWind")
	var won, lost atomic.Int64
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			r := httptest.NewRequestWithContext(context.Background(), http.MethodPut, "/v1/sites/"+site.ID, bytes.NewReader(body))
			r.Header.Set("Content-Type", "application/json")
			r.Header.Set("If-Match", `"1"`)
			w := httptest.NewRecorder()
			f.ServeHTTP(w, r)
			switch w.Code {
			case http.StatusOK:
				won.Add(1)
			case http.StatusPreconditionFailed:
				lost.Add(1)
			default:
				t.Errorf("%d: %s", w.Code, w.Body)
			}
		})
	}
	wg.Wait()
	if won.Load() != 1 || lost.Load() != 7 {
		t.Errorf("%d won, %d were told", won.Load(), lost.Load())
	}
}

// tornStore fails in the middle of a record's blocks.
type tornStore struct{ storage.Store }

func (s tornStore) Blocks(ctx context.Context, id string) iter.Seq2[storage.Block, error] {
	return func(emit func(storage.Block, error) bool) {
		for b, err := range s.Store.Blocks(ctx, id) {
			if !emit(b, err) {
				return
			}
			break
		}
		emit(storage.Block{}, errors.New("the disk went away"))
	}
}

// Samples come out of the store as well as out of memory, and half of them are never passed off as all.
func TestSamplesFromTheStore(t *testing.T) {
	f := newFixture(t)
	rec := f.upload(hourlyCSV(4000), nil)
	target := "/v1/records/" + rec.ID + "/samples"
	first := f.do(http.MethodGet, target, nil).want(200)
	fresh := newFixture(t, func(o *Options) { o.Store = f.store })
	if again := fresh.do(http.MethodGet, target, nil).want(200); !bytes.Equal(first.body, again.body) || first.header.Get("ETag") != again.header.Get("ETag") {
		t.Error("another instance gives other samples")
	}
	torn := newFixture(t, func(o *Options) { o.Store = tornStore{f.store} })
	torn.do(http.MethodGet, target, nil).problem(unavailable, "", "")
	body := change(t, exampleJSON(t, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": rec.ID}})
	torn.post("/v1/estimates", body).problem(unavailable, "", "")
}

// deafClient takes the head of an answer and then no more.
type deafClient struct{ *httptest.ResponseRecorder }

func (deafClient) Write([]byte) (int, error) { return 0, errors.New("connection reset") }

// An answer that breaks off must not look whole: the connection is given up.
func TestBrokenAnswer(t *testing.T) {
	f := newFixture(t)
	defer func() {
		if r := recover(); r != http.ErrAbortHandler { //nolint:errorlint // a panic's value, compared as net/http does
			t.Errorf("the handler went on: %v", r)
		}
		if !strings.Contains(f.log.String(), "connection reset") {
			t.Errorf("log: %s", f.log)
		}
	}()
	f.ServeHTTP(deafClient{httptest.NewRecorder()}, httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/openapi.yaml", nil))
}

// A request document that stops before its announced length is told so.
func TestCutDocument(t *testing.T) {
	f := newFixture(t)
	server := httptest.NewServer(f)
	defer server.Close()
	conn, err := new(net.Dialer).DialContext(t.Context(), "tcp", server.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close() //nolint:errcheck // read to its end
	head := "POST /v1/estimates HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 5000\r\n\r\n"
	if _, err := conn.Write(append([]byte(head), exampleJSON(t, "FittedWind")...)); err != nil {
		t.Fatal(err)
	}
	if err := conn.(*net.TCPConn).CloseWrite(); err != nil {
		t.Fatal(err)
	}
	answer, err := io.ReadAll(conn)
	if err != nil || !bytes.Contains(answer, []byte("malformed-body")) || !bytes.Contains(answer, []byte("announced length")) {
		t.Errorf("%v: %s", err, answer)
	}
}

// A place with no wind worth speaking of has an answer: nulls, each with its warning.
func TestNoEnergy(t *testing.T) {
	f := newFixture(t)
	body := change(t, exampleJSON(t, "FittedWind"), "turbine.power_curve.points", [][]float64{{3, 0}, {12, 0}, {25, 0}})
	a := f.post("/v1/estimates", body)
	var e openapi.Estimate
	a.want(200).json(&e)
	if e.BestHubHeightM != nil || e.Heights[0].Cost.PerKWh != nil || e.Heights[0].Cost.SimplePaybackYears != nil ||
		!hasWarning(e.Heights[0].Warnings, "no_energy") || !hasWarning(e.Heights[0].Warnings, "never_pays_back") {
		t.Errorf("%s", a.body)
	}
}

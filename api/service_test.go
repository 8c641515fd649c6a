package api

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"iter"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/storage"
)

// What is served is what the contract says, and the other way round.
func TestRoutesAreTheContracts(t *testing.T) {
	inContract, served := map[string]bool{}, map[string]bool{}
	for path, item := range loadSpec(t).Paths.Map() {
		for method := range item.Operations() {
			inContract[method+" "+path] = true
		}
	}
	parameter := regexp.MustCompile(`:(\w+)`)
	for _, r := range newService(Options{Store: noStore{}}).engine().Routes() {
		served[r.Method+" "+parameter.ReplaceAllString(r.Path, "{$1}")] = true
	}
	for r := range inContract {
		if !served[r] {
			t.Errorf("%s is in the contract but not served", r)
		}
	}
	for r := range served {
		if !inContract[r] {
			t.Errorf("%s is served but not in the contract", r)
		}
	}
}

// Every content type the upload takes is in the contract, and the other way round.
func TestUploadTypesAreTheContracts(t *testing.T) {
	content := loadSpec(t).Paths.Value("/v1/records").Post.RequestBody.Value.Content
	for media := range content {
		if !uploadTypes[media] && media != "multipart/form-data" {
			t.Errorf("%s is in the contract but not taken", media)
		}
	}
	for media := range uploadTypes {
		if content[media] == nil {
			t.Errorf("%s is taken but not in the contract", media)
		}
	}
}

// The same request has the same bytes for an answer, whichever instance gives it.
func TestAnswersAreRepeatable(t *testing.T) {
	a, b := newFixture(t), newFixture(t)
	for _, name := range []string{"FittedWind", "MeanWind", "FrequencyTable"} {
		body := exampleJSON(t, name)
		if first := a.post("/v1/estimates", body).body; !bytes.Equal(first, a.post("/v1/estimates", body).body) ||
			!bytes.Equal(first, b.post("/v1/estimates", body).body) {
			t.Errorf("%s: the answers differ", name)
		}
	}
}

// countingStore counts what is kept and read.
type countingStore struct {
	storage.Store
	kept, records atomic.Int64
}

func (c *countingStore) SaveEstimate(ctx context.Context, e storage.SavedEstimate) error {
	c.kept.Add(1)
	return c.Store.SaveEstimate(ctx, e)
}

func (c *countingStore) Blocks(ctx context.Context, id string) iter.Seq2[storage.Block, error] {
	c.records.Add(1)
	return c.Store.Blocks(ctx, id)
}

// A site's estimate is computed once, and again only when what it is made of changes.
func TestEstimateIsKept(t *testing.T) {
	store := &countingStore{}
	f := newFixture(t, func(o *Options) {
		store.Store, _ = openStore(t)
		o.Store = store
	})
	var site openapi.Site
	f.post("/v1/sites", exampleJSON(t, "MeanWind")).want(201).json(&site)
	target := "/v1/sites/" + site.ID
	first := f.do(http.MethodGet, target+"/estimate", nil).want(200)
	again := f.do(http.MethodGet, target+"/estimate", nil).want(200)
	if n := store.kept.Load(); n != 1 || !bytes.Equal(first.body, again.body) {
		t.Errorf("computed %d times", n)
	}
	newer := newFixture(t, func(o *Options) { o.Store, o.Version = store, "next" })
	if a := newer.do(http.MethodGet, target+"/estimate", nil).want(200); a.header.Get("ETag") == first.header.Get("ETag") || store.kept.Load() != 2 {
		t.Errorf("another version of the program keeps the estimate of the one before")
	}
	f.do(http.MethodPut, target, exampleJSON(t, "FittedWind"), header{"Content-Type", "application/json"}).want(200)
	if a := f.do(http.MethodGet, target+"/estimate", nil).want(200); bytes.Equal(a.body, first.body) {
		t.Error("the estimate did not follow the request")
	}
}

// Many requests for one record at once read it once, and what one does to it no other sees.
func TestRecordIsReadOnce(t *testing.T) {
	store := &countingStore{}
	var id string
	{
		f := newFixture(t, func(o *Options) {
			store.Store, _ = openStore(t)
			o.Store = store
		})
		id = f.upload(hourlyCSV(3000), nil).ID
	}
	f := newFixture(t, func(o *Options) { o.Store, o.HeavyJobs = store, 8 }) // a fresh one, with nothing cached
	body := change(t, exampleJSON(t, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": id}})
	var wg sync.WaitGroup
	answers := make([][]byte, 16)
	for i := range answers {
		wg.Go(func() {
			w := httptest.NewRecorder()
			r := httptest.NewRequestWithContext(context.Background(), http.MethodPost, "/v1/estimates", bytes.NewReader(body))
			r.Header.Set("Content-Type", "application/json")
			f.ServeHTTP(w, r)
			answers[i] = w.Body.Bytes()
		})
	}
	wg.Wait()
	for i, a := range answers {
		if !bytes.Equal(a, answers[0]) || !bytes.Contains(a, []byte("best_hub_height_m")) {
			t.Fatalf("answer %d: %.300s", i, a)
		}
	}
	// Whoever came after the first reading was over and before the series was cached may have read it again.
	if n := store.records.Load(); n > 2 {
		t.Errorf("the record was read %d times", n)
	}
}

func TestSeriesCache(t *testing.T) {
	series := func(n int) *resource.Series { return &resource.Series{Times: make([]int64, n)} }
	one := seriesBytes(series(100))
	c := newCache(3*one, seriesBytes)
	for i := range 3 {
		c.put(fmt.Sprint(i), series(100))
	}
	if c.get("0") == nil { // and now the latest used
		t.Fatal("what fits was dropped")
	}
	c.put("3", series(100))
	if c.get("1") != nil || c.get("0") == nil || c.get("2") == nil || c.get("3") == nil {
		t.Error("the one not used for longest must go")
	}
	c.put("large", series(100_000))
	if c.get("large") != nil || c.get("0") == nil {
		t.Error("one larger than the cache must not empty it")
	}
	c.put("0", series(50))
	c.drop("2")
	c.drop("no such")
	if want := seriesBytes(series(50)) + one; c.held != want || len(c.entries) != 2 || c.recent.Len() != 2 {
		t.Errorf("it holds %d bytes in %d, want %d", c.held, len(c.entries), want)
	}
	if none := newCache(-1, seriesBytes); func() bool { none.put("a", series(1)); return none.get("a") != nil }() {
		t.Error("a cache of nothing holds something")
	}
}

func TestAccept(t *testing.T) {
	for header, want := range map[string]string{
		"": csvType, "*/*": csvType, "text/*": csvType, parquetType: parquetType, "application/*": parquetType,
		"text/csv;q=0.5, " + parquetType: parquetType, "text/html": "", "text/csv;q=0": "", "*/*;q=0.1, text/csv;q=0": parquetType,
		"nonsense, text/csv": csvType,
	} {
		if got := accepted(header, csvType, parquetType); got != want {
			t.Errorf("%q: %q, want %q", header, got, want)
		}
	}
}

func TestMatches(t *testing.T) {
	for list, want := range map[string]bool{`"1"`: true, `W/"1"`: true, `"2", "1"`: true, `*`: true, `"2"`: false, ``: false, `1`: false} {
		if got := matches(&list, `"1"`); got != want {
			t.Errorf("%s: %t", list, got)
		}
	}
	if matches(nil, `"1"`) {
		t.Error("no list matches something")
	}
}

// Forwarded headers of anybody must change nothing, and no place or query may reach the log.
func TestLogIsDiscreet(t *testing.T) {
	f := newFixture(t)
	f.do(http.MethodPost, "/v1/estimates", exampleJSON(t, "FittedWind"), header{"Content-Type", "application/json"}, header{"X-Forwarded-For", "203.0.113.9"})
	f.do(http.MethodGet, "/v1/sites?secret=7", nil)
	log := f.log.String()
	for _, word := range []string{"52.21", "secret", "203.0.113.9"} {
		if strings.Contains(log, word) {
			t.Errorf("the log has %q: %s", word, log)
		}
	}
	if !strings.Contains(log, "route=/v1/estimates") || !strings.Contains(log, "status=200") {
		t.Errorf("the log lacks the request: %s", log)
	}
}

// Real files of the publishers go through the whole service: upload, statistics, estimate with its sun from the record.
func TestPublicFiles(t *testing.T) {
	f := newFixture(t)
	for _, pattern := range []string{"epw/*", "tmy3/*"} {
		for _, file := range sharedFiles(t, pattern) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			rec := f.upload(text, nil)
			if rec.Kind != openapi.RecordKindTypicalYear || rec.Place == nil || rec.Rows < 8700 {
				t.Errorf("%s: %+v", file, rec)
			}
			body := change(t, change(t, exampleJSON(t, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": rec.ID}}), "site.ground",
				map[string]any{"cover": "open"})
			var e openapi.Estimate
			f.post("/v1/estimates", body).want(200).json(&e)
			if h := e.Heights[0]; h.Solar.Basis != openapi.SolarArrayBasisHourlyIrradiance || len(h.Energy.MonthlyKWh) != 12 || len(h.Solar.MonthlyKWh) != 12 {
				t.Errorf("%s: %+v", file, h.Solar)
			}
		}
	}
}

// sharedFiles finds sample files beside the checkout. Without them the test is skipped, but where CI is set it fails.
func sharedFiles(t *testing.T, pattern string) []string {
	t.Helper()
	root, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(root, "go.mod")); err == nil {
			break
		} else if !errors.Is(err, os.ErrNotExist) || root == filepath.Dir(root) {
			t.Fatal("there is no go.mod above this test")
		}
		root = filepath.Dir(root)
	}
	data := filepath.Join(root, "..", "shared", "data")
	if _, err := os.Stat(data); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the shared data are missing: %v", err)
		}
		t.Skipf("the shared data are not beside this checkout: %v", err)
	}
	found, err := filepath.Glob(filepath.Join(data, pattern))
	if err != nil {
		t.Fatal(err)
	}
	return found
}

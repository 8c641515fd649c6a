package api

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"iter"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/gorillamux"
	"github.com/gin-gonic/gin"

	"mastworth/openapi"
	"mastworth/storage"
	"mastworth/storage/sqlite"
)

// fixture is a service over a store of its own, whose every exchange is held against the contract.
type fixture struct {
	http.Handler
	service *service
	t       testing.TB
	store   storage.Store
	file    string // of the store; empty where the test brought its own
	spec    *openapi3.T
	router  routers.Router
	log     *bytes.Buffer
}

var registerDecoders = sync.OnceFunc(func() {
	for _, media := range []string{"text/html", "text/css", "text/javascript", "image/svg+xml", "image/png", "application/atom+xml", "text/csv", parquetType, "text/tab-separated-values"} {
		openapi3filter.RegisterBodyDecoder(media, openapi3filter.FileBodyDecoder)
	}
	asDocument := openapi3filter.RegisteredBodyDecoder("application/yaml")
	openapi3filter.RegisterBodyDecoder("application/yaml", func(body io.Reader, h http.Header, s *openapi3.SchemaRef, enc openapi3filter.EncodingFn) (any, error) {
		if s != nil && s.Value.Type.Is("string") { // a file to be kept, whatever is in it
			return openapi3filter.FileBodyDecoder(body, h, s, enc)
		}
		return asDocument(body, h, s, enc)
	})
})

func openStore(tb testing.TB) (store storage.Store, file string) {
	tb.Helper()
	file = filepath.Join(tb.TempDir(), "test.db")
	store, err := sqlite.Open(context.Background(), file)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() {
		if err := store.Close(); err != nil {
			tb.Error(err)
		}
	})
	return store, file
}

func newFixture(tb testing.TB, adjust ...func(*Options)) *fixture {
	tb.Helper()
	registerDecoders()
	spec := loadSpec(tb)
	router, err := gorillamux.NewRouter(spec)
	if err != nil {
		tb.Fatal(err)
	}
	f := &fixture{t: tb, spec: spec, router: router, log: &bytes.Buffer{}}
	o := Options{Version: "test", Now: clock(), Logger: slog.New(slog.NewTextHandler(&lockedWriter{w: f.log}, nil))}
	for _, a := range adjust {
		a(&o)
	}
	if o.Store == nil {
		o.Store, f.file = openStore(tb)
	}
	f.store = o.Store
	o.Store = watchedStore{Store: o.Store, t: tb}
	f.service = newService(o)
	f.Handler = headAsGet(f.service.engine())
	return f
}

// watchedStore sees to it that no *gin.Context gets into the store; see requestContext.
type watchedStore struct {
	storage.Store
	t testing.TB
}

func (w watchedStore) plain(ctx context.Context) {
	if ctx.Value(gin.ContextKey) != nil {
		w.t.Error("the store was called with a gin context")
	}
}

func (w watchedStore) Record(ctx context.Context, id string) (storage.Record, error) {
	w.plain(ctx)
	return w.Store.Record(ctx, id)
}

func (w watchedStore) Records(ctx context.Context, p storage.Page) ([]storage.Record, error) {
	w.plain(ctx)
	return w.Store.Records(ctx, p)
}

func (w watchedStore) DeleteRecord(ctx context.Context, id string) error {
	w.plain(ctx)
	return w.Store.DeleteRecord(ctx, id)
}

func (w watchedStore) CreateRecord(ctx context.Context, id string, blocks iter.Seq2[storage.Block, error],
	finish func() (storage.Record, error)) (storage.Record, error) {
	w.plain(ctx)
	return w.Store.CreateRecord(ctx, id, blocks, finish)
}

func (w watchedStore) Blocks(ctx context.Context, id string) iter.Seq2[storage.Block, error] {
	w.plain(ctx)
	return w.Store.Blocks(ctx, id)
}

func (w watchedStore) Site(ctx context.Context, id string) (storage.Site, error) {
	w.plain(ctx)
	return w.Store.Site(ctx, id)
}

func (w watchedStore) Sites(ctx context.Context, p storage.Page) ([]storage.Site, error) {
	w.plain(ctx)
	return w.Store.Sites(ctx, p)
}

func (w watchedStore) CreateSite(ctx context.Context, s storage.Site) (storage.Site, error) {
	w.plain(ctx)
	return w.Store.CreateSite(ctx, s)
}

func (w watchedStore) UpdateSite(ctx context.Context, s storage.Site) (storage.Site, error) {
	w.plain(ctx)
	return w.Store.UpdateSite(ctx, s)
}

func (w watchedStore) DeleteSite(ctx context.Context, id string) error {
	w.plain(ctx)
	return w.Store.DeleteSite(ctx, id)
}

func (w watchedStore) EstimateStamps(ctx context.Context, ids []string) (map[string]string, error) {
	w.plain(ctx)
	return w.Store.EstimateStamps(ctx, ids)
}

func (w watchedStore) Ping(ctx context.Context) error {
	w.plain(ctx)
	return w.Store.Ping(ctx)
}

type lockedWriter struct {
	mu sync.Mutex
	w  io.Writer
}

func (l *lockedWriter) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.w.Write(p)
}

// clock goes on by a second each time it is asked.
func clock() func() time.Time {
	var mu sync.Mutex
	now := time.Date(2026, time.May, 1, 12, 0, 0, 123456789, time.UTC)
	return func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		now = now.Add(time.Second)
		return now
	}
}

// answered is an answer with what it was to.
type answered struct {
	t         testing.TB
	operation string // of the contract; empty where there is none
	status    int
	header    http.Header
	body      []byte
}

// header is a header line of a request.
type header struct{ name, value string }

// do sends a request and holds the answer against the contract. The request itself must be in the contract too, unless it is
// answered by a 4xx.
func (f *fixture) do(method, target string, body []byte, headers ...header) *answered {
	f.t.Helper()
	request := func() *http.Request {
		r := httptest.NewRequestWithContext(context.Background(), method, target, bytes.NewReader(body))
		if body == nil {
			r.Body, r.ContentLength = http.NoBody, 0
		}
		for _, h := range headers {
			r.Header.Add(h.name, h.value)
		}
		return r
	}
	w := httptest.NewRecorder()
	f.ServeHTTP(w, request())
	out := &answered{t: f.t, status: w.Code, header: w.Header(), body: w.Body.Bytes()}
	f.check(request(), out)
	return out
}

// check holds one exchange against the contract.
func (f *fixture) check(r *http.Request, a *answered) {
	f.t.Helper()
	if r.Method == http.MethodHead {
		return
	}
	if a.status >= 500 && a.status != http.StatusServiceUnavailable && a.status != http.StatusNotImplemented && a.status != http.StatusBadGateway {
		f.t.Errorf("%s %s: %d: %s; log: %s", r.Method, r.URL, a.status, a.body, f.log)
	}
	route, params, err := f.router.FindRoute(r)
	if err != nil {
		if a.status != http.StatusNotFound && a.status != http.StatusMethodNotAllowed {
			f.t.Errorf("%s %s is not in the contract (%v), but was answered %d", r.Method, r.URL.Path, err, a.status)
		}
		return
	}
	a.operation = route.Operation.OperationID
	in := &openapi3filter.RequestValidationInput{Request: r, PathParams: params, Route: route,
		Options: &openapi3filter.Options{IncludeResponseStatus: true, MultiError: true,
			AuthenticationFunc: openapi3filter.NoopAuthenticationFunc}} // access_test.go looks after keys
	if err := openapi3filter.ValidateRequest(context.Background(), in); err != nil && a.status < 400 {
		f.t.Errorf("%s %s was answered %d, but is not in the contract: %v", r.Method, r.URL, a.status, err)
	}
	err = openapi3filter.ValidateResponse(context.Background(), &openapi3filter.ResponseValidationInput{
		RequestValidationInput: in, Status: a.status, Header: a.header, Body: io.NopCloser(bytes.NewReader(a.body)), Options: in.Options})
	if err != nil {
		f.t.Errorf("%s %s: the answer (%d) is not in the contract: %.600v\n%.600s", r.Method, r.URL, a.status, err, a.body)
	}
}

// post sends a JSON body.
func (f *fixture) post(target string, body []byte) *answered {
	f.t.Helper()
	return f.do(http.MethodPost, target, body, header{"Content-Type", "application/json"})
}

// want fails unless the status is as given.
func (a *answered) want(status int) *answered {
	a.t.Helper()
	if a.status != status {
		a.t.Fatalf("answered %d, want %d: %s", a.status, status, a.body)
	}
	return a
}

// json reads the answer.
func (a *answered) json(into any) {
	a.t.Helper()
	if err := json.Unmarshal(a.body, into); err != nil {
		a.t.Fatalf("%v in %s", err, a.body)
	}
}

// problem fails unless the answer is a problem of a kind, with an error at a place whose text has the words.
func (a *answered) problem(k *kind, location, words string) openapi.Problem {
	a.t.Helper()
	var p openapi.Problem
	a.want(k.Status).json(&p)
	if a.header.Get("Content-Type") != "application/problem+json" || p.Type != "/problems/"+k.Slug || p.Status != a.status {
		a.t.Errorf("no problem of kind %s: %s", k.Slug, a.body)
	}
	if p.Instance == "" || p.Instance != a.header.Get(requestIDHeader) {
		a.t.Errorf("the instance %q is not the request's id %q", p.Instance, a.header.Get(requestIDHeader))
	}
	if location == "" {
		if !strings.Contains(p.Detail, words) {
			a.t.Errorf("the detail %q lacks %q", p.Detail, words)
		}
		return p
	}
	for _, e := range p.Errors {
		if e.Location == location && strings.Contains(e.Detail, words) {
			return p
		}
	}
	a.t.Errorf("no error at %s with %q: %s", location, words, a.body)
	return p
}

// hourlyCSV is a logger's file: hours from 1 March 2024 on, a speed at 10 m that goes round like the clock.
func hourlyCSV(hours int) []byte {
	var b bytes.Buffer
	b.WriteString("time (UTC),wind speed 10 m (m/s),wind direction 10 m (deg),temperature (C)\n")
	start := time.Date(2024, time.March, 1, 0, 0, 0, 0, time.UTC)
	for h := range hours {
		v := 1 + float64((h*7919)%97)/10 // between 1 and 10.6, in no order
		fmt.Fprintf(&b, "%s,%.1f,%d,%.1f\n", start.Add(time.Duration(h)*time.Hour).Format("2006-01-02 15:04"), v, (h*37)%360, 8+float64(h%24)/4)
	}
	return b.Bytes()
}

// upload stores a file and returns the record.
func (f *fixture) upload(body []byte, query url.Values) openapi.Record {
	f.t.Helper()
	target := "/v1/records"
	if len(query) > 0 {
		target += "?" + query.Encode()
	}
	var rec openapi.Record
	f.do(http.MethodPost, target, body, header{"Content-Type", "text/csv"}).want(http.StatusCreated).json(&rec)
	return rec
}

// change is a request document with one place of it set to something else; a nil value takes it out.
func change(tb testing.TB, doc []byte, path string, value any) []byte {
	tb.Helper()
	var root any
	if err := json.Unmarshal(doc, &root); err != nil {
		tb.Fatal(err)
	}
	steps := strings.Split(path, ".")
	at := root.(map[string]any)
	for _, s := range steps[:len(steps)-1] {
		next, ok := at[s].(map[string]any)
		if !ok {
			next = map[string]any{}
			at[s] = next
		}
		at = next
	}
	if value == nil {
		delete(at, steps[len(steps)-1])
	} else {
		at[steps[len(steps)-1]] = value
	}
	out, err := json.Marshal(root)
	if err != nil {
		tb.Fatal(err)
	}
	return out
}

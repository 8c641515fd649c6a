package api

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"mastworth/openapi"
	"mastworth/storage"
)

// Each is a sound document with one mistake people make; the answer says where it is and what would mend it.
func TestBadRequests(t *testing.T) {
	oneAtATime(t)
	f := newFixture(t)
	sound := string(exampleJSON(t, "FittedWind"))
	for name, c := range map[string]struct {
		body     string
		kind     *kind
		location string
		words    string
	}{
		"unknown field":    {with(t, "site.latitute", 52.0), invalidRequest, "body.site.latitute", "did you mean latitude?"},
		"two winds":        {with(t, "wind.mean", map[string]any{"speed_m_s": 5, "height_m": 10}), invalidRequest, "body.wind", "not mean and weibull"},
		"NaN":              {strings.Replace(sound, "52.21", "NaN", 1), invalidRequest, "body.site.latitude", "finite number"},
		"negative height":  {with(t, "towers", []any{map[string]any{"hub_height_m": -12, "cost": 650}}), invalidRequest, "body.towers[0].hub_height_m", "above 0"},
		"wind below":       {with(t, "wind.weibull.height_m", -10), invalidRequest, "body.wind.weibull.height_m", "above 0"},
		"latitude 120":     {with(t, "site.latitude", 120), invalidRequest, "body.site.latitude", "from -90 to 90"},
		"falling speeds":   {with(t, "turbine.power_curve.points", [][]float64{{3, 0}, {8, 400}, {7, 300}}), invalidRequest, "body.turbine.power_curve.points[2][0]", ""},
		"beyond Betz":      {with(t, "turbine.power_curve.points", [][]float64{{3, 0}, {8, 4000}}), invalidRequest, "body.turbine.power_curve.points", "Betz"},
		"below the trees":  {with(t, "site.ground", map[string]any{"roughness_m": 1, "displacement_m": 14}), invalidRequest, "body.towers[0].hub_height_m", ""},
		"kW for W":         {with(t, "turbine.rated_power_w", "0.9 kW"), invalidRequest, "body.turbine.rated_power_w", "must be a number"},
		"per cent":         {with(t, "losses.wiring", 3), invalidRequest, "body.losses.wiring", "a share, not per cent"},
		"no wind":          {with(t, "wind", map[string]any{}), invalidRequest, "body.wind", "one of record"},
		"a file":           {with(t, "wind", map[string]any{"record": map[string]any{"file": "a.csv"}}), invalidRequest, "body.wind.record.file", "/v1/records"},
		"no such record":   {with(t, "wind", map[string]any{"record": map[string]any{"id": "nope"}}), invalidRequest, "body.wind.record.id", "no record"},
		"a list":           {"[]", invalidRequest, "body", "a group of fields"},
		"a list in a list": {"[[1]]", invalidRequest, "body", "a group of fields"},
		"empty":            {"", malformedBody, "body", "empty"},
		"cut short":        {sound[:len(sound)/2], malformedBody, "", "cut short"},
		"trailing":         {sound + "{}", malformedBody, "body", "after the end"},
		"a picture":        {"\xff\xd8\xff\xe0\x00\x10JFIF\x00", malformedBody, "body", "no JSON"},
		"deep":             {strings.Repeat(`{"site":`, 5000), malformedBody, "", "nested too deep"},
		"large":            {`{"site":{"name":"` + strings.Repeat("x", 2<<20) + `"}}`, tooLarge, "", "the most that is taken"},
	} {
		t.Run(name, func(t *testing.T) {
			f.t = t
			p := f.post("/v1/estimates", []byte(c.body)).problem(c.kind, c.location, c.words)
			if c.kind == invalidRequest && (p.Errors[0].Line == nil || *p.Errors[0].Line < 1) {
				t.Errorf("it does not say the line: %+v", p.Errors)
			}
			f.post("/v1/sites", []byte(c.body)).want(c.kind.Status)
		})
	}
	var list openapi.SiteList
	if f.do(http.MethodGet, "/v1/sites", nil).json(&list); len(list.Sites) != 0 {
		t.Errorf("a bad request was saved: %+v", list)
	}
}

// with is the first example with one place changed.
func with(t *testing.T, path string, value any) string {
	t.Helper()
	return string(change(t, exampleJSON(t, "FittedWind"), path, value))
}

func TestBadContentTypes(t *testing.T) {
	f := newFixture(t)
	body := exampleJSON(t, "FittedWind")
	for _, media := range []string{"application/x-www-form-urlencoded", "text/csv", "nonsense/"} {
		f.do(http.MethodPost, "/v1/estimates", body, header{"Content-Type", media}).problem(unsupportedMedia, "header.Content-Type", "application/json")
	}
	for _, media := range []string{"application/x-www-form-urlencoded", "image/jpeg", "application/x-tar"} {
		f.do(http.MethodPost, "/v1/records", hourlyCSV(10), header{"Content-Type", media}).problem(unsupportedMedia, "header.Content-Type", "text/csv")
	}
	f.do(http.MethodPost, "/v1/estimates", body, header{"Content-Type", "application/json"}, header{"Content-Encoding", "gzip"}).
		problem(unsupportedMedia, "header.Content-Encoding", "identity")
}

func TestBadUploads(t *testing.T) {
	f := newFixture(t, func(o *Options) { o.MaxUploadBytes = 1 << 20 })
	sound := hourlyCSV(800)
	for name, c := range map[string]struct {
		body     []byte
		query    string
		kind     *kind
		location string
		words    string
	}{
		"empty":             {[]byte{}, "", unreadableRecord, "body", "empty"},
		"a picture":         {[]byte("\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01\x00\x00\x01" + strings.Repeat("\x00\x7f\xfe", 200)), "", unreadableRecord, "body", ""},
		"a page":            {[]byte("<!DOCTYPE html><html><body>Not found</body></html>"), "", unreadableRecord, "body", ""},
		"cut in a row":      {sound[:len(sound)-9], "", unreadableRecord, "body", "middle of a row"},
		"too long":          {bytes.Repeat(sound, 60), "", tooLarge, "body", "at most 1048576 bytes"},
		"no such option":    {sound, "?stamp_at=end", invalidParameters, "query.stamp_at", "not a parameter"},
		"no such word":      {sound, "?stamps_at=middle", invalidParameters, "query.stamps_at", "begin or end"},
		"not a number":      {sound, "?default_height_m=tall", invalidParameters, "query.default_height_m", ""},
		"negative":          {sound, "?default_height_m=-10", invalidParameters, "query.default_height_m", ""},
		"not a column":      {sound, "?column=speed", invalidParameters, "query.column", ""},
		"no such quantity":  {sound, "?column=v=velocity", invalidParameters, "query.column", ""},
		"broken query":      {sound, "?name=%zz", invalidParameters, "query", "cannot be read"},
		"wrong format":      {sound, "?format=epw", unreadableRecord, "body", ""},
		"limits are ours":   {sound, "?max_rows=1000000000", invalidParameters, "query.max_rows", ""},
		"name of no length": {sound, "?name=", invalidParameters, "query.name", ""},
	} {
		t.Run(name, func(t *testing.T) {
			f.t = t
			a := f.do(http.MethodPost, "/v1/records"+c.query, c.body, header{"Content-Type", "text/csv"})
			a.problem(c.kind, c.location, c.words)
		})
	}
	f.t = t
	for name, form := range map[string]string{
		"no file":    "--B\r\nContent-Disposition: form-data; name=\"data\"\r\n\r\nx\r\n--B--\r\n",
		"two files":  "--B\r\nContent-Disposition: form-data; name=\"file\"\r\n\r\n" + string(sound) + "\r\n--B\r\nContent-Disposition: form-data; name=\"more\"\r\n\r\nx\r\n--B--\r\n",
		"never ends": "--B\r\nContent-Disposition: form-data; name=\"file\"\r\n\r\n" + string(sound),
		"empty":      "--B--\r\n",
	} {
		a := f.do(http.MethodPost, "/v1/records", []byte(form), header{"Content-Type", "multipart/form-data; boundary=B"})
		if a.problem(malformedBody, "", ""); a.status != 400 {
			t.Errorf("%s: %d", name, a.status)
		}
	}
	f.nothingStored()
}

// nothingStored fails unless the store has no record, and its file no block of one.
func (f *fixture) nothingStored() {
	f.t.Helper()
	all, err := f.store.Records(context.Background(), storage.Page{Limit: 10})
	if err != nil || len(all) > 0 {
		f.t.Errorf("the store holds %d records (%v)", len(all), err)
	}
	db, err := sql.Open("sqlite", f.file)
	if err != nil {
		f.t.Fatal(err)
	}
	defer db.Close() //nolint:errcheck // only read
	var n int
	if err := db.QueryRowContext(context.Background(), "SELECT count(*) FROM blocks").Scan(&n); err != nil || n != 0 {
		f.t.Errorf("%d blocks are left behind (%v)", n, err)
	}
}

// endless is a logger's file that never ends.
type endless struct{ rest []byte }

func (e *endless) Read(p []byte) (int, error) {
	if len(e.rest) == 0 {
		e.rest = []byte("2024-03-01 00:00,5.5,180\n")
	}
	n := copy(p, e.rest)
	e.rest = e.rest[n:]
	return n, nil
}

// A file without end is refused at the limit, though it never says how long it is, and nothing of it is kept.
func TestEndlessUpload(t *testing.T) {
	f := newFixture(t, func(o *Options) { o.MaxUploadBytes = 3 << 20 })
	server := httptest.NewServer(f)
	defer server.Close()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, server.URL+"/v1/records", &endless{rest: []byte("time,speed 10 m (m/s),direction 10 m (deg)\n")})
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "text/csv")
	began := time.Now()
	resp, err := server.Client().Do(r)
	if err != nil {
		// The service may close before the client has stopped sending; then there is nobody to tell.
		t.Logf("the connection was closed: %v", err)
	} else {
		defer resp.Body.Close() //nolint:errcheck // only read
		if resp.StatusCode != http.StatusRequestEntityTooLarge {
			t.Errorf("answered %d", resp.StatusCode)
		}
	}
	if d := time.Since(began); d > 20*time.Second {
		t.Errorf("it took %s", d)
	}
	f.nothingStored()
}

// A client that announces more than the limit is refused before it sends anything.
func TestAnnouncedTooLong(t *testing.T) {
	f := newFixture(t)
	r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "/v1/records", neverRead{t})
	r.ContentLength = 3 << 30
	r.Header.Set("Content-Type", "text/csv")
	w := httptest.NewRecorder()
	f.ServeHTTP(w, r)
	(&answered{t: t, status: w.Code, header: w.Header(), body: w.Body.Bytes()}).problem(tooLarge, "body", "2147483648")
}

type neverRead struct{ t *testing.T }

func (n neverRead) Read([]byte) (int, error) {
	n.t.Error("the body was read")
	return 0, io.EOF
}

// A client that goes away in the middle of its file leaves nothing behind, even where the file so far would do.
func TestClientGoesAway(t *testing.T) {
	f := newFixture(t)
	server := httptest.NewServer(f)
	defer server.Close()
	conn, err := new(net.Dialer).DialContext(t.Context(), "tcp", server.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	body := hourlyCSV(2000)
	head := "POST /v1/records HTTP/1.1\r\nHost: x\r\nContent-Type: text/csv\r\nContent-Length: 10000000\r\n\r\n"
	if _, err := conn.Write(append([]byte(head), body...)); err != nil {
		t.Fatal(err)
	}
	// Half-closed: the service sees the end, and can still answer.
	if err := conn.(*net.TCPConn).CloseWrite(); err != nil {
		t.Fatal(err)
	}
	answer, err := io.ReadAll(conn)
	if err != nil || !bytes.Contains(answer, []byte("malformed-body")) || !bytes.Contains(answer, []byte("cut short")) {
		t.Errorf("%v: %s", err, answer)
	}
	if err := conn.Close(); err != nil {
		t.Error(err)
	}
	f.nothingStored()
}

// brokenStore fails at what it is told to fail at.
type brokenStore struct {
	storage.Store
	err error
}

func (b *brokenStore) Ping(ctx context.Context) error {
	if b.err != nil {
		return b.err
	}
	return b.Store.Ping(ctx)
}

func (b *brokenStore) Site(ctx context.Context, id string) (storage.Site, error) {
	if b.err != nil {
		return storage.Site{}, b.err
	}
	return b.Store.Site(ctx, id)
}

func (b *brokenStore) EstimateStamps(ctx context.Context, ids []string) (map[string]string, error) {
	if b.err != nil {
		return nil, b.err
	}
	return b.Store.EstimateStamps(ctx, ids)
}

// A database that fails is told as such, with its own words in the log alone.
func TestBrokenStore(t *testing.T) {
	broken := &brokenStore{err: errors.New("secret: disk on fire")}
	f := newFixture(t, func(o *Options) {
		broken.Store, _ = openStore(t)
		o.Store = broken
	})
	for _, target := range []string{"/readyz", "/v1/sites/abc", "/v1/sites/abc/estimate"} {
		a := f.do(http.MethodGet, target, nil)
		p := a.problem(unavailable, "", "database")
		if a.header.Get("Retry-After") == "" || strings.Contains(string(a.body), "secret") {
			t.Errorf("%s: %v %s", target, a.header, a.body)
		}
		if log := f.log.String(); !strings.Contains(log, "disk on fire") || !strings.Contains(log, p.Instance) {
			t.Errorf("the log lacks the cause or the request's id: %s", log)
		}
	}
	f.do(http.MethodGet, "/livez", nil).want(200)
	broken.err = nil
	f.do(http.MethodGet, "/readyz", nil).want(200)
}

// A panic is an answer, and the next request is served.
func TestPanic(t *testing.T) {
	f := newFixture(t, func(o *Options) { o.Store = noStore{} }) // whose every method but one panics
	w := httptest.NewRecorder()
	f.ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/v1/sites", nil))
	p := (&answered{t: t, status: w.Code, header: w.Header(), body: w.Body.Bytes()}).problem(internal, "", "log")
	if !strings.Contains(f.log.String(), p.Instance) || !strings.Contains(f.log.String(), "panicked") {
		t.Errorf("log: %s", f.log)
	}
	f.do(http.MethodGet, "/livez", nil).want(200)
}

// Heavy work beyond what the service does at once is refused, and told when to come again.
func TestBusy(t *testing.T) {
	f := newFixture(t, func(o *Options) { o.HeavyJobs, o.HeavyWait = 1, 10*time.Millisecond })
	server := httptest.NewServer(f)
	defer server.Close()
	slow, feed := io.Pipe()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, server.URL+"/v1/records", slow)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "text/csv")
	done := make(chan int, 1)
	go func() {
		resp, err := server.Client().Do(r)
		if err != nil {
			done <- 0
			return
		}
		defer resp.Body.Close() //nolint:errcheck // only its status counts
		done <- resp.StatusCode
	}()
	body := hourlyCSV(800)
	if _, err := feed.Write(body[:100]); err != nil {
		t.Fatal(err)
	}
	for deadline := time.Now().Add(30 * time.Second); len(f.service.heavy) == 0; time.Sleep(time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatal("the first upload never began")
		}
	}
	a := f.do(http.MethodPost, "/v1/records", body, header{"Content-Type", "text/csv"})
	if a.problem(busy, "", ""); a.header.Get("Retry-After") == "" {
		t.Error("it does not say when to come again")
	}
	f.post("/v1/estimates", exampleJSON(t, "FittedWind")).want(200) // light work goes on
	if _, err := feed.Write(body[100:]); err != nil {
		t.Fatal(err)
	}
	if err := feed.Close(); err != nil {
		t.Fatal(err)
	}
	if status := <-done; status != http.StatusCreated {
		t.Errorf("the upload that was under way was answered %d", status)
	}
}

// What takes long without a record waits for its turn, too, however its heights are told; and no more may wait than there is room for.
func TestHeavyWithoutARecord(t *testing.T) {
	f := newFixture(t, func(o *Options) { o.HeavyJobs, o.HeavyWait = 1, 10*time.Millisecond })
	with := func(change func(d map[string]any)) []byte {
		var d map[string]any
		if err := json.Unmarshal(exampleJSON(t, "MeanWind"), &d); err != nil {
			t.Fatal(err)
		}
		change(d)
		b, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	heavy := map[string][]byte{
		"many draws": with(func(d map[string]any) { d["uncertainty"] = map[string]any{"draws": 50_000} }),
		"draws at the heights of a rule": with(func(d map[string]any) {
			d["uncertainty"] = map[string]any{"draws": 1000}
			d["towers"] = map[string]any{"from_m": 10, "to_m": 40, "step_m": 1, "cost_per_m": 60}
		}),
	}
	f.service.heavy <- struct{}{}
	for what, body := range heavy {
		if a := f.post("/v1/estimates", body); a.status != 503 {
			t.Errorf("%s went past the queue: %d", what, a.status)
		}
	}
	f.post("/v1/estimates", exampleJSON(t, "MeanWind")).want(200)
	f.service.HeavyWait = time.Hour
	f.service.waiting.Store(mostWaiting)
	f.post("/v1/estimates", heavy["many draws"]).problem(busy, "", "")
	f.service.waiting.Store(0)
	<-f.service.heavy
	for what, body := range heavy {
		if a := f.post("/v1/estimates", body); a.status != 200 {
			t.Errorf("%s: %d %s", what, a.status, a.body)
		}
	}
}

// FuzzEstimate: whatever comes, the answer is a document of the contract, and never a 5xx.
func FuzzEstimate(f *testing.F) {
	f.Add(exampleJSON(f, "FittedWind"), true)
	f.Add(exampleJSON(f, "MeanWind"), true)
	f.Add([]byte("site: {latitude: 1, longitude: .nan}"), false)
	h := New(Options{Store: noStore{}, MaxBodyBytes: 64 << 10})
	f.Fuzz(func(t *testing.T, body []byte, asJSON bool) {
		if bytes.Contains(body, []byte("record")) {
			return // there is no store
		}
		r := httptest.NewRequestWithContext(context.Background(), http.MethodPost, "/v1/estimates", bytes.NewReader(body))
		r.Header.Set("Content-Type", map[bool]string{true: "application/json", false: "application/yaml"}[asJSON])
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code >= 500 || !json.Valid(w.Body.Bytes()) {
			t.Fatalf("%d %s", w.Code, w.Body)
		}
	})
}

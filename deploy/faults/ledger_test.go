package faults

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"testing"
	"time"
)

// promises count what the service answered for.
type promises struct{ records, sites, batches int }

// ledger is what a service that is killed now and then has answered for.
type ledger struct {
	*subject
	promised  promises
	records   map[string]int64  // rows by id
	sites     map[string]string // names by id
	maybe     map[string]string // names that a change which was not answered may have brought
	estimates map[string]string // ETags by site
	home      string            // site that readings go to
	batches   int               // of readings that were sent to it
	kept      int               // of those, how many were answered for
	places    int               // that were fetched
}

func newLedger(t *testing.T, s *subject) *ledger {
	t.Helper()
	s.begin(t)
	l := &ledger{subject: s, records: map[string]int64{}, sites: map[string]string{}, maybe: map[string]string{}, estimates: map[string]string{}}
	l.settle(t)
	return l
}

// settle makes a site for readings.
func (l *ledger) settle(t *testing.T) {
	t.Helper()
	var made struct{ ID string }
	l.ask(t, http.MethodPost, "/v1/sites", garden("home", "")).into(t, &made)
	l.home, l.batches, l.kept = made.ID, 0, 0
	l.sites[l.home] = "home"
}

// act is something that the service is killed in the middle of. It notes what was answered, and returns early where nothing more is.
type act struct {
	name string
	do   func(ctx context.Context, l *ledger, rng *rand.Rand)
}

var acts = []act{
	{"import", func(ctx context.Context, l *ledger, _ *rand.Rand) {
		l.keepRecord(l.post(ctx, "/v1/records?name=table.csv", table))
	}},
	{"chunked upload", upload},
	{"fetch", func(ctx context.Context, l *ledger, _ *rand.Rand) {
		l.places++
		l.keepRecord(l.post(ctx, "/v1/records/fetch", fmt.Appendf(nil, `{"latitude":%.2f,"longitude":-1.5,"from_year":2021,"to_year":2021,"source":"nasa_power"}`,
			40+float64(l.places)/100)))
	}},
	{"save", save},
	{"change", change},
	{"readings", addReadings},
}

func (l *ledger) post(ctx context.Context, path string, body []byte) got {
	return request(ctx, http.MethodPost, l.Base+path, bytes.NewReader(body))
}

// made notes something that has an id.
func made(g got, status int) (id string, rows int64) {
	var m struct {
		ID   string `json:"id"`
		Rows int64  `json:"rows"`
	}
	if g.err != nil || g.status != status || json.Unmarshal(g.body, &m) != nil {
		return "", 0
	}
	return m.ID, m.Rows
}

func (l *ledger) keepRecord(g got) {
	if id, rows := made(g, http.StatusCreated); id != "" {
		l.records[id] = rows
		l.promised.records++
	}
}

// upload sends a file in pieces, none of which tells how long it will be.
func upload(ctx context.Context, l *ledger, _ *rand.Rand) {
	out, in := io.Pipe()
	go func() {
		for from := 0; from < len(table); from += 32 << 10 {
			if _, err := in.Write(table[from:min(len(table), from+32<<10)]); err != nil {
				return // the service has gone
			}
			time.Sleep(3 * time.Millisecond)
		}
		in.Close() //nolint:errcheck // never fails
	}()
	defer out.Close() //nolint:errcheck // a test is over then
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, l.Base+"/v1/records?name=chunks.csv", out)
	if err != nil {
		return
	}
	r.Header.Set("Content-Type", "text/csv")
	l.keepRecord(do(r))
}

// anyRecord is one that is there; empty where none is.
func (l *ledger) anyRecord() string {
	for id := range l.records {
		return id
	}
	return ""
}

// save saves a site and has its estimate worked out and kept.
func save(ctx context.Context, l *ledger, rng *rand.Rand) {
	name := fmt.Sprintf("garden %d", rng.IntN(1e6))
	id, _ := made(l.post(ctx, "/v1/sites", garden(name, l.anyRecord())), http.StatusCreated)
	if id == "" {
		return
	}
	l.sites[id] = name
	l.promised.sites++
	l.estimated(request(ctx, http.MethodGet, l.Base+"/v1/sites/"+id+"/estimate", bytes.NewReader(nil)), id)
}

func (l *ledger) estimated(g got, id string) {
	if g.err == nil && g.status == http.StatusOK {
		l.estimates[id] = g.header.Get("ETag")
	}
}

// change gives a site another name, and has it estimated.
func change(ctx context.Context, l *ledger, rng *rand.Rand) {
	name := fmt.Sprintf("home %d", rng.IntN(1e6))
	l.maybe[l.home] = name
	delete(l.estimates, l.home)
	g := request(ctx, http.MethodPut, l.Base+"/v1/sites/"+l.home, bytes.NewReader(garden(name, "")))
	if g.err != nil || g.status != http.StatusOK {
		return
	}
	l.sites[l.home] = name
	delete(l.maybe, l.home)
	l.promised.sites++
	l.estimated(request(ctx, http.MethodGet, l.Base+"/v1/sites/"+l.home+"/estimate", bytes.NewReader(nil)), l.home)
}

// addReadings adds readings.
func addReadings(ctx context.Context, l *ledger, _ *rand.Rand) {
	l.batches++
	if g := l.post(ctx, "/v1/sites/"+l.home+"/readings", readings(l.batches)); g.err == nil && g.status == http.StatusOK {
		l.kept++
		l.promised.batches++
	}
}

// check holds what is there against what was answered for, and takes what was not, but is whole, for answered.
func (l *ledger) check(t *testing.T) {
	t.Helper()
	var there struct {
		Records []struct {
			ID   string `json:"id"`
			Rows int64  `json:"rows"`
		} `json:"records"`
		Sites []struct{ ID, Name string } `json:"sites"`
	}
	l.ask(t, http.MethodGet, "/v1/records?limit=100", nil).into(t, &there)
	rows := map[string]int64{}
	for _, r := range there.Records {
		if rows[r.ID] = r.Rows; r.Rows != 24*recordDays && r.Rows != 24*365 {
			t.Errorf("half a record: %d rows", r.Rows)
		}
	}
	for id, n := range l.records {
		if rows[id] != n {
			t.Errorf("a record of %d rows was promised, there are %d", n, rows[id])
		}
	}
	l.ask(t, http.MethodGet, "/v1/sites?limit=100", nil).into(t, &there)
	names := map[string]string{}
	for _, site := range there.Sites {
		names[site.ID] = site.Name
	}
	for id, name := range l.sites {
		if maybe, any := l.maybe[id]; names[id] != name && (!any || names[id] != maybe) {
			t.Errorf("a site called %q was promised, there is %q", name, names[id])
		}
	}
	clear(l.maybe)
	l.records, l.sites = rows, names
	for id, tag := range l.estimates {
		if g := l.ask(t, http.MethodGet, "/v1/sites/"+id+"/estimate", nil); g.status != http.StatusOK || g.header.Get("ETag") != tag || !json.Valid(g.body) {
			t.Errorf("an estimate with the tag %s was answered, now it is %s", tag, g)
		}
	}
	clear(l.estimates)
	l.checkReadings(t)
	if v := l.verify(t); v.Records != len(rows) || v.Sites != len(names) {
		t.Errorf("the lists have %d records and %d sites, the database %d and %d", len(rows), len(names), v.Records, v.Sites)
	}
	l.prune(t)
	if t.Failed() {
		t.FailNow()
	}
}

// checkReadings counts them: a batch is there or not.
func (l *ledger) checkReadings(t *testing.T) {
	t.Helper()
	store := l.open(t)
	defer store.Close() //nolint:errcheck // a test is over then
	all, err := store.Readings(t.Context(), l.home)
	if n := len(all); err != nil || n%readingsAtOnce != 0 || n/readingsAtOnce < l.kept || n/readingsAtOnce > l.batches {
		t.Errorf("%d readings, of %d batches promised and %d sent, %v", n, l.kept, l.batches, err)
	}
}

// prune deletes what has been looked at, so that a long run is no longer than its kills.
func (l *ledger) prune(t *testing.T) {
	t.Helper()
	const most, mostBatches = 6, 20
	if l.batches > mostBatches {
		l.remove(t, "/v1/sites/"+l.home)
		delete(l.sites, l.home)
		l.settle(t)
	}
	if len(l.sites) > most {
		for id := range l.sites {
			if id != l.home {
				l.remove(t, "/v1/sites/"+id)
				delete(l.sites, id)
			}
		}
	}
	if len(l.records) > most && len(l.sites) == 1 {
		for id := range l.records {
			l.remove(t, "/v1/records/"+id)
			delete(l.records, id)
		}
	}
}

func (l *ledger) remove(t *testing.T, path string) {
	t.Helper()
	if g := l.ask(t, http.MethodDelete, path, nil); g.status != http.StatusNoContent {
		t.Errorf("DELETE %s: %s", path, g)
	}
}

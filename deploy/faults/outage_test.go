package faults

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"mastworth/storage/postgres/postgrestest"
)

// longestWait is how long anybody waits for an answer while the database is away: the store's patience, and what a busy machine adds.
const longestWait = 20 * time.Second

// troubled is a service over PostgreSQL with something in it to ask for.
type troubled struct {
	*subject
	record, site string
}

func newTroubled(t *testing.T, database string) *troubled {
	t.Helper()
	return fill(t, newSubject(t, database, "--cache-mb", "0"))
}

// fill starts the service over an empty database and puts something in.
func fill(t *testing.T, s *subject) *troubled {
	t.Helper()
	in := &troubled{subject: s}
	s.begin(t)
	in.plant(t)
	return in
}

// plant puts something in to ask for.
func (s *troubled) plant(t *testing.T) {
	t.Helper()
	s.Expect(`"level":`) // it has to say that requests failed
	var made struct{ ID string }
	s.ask(t, http.MethodPost, "/v1/records", table).into(t, &made)
	s.record = made.ID
	s.ask(t, http.MethodPost, "/v1/sites", garden("here", s.record)).into(t, &made)
	s.site = made.ID
}

// asks are requests that need the database, with what is answered where it is there.
func (s *troubled) asks() []ask {
	return []ask{
		{http.MethodGet, "/v1/sites", nil, 200},
		{http.MethodGet, "/v1/sites/" + s.site, nil, 200},
		{http.MethodGet, "/v1/sites/" + s.site + "/estimate", nil, 200},
		{http.MethodGet, "/v1/records/" + s.record + "/samples", nil, 200},
		{http.MethodPost, "/v1/sites", garden("more", s.record), 201},
		{http.MethodPost, "/v1/records", table, 201},
		{http.MethodPost, "/v1/sites/" + s.site + "/readings", readings(0), 200},
		{http.MethodPut, "/v1/sites/" + s.site, garden("other", s.record), 200},
		{http.MethodGet, "/v1/club/board", nil, 200},
		{http.MethodPost, "/v1/estimates", garden("nowhere", s.record), 200},
	}
}

type ask struct {
	method, path string
	body         []byte
	fine         int
}

// sound is an error for an answer that is neither what was asked for nor a plain word about the database.
func (a ask) sound(g got) error {
	switch {
	case g.err == nil && g.status == a.fine:
	case g.err != nil || g.status != http.StatusServiceUnavailable || g.slug() == "" || g.header.Get("Retry-After") == "":
		return fmt.Errorf("%s %s: %s", a.method, a.path, g)
	}
	if g.took > longestWait {
		return fmt.Errorf("%s %s: %s", a.method, a.path, g)
	}
	return nil
}

// all asks for everything at once and returns how many had what they asked for.
func (s *troubled) all(t *testing.T) (fine int) {
	t.Helper()
	asks := s.asks()
	answers := make([]got, len(asks))
	var asking sync.WaitGroup
	for i, a := range asks {
		asking.Go(func() { answers[i] = s.ask(t, a.method, a.path, a.body) })
	}
	asking.Wait()
	for i, a := range asks {
		if err := a.sound(answers[i]); err != nil {
			t.Error(err)
		} else if answers[i].status == a.fine {
			fine++
		}
	}
	return fine
}

// health looks at both of its kinds: the service lives, and is ready or not.
func (s *troubled) health(t *testing.T, ready int) {
	t.Helper()
	if g := s.ask(t, http.MethodGet, "/livez", nil); g.status != http.StatusOK || g.took > 5*time.Second {
		t.Errorf("/livez: %s", g)
	}
	g := s.ask(t, http.MethodGet, "/readyz", nil)
	if g.status != ready || g.took > 10*time.Second || ready == http.StatusServiceUnavailable && (g.slug() != "unavailable" || g.header.Get("Retry-After") == "") {
		t.Errorf("/readyz: %s", g)
	}
}

// recovers waits until everything is answered again, without anybody's doing.
func (s *troubled) recovers(t *testing.T) {
	t.Helper()
	began := time.Now()
	for s.all(t) < len(s.asks()) {
		if t.Failed() || time.Since(began) > longestWait {
			t.Fatalf("not recovered after %s", time.Since(began))
		}
		time.Sleep(100 * time.Millisecond)
	}
	s.health(t, http.StatusOK)
	t.Logf("recovered %s after the database was back", time.Since(began).Round(time.Millisecond))
}

// ends looks at what the service said: of the database, and nothing that broke.
func (s *troubled) ends(t *testing.T) {
	t.Helper()
	s.verify(t)
	for _, line := range s.Said() {
		if strings.Contains(line, "panic") {
			t.Errorf("the service said: %s", line)
		}
	}
}

// The database is halted in the middle of requests, is away for a while, and comes back: twice.
func TestDatabaseRestarted(t *testing.T) {
	t.Parallel()
	server := postgrestest.Own(t)
	s := newTroubled(t, server.URL)
	for range 2 {
		ctx, stop := context.WithCancel(t.Context())
		var asking sync.WaitGroup
		kept := make([][]string, 6)
		for n := range kept {
			asking.Go(func() {
				for i := n; ctx.Err() == nil; i++ {
					a := s.asks()[i%len(s.asks())]
					g := request(context.WithoutCancel(ctx), a.method, s.Base+a.path, bytes.NewReader(a.body))
					if err := a.sound(g); err != nil {
						t.Error(err)
						return
					}
					if id, _ := made(g, http.StatusCreated); id != "" {
						kept[n] = append(kept[n], a.path+"/"+id)
					}
				}
			})
		}
		time.Sleep(500 * time.Millisecond)
		server.Halt()
		time.Sleep(300 * time.Millisecond)
		s.health(t, http.StatusServiceUnavailable)
		if s.all(t) > 0 {
			t.Error("something is answered without a database that needs it")
		}
		if err := server.Start(); err != nil {
			t.Fatal(err)
		}
		s.recovers(t)
		stop()
		asking.Wait()
		promised := 0
		for _, paths := range kept {
			for _, path := range paths {
				promised++
				if g := s.ask(t, http.MethodGet, strings.Replace(path, "?name=table.csv", "", 1), nil); g.status != http.StatusOK {
					t.Errorf("%s was promised: %s", path, g)
				}
			}
		}
		t.Logf("%d things were promised while the database was halted", promised)
	}
	s.ends(t)
}

// The line to the database is slow, falls silent, is cut, or leads nowhere any more.
func TestDatabaseUnreachable(t *testing.T) {
	t.Parallel()
	for name, trouble := range map[string]struct {
		begin, end func(l *line)
		ready      int
		some       bool // requests are answered all the same
	}{
		"slow":   {func(l *line) { l.set(func() { l.delay = 20 * time.Millisecond }) }, func(l *line) { l.set(func() { l.delay = 0 }) }, 200, true},
		"silent": {func(l *line) { l.set(func() { l.silent = true }) }, func(l *line) { l.set(func() { l.silent = false }) }, 503, false},
		"cut":    {func(l *line) { l.set(func() { l.refuse = true }); l.cut() }, func(l *line) { l.set(func() { l.refuse = false }) }, 503, false},
		"gone without a word": {func(l *line) { l.set(func() { l.silent = true }) },
			func(l *line) { l.set(func() { l.silent = false; l.age++ }) }, 503, false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			l, through := newLine(t, postgrestest.Database(t))
			s := newTroubled(t, through)
			s.all(t) // the pool is full
			trouble.begin(l)
			s.health(t, trouble.ready)
			if fine := s.all(t); (fine > 0) != trouble.some {
				t.Errorf("%d requests had what they asked for", fine)
			}
			trouble.end(l)
			s.recovers(t)
			s.ends(t)
		})
	}
}

// Connections that break off anywhere, again and again, are told as such and nothing worse.
func TestDatabaseLineBreaks(t *testing.T) {
	l, through := newLine(t, postgrestest.Database(t))
	s := newTroubled(t, through)
	rng := random(t)
	ctx, stop := context.WithCancel(t.Context())
	var breaking sync.WaitGroup
	breaking.Go(func() {
		for ctx.Err() == nil {
			time.Sleep(time.Duration(rng.IntN(30)) * time.Millisecond)
			l.cut()
		}
	})
	fine, rounds := 0, 0
	for began := time.Now(); time.Since(began) < 3*time.Second && !t.Failed(); rounds++ {
		fine += s.all(t)
	}
	stop()
	breaking.Wait()
	t.Logf("%d of %d requests had what they asked for", fine, rounds*len(s.asks()))
	s.recovers(t)
	s.ends(t)
}

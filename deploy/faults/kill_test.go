package faults

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"mastworth/deploy/running"
)

// The service is killed at random moments of whatever it does, again and again over one database. Each time it starts again in time,
// what it had answered for is there, what it had not answered for is there whole or not at all, and nothing is left over that grows.
func TestKilled(t *testing.T) {
	kills := askedKills(t)
	archive := mirror(t)
	bothStores(t, func(t *testing.T, s *subject) {
		t.Parallel()
		rng := random(t)
		l := newLedger(t, s)
		spans := l.measure(t, rng)
		count := map[string]int{}
		// Of the two stores, and beside the acts, migrations are killed as well.
		for n := range (kills - migrationKills(kills)) / 2 {
			a := acts[n%len(acts)]
			if l.killed(t, a, time.Duration(rng.Float64()*1.3*float64(spans[a.name])), rng) {
				count[a.name]++
			}
			l.check(t)
		}
		l.hold(t)
		t.Logf("killed in the middle of: %v; as long as they take: %v; %d records, %d sites and %d batches of readings were promised and kept", count, spans,
			l.promised.records, l.promised.sites, l.promised.batches)
	}, "--fetch", "--fetch-mirror", archive)
}

// killed kills the service so long after an act has begun, and reports whether that was in the middle of it. The service is started
// again.
func (l *ledger) killed(t *testing.T, a act, after time.Duration, rng *rand.Rand) (midway bool) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	done := make(chan struct{})
	go func() {
		defer close(done)
		a.do(ctx, l, rng)
	}()
	timer := time.NewTimer(after)
	defer timer.Stop()
	select {
	case <-timer.C:
		midway = true
	case <-done:
	}
	l.Kill()
	cancel()
	<-done
	unhurried.CloseIdleConnections()
	l.begin(t)
	return midway
}

// measure does each act once and says how long it takes.
func (l *ledger) measure(t *testing.T, rng *rand.Rand) map[string]time.Duration {
	t.Helper()
	spans := map[string]time.Duration{}
	for _, a := range acts {
		before := l.promised
		began := time.Now()
		a.do(t.Context(), l, rng)
		if spans[a.name] = time.Since(began).Round(time.Millisecond); l.promised == before {
			t.Fatalf("%s does not succeed", a.name)
		}
	}
	l.check(t)
	return spans
}

// The command that fetches is killed while it does: the file it was to write is whole or not there, and what is left beside it is
// written over by the next.
func TestFetchKilled(t *testing.T) {
	archive, rng := mirror(t), random(t)
	s := newSubject(t, "")
	out := filepath.Join(s.folder, "here.csv")
	fetch := func(place int) *exec.Cmd {
		cmd := running.Command(t, s.folder, "fetch", "--mirror", archive, "--cache", filepath.Join(s.folder, "cache"), "--years", "2021", "--source", "nasa_power",
			"--lat", fmt.Sprintf("%.2f", 40+float64(place)/100), "--lon", "-1.5", "--out", out)
		cmd.Env = append(os.Environ(), "TMPDIR="+s.temp())
		return cmd
	}
	for n := range 8 {
		cmd := fetch(n % 2)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(rng.IntN(200)) * time.Millisecond)
		_ = cmd.Process.Kill() // it may have ended
		_ = cmd.Wait()         // as it was killed
		if text, err := os.ReadFile(out); err == nil && bytes.Count(text, []byte("\n")) != 365*24+1 {
			t.Fatalf("half a file of %d lines", bytes.Count(text, []byte("\n")))
		}
	}
	if said, err := fetch(0).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	for name := range s.files(t) {
		if name != "here.csv" && !strings.HasSuffix(name, ".answer") && !strings.HasSuffix(name, ".answer.coming") && name != "here.csv.part" {
			t.Errorf("%s is left behind", name)
		}
	}
}

// hold is the look at the end: no file that nobody knows, none that grew beyond what is stored.
func (l *ledger) hold(t *testing.T) {
	t.Helper()
	for name, size := range l.files(t) {
		switch {
		case strings.HasPrefix(name, "tmp/"):
			t.Errorf("a temporary file is left behind: %s", name)
		case strings.HasPrefix(name, "mastworth-cache/"):
			if !strings.HasSuffix(name, ".answer") && !strings.HasSuffix(name, ".answer.coming") {
				t.Errorf("left in the cache: %s", name)
			}
		case name == "test.db", name == "test.db-wal", name == "test.db-shm":
			if size > 128<<20 {
				t.Errorf("%s has grown to %d bytes", name, size)
			}
		default:
			t.Errorf("left beside the database: %s", name)
		}
	}
}

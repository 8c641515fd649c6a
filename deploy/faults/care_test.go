package faults

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"mastworth/deploy/running"
)

// run runs a command of the program over the database and kills it after a while, unless that is 0.
func (s *subject) run(t *testing.T, kill time.Duration, arguments ...string) (said string, err error) {
	t.Helper()
	var out strings.Builder
	cmd := running.Command(t, s.folder, append(arguments, "--database", s.database)...)
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	if kill == 0 {
		kill = time.Minute
	}
	late := time.AfterFunc(kill, func() { _ = cmd.Process.Kill() }) // it may have ended
	defer late.Stop()
	err = cmd.Wait()
	return out.String(), err
}

// sound says whether a file is a database that is whole.
func (s *subject) sound(t *testing.T, file string) {
	t.Helper()
	of := *s
	of.database = file
	of.verify(t)
}

// Backups are taken while others write, and cut off at random moments: one that is there is whole. Whatever is left of those that were cut
// off is one file, which does not look like one.
func TestBackupKilled(t *testing.T) {
	s := newSubject(t, "")
	rng := random(t)
	in := fill(t, s)
	for range 5 {
		s.ask(t, http.MethodPost, "/v1/records", table)
	}
	ctx, stop := context.WithCancel(t.Context())
	var writing sync.WaitGroup
	writing.Go(func() {
		for n := 0; ctx.Err() == nil; n++ {
			if g := s.ask(t, http.MethodPost, "/v1/sites", garden(fmt.Sprintf("site %d", n), in.record)); g.status != http.StatusCreated {
				t.Errorf("while a backup is taken: %s", g)
				return
			}
		}
	})
	began := time.Now()
	backup := filepath.Join(s.folder, "backup.db")
	if said, err := s.run(t, 0, "backup", backup); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	span := time.Since(began)
	s.sound(t, backup)
	cut := 0
	for range 12 {
		if err := os.Remove(backup); err != nil && !errors.Is(err, fs.ErrNotExist) {
			t.Fatal(err)
		}
		_, err := s.run(t, 1+time.Duration(rng.Float64()*1.2*float64(span)), "backup", backup)
		if err != nil {
			cut++
		}
		if _, there := os.Stat(backup); there == nil {
			s.sound(t, backup)
		} else if err == nil {
			t.Error("a backup that was told of is not there")
		}
	}
	stop()
	writing.Wait()
	_ = os.Remove(backup) // it may not be there
	if said, err := s.run(t, 0, "backup", backup); err != nil {
		t.Errorf("%v: %s", err, said)
	}
	for name := range s.files(t) {
		if strings.Contains(name, ".part") {
			t.Errorf("%s is left behind", name)
		}
	}
	t.Logf("%d of 12 backups were cut off within %s", cut, span.Round(time.Millisecond))
}

// Restores are cut off at random moments: the database is the old or the new one, whole, and the next restore goes through.
func TestRestoreKilled(t *testing.T) {
	s := newSubject(t, "")
	rng := random(t)
	fill(t, s)
	for range 5 {
		s.ask(t, http.MethodPost, "/v1/records", table)
	}
	backup := filepath.Join(s.folder, "backup.db")
	if said, err := s.run(t, 0, "backup", backup); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	if said, err := s.run(t, 0, "restore", backup); err == nil || !strings.Contains(said, "in use") {
		t.Errorf("a restore while the service runs: %v: %s", err, said)
	}
	s.ask(t, http.MethodPost, "/v1/sites", garden("since the backup", ""))
	s.Kill() // so that there is a log beside the database, too
	const sitesBefore, sitesAfter = 2, 1
	span, states := 400*time.Millisecond, map[int]int{}
	for range 16 {
		began := time.Now()
		_, err := s.run(t, 1+time.Duration(rng.Float64()*1.2*float64(span)), "restore", backup)
		if err == nil {
			span = time.Since(began)
		}
		n := s.verify(t).Sites
		if states[n]++; n != sitesBefore && n != sitesAfter || err == nil && n != sitesAfter {
			t.Fatalf("%d sites", n)
		}
		if n == sitesAfter { // back to what was before
			if err := os.Rename(s.database+".before", s.database); err != nil {
				t.Fatal(err)
			}
			s.sound(t, s.database)
		}
	}
	if said, err := s.run(t, 0, "restore", backup); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	for name := range s.files(t) {
		if strings.Contains(name, ".part") {
			t.Errorf("%s is left behind", name)
		}
	}
	s.begin(t)
	if n := s.verify(t).Sites; n != sitesAfter {
		t.Errorf("%d sites after the restore", n)
	}
	t.Logf("after restores that were cut off: %d times the old database, %d times the new one", states[sitesBefore], states[sitesAfter])
}

// A block that is damaged in the database is found, and told with its record, its column and what to do; whoever asks for that record is
// told so, and everything else is answered as ever.
func TestDamagedBlock(t *testing.T) {
	bothStores(t, func(t *testing.T, s *subject) {
		in := fill(t, s)
		var other struct{ ID string }
		s.ask(t, http.MethodPost, "/v1/records", table).into(t, &other)
		s.damage(t, in.record)
		said, err := s.run(t, 0, "verify")
		for _, word := range []string{"record " + in.record, "block 2018-01", "cannot be read in it", "speed_10m",
			"upload its file again", "1 damaged"} {
			if err == nil || !strings.Contains(said, word) {
				t.Errorf("verify does not say %q: %v: %s", word, err, said)
			}
		}
		if strings.Contains(said, other.ID) {
			t.Errorf("verify blames another record: %s", said)
		}
		for _, a := range in.asks() {
			g := s.ask(t, a.method, a.path, a.body)
			ofIt := strings.HasSuffix(a.path, "/samples") || a.path == "/v1/estimates" || strings.HasSuffix(a.path, "/estimate")
			switch {
			case g.status == a.fine:
			case ofIt && g.slug() == "damaged" && g.header.Get("Retry-After") == "":
			default:
				t.Errorf("%s %s: %s", a.method, a.path, g)
			}
		}
		if g := s.ask(t, http.MethodGet, "/v1/records/"+in.record+"/samples", nil); g.slug() != "damaged" {
			t.Errorf("damaged samples: %s", g)
		}
		if g := s.ask(t, http.MethodGet, "/v1/records/"+other.ID+"/samples", nil); g.status != http.StatusOK {
			t.Errorf("another record's samples: %s", g)
		}
	}, "--cache-mb", "0")
}

// damage changes a few bytes of a record's first block, in the pages of its first column of values.
func (s *subject) damage(t *testing.T, record string) {
	t.Helper()
	var data []byte
	var write func(data []byte) error
	if s.onPostgres() {
		c, err := pgx.Connect(t.Context(), s.database)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close(context.WithoutCancel(t.Context())) //nolint:errcheck // a test is over then
		err = c.QueryRow(t.Context(), "SELECT data FROM blocks WHERE record_id = $1 AND month = '2018-01'", record).Scan(&data)
		if err != nil {
			t.Fatal(err)
		}
		write = func(data []byte) error {
			_, err := c.Exec(t.Context(), "UPDATE blocks SET data = $1 WHERE record_id = $2 AND month = '2018-01'", data, record)
			return err
		}
	} else {
		db, err := sql.Open("sqlite", s.database)
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close() //nolint:errcheck // a test is over then
		err = db.QueryRowContext(t.Context(), "SELECT data FROM blocks WHERE record_id = ? AND month = '2018-01'", record).Scan(&data)
		if err != nil {
			t.Fatal(err)
		}
		write = func(data []byte) error {
			_, err := db.ExecContext(t.Context(), "UPDATE blocks SET data = ? WHERE record_id = ? AND month = '2018-01'", data, record)
			return err
		}
	}
	for at := range data {
		if at > len(data)/10 && at < len(data)*9/10 && at%50 == 0 { // the first and the last tenth are other things
			data[at] ^= 0xff
		}
	}
	if err := write(data); err != nil {
		t.Fatal(err)
	}
}

package faults

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"mastworth/deploy/running"
	"mastworth/storage"
	"mastworth/storage/postgres"
	"mastworth/storage/postgres/postgrestest"
	"mastworth/storage/sqlite"
)

// subject is a database with the service that runs, or ran, over it, in a folder that has nothing else in it.
type subject struct {
	*running.Instance
	folder   string
	database string
	settings []string
}

// readyTime is how long a start may take, however the service ended before. It is generous: the machine has other work.
const readyTime = 15 * time.Second

func newSubject(t *testing.T, database string, settings ...string) *subject {
	t.Helper()
	s := &subject{folder: t.TempDir(), database: database, settings: settings}
	if database == "" {
		s.database = filepath.Join(s.folder, "test.db")
	}
	if err := os.Mkdir(s.temp(), 0o700); err != nil {
		t.Fatal(err)
	}
	return s
}

// temp is where the service has its temporary files.
func (s *subject) temp() string { return filepath.Join(s.folder, "tmp") }

func (s *subject) onPostgres() bool { return strings.HasPrefix(s.database, "postgres") }

// bothStores runs a test over each, with an empty database.
func bothStores(t *testing.T, test func(t *testing.T, s *subject), settings ...string) {
	t.Run("sqlite", func(t *testing.T) { test(t, newSubject(t, "", settings...)) })
	t.Run("postgres", func(t *testing.T) { test(t, newSubject(t, postgrestest.Database(t), settings...)) })
}

// begin starts the service, which has to be ready in time. It ends with the test, as ends says.
func (s *subject) begin(t *testing.T) {
	t.Helper()
	running.Program(t) // building it is not part of its start
	began := time.Now()
	cmd := running.Command(t, s.folder, append([]string{"serve", "--listen", "127.0.0.1:0", "--requests-per-second", "0", "--database", s.database}, s.settings...)...)
	cmd.Env = append(os.Environ(), "TMPDIR="+s.temp())
	var err error
	if s.Instance, err = running.Run(cmd); err != nil {
		t.Fatal(err)
	}
	i := s.Instance
	t.Cleanup(func() { i.Stop(t) })
	if got := s.ask(t, http.MethodGet, "/readyz", nil); got.status != http.StatusOK || time.Since(began) > readyTime {
		t.Fatalf("not ready after %s: %+v", time.Since(began), got)
	}
}

// got is an answer.
type got struct {
	status int
	header http.Header
	body   []byte
	took   time.Duration
	err    error // it broke off, or there was none
}

func (g got) String() string {
	return fmt.Sprintf("%d after %s %v: %.400s", g.status, g.took.Round(time.Millisecond), g.err, g.body)
}

// into reads the answer's document.
func (g got) into(t *testing.T, v any) {
	t.Helper()
	if g.err != nil || g.status >= 300 {
		t.Fatal(g)
	}
	if err := json.Unmarshal(g.body, v); err != nil {
		t.Fatalf("%v: %s", err, g)
	}
}

// slug is the kind of problem that an answer is; empty for none.
func (g got) slug() string {
	var p struct {
		Type   string `json:"type"`
		Status int    `json:"status"`
		Detail string `json:"detail"`
	}
	if g.header.Get("Content-Type") != "application/problem+json" || json.Unmarshal(g.body, &p) != nil || p.Status != g.status || p.Detail == "" {
		return ""
	}
	return strings.TrimPrefix(p.Type, "/problems/")
}

// unhurried bounds every request, so that one that hangs is a failure and no hanging test.
var unhurried = &http.Client{Timeout: 60 * time.Second}

// ask makes a request: JSON, unless the body is a table.
func (s *subject) ask(t *testing.T, method, path string, body []byte) got {
	t.Helper()
	return request(t.Context(), method, s.Base+path, bytes.NewReader(body))
}

func request(ctx context.Context, method, address string, body *bytes.Reader) got {
	r, err := http.NewRequestWithContext(ctx, method, address, body)
	if err != nil {
		return got{err: err}
	}
	if body.Len() > 0 {
		r.Header.Set("Content-Type", "application/json")
		if first, err := body.ReadByte(); err == nil && first != '{' {
			r.Header.Set("Content-Type", "text/csv")
		}
		_ = body.UnreadByte() // it has just been read
	}
	return do(r)
}

func do(r *http.Request) got {
	began := time.Now()
	response, err := unhurried.Do(r)
	if err != nil {
		return got{err: err, took: time.Since(began)}
	}
	defer response.Body.Close()
	all, err := io.ReadAll(response.Body)
	return got{response.StatusCode, response.Header, all, time.Since(began), err}
}

// open opens the database beside the service.
func (s *subject) open(t *testing.T) storage.Store {
	t.Helper()
	var store storage.Store
	var err error
	if s.onPostgres() {
		store, err = postgres.Open(t.Context(), s.database)
	} else {
		store, err = sqlite.Open(t.Context(), s.database)
	}
	if err != nil {
		t.Fatal(err)
	}
	return store
}

// verify looks through all that is stored, as the command of that name does.
func (s *subject) verify(t *testing.T) storage.Verified {
	t.Helper()
	store := s.open(t)
	defer store.Close() //nolint:errcheck // a test is over then
	v, err := storage.Verify(t.Context(), store, nil)
	if err != nil || len(v.Bad) > 0 {
		t.Fatalf("verify: %v, %v", v.Bad, err)
	}
	if own, is := store.(*sqlite.Store); is {
		if found, err := own.Check(t.Context()); err != nil || len(found) > 0 {
			t.Fatalf("the database: %v, %v", found, err)
		}
	}
	return v
}

// files are what lies in the folder, with their sizes.
func (s *subject) files(t *testing.T) map[string]int64 {
	t.Helper()
	all := map[string]int64{}
	err := filepath.WalkDir(s.folder, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if errors.Is(err, os.ErrNotExist) { // gone meanwhile
			return nil
		}
		if err == nil {
			all[strings.TrimPrefix(path, s.folder+"/")] = info.Size()
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

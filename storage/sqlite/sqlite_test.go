package sqlite

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"mastworth/storage"
	"mastworth/storage/storagetest"
)

func open(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() }) //nolint:errcheck // some tests close it themselves
	return s
}

func TestContract(t *testing.T) {
	storagetest.Run(t, func(t testing.TB) storage.Store {
		return open(t, filepath.Join(t.TempDir(), "a #1 100% test?.db"))
	})
}

func TestNewerDatabase(t *testing.T) {
	path := filepath.Join(t.TempDir(), "newer.db")
	s := open(t, path)
	if _, err := s.write.Exec("PRAGMA user_version = 999"); err != nil { //nolint:noctx // a test
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(context.Background(), path); !errors.Is(err, storage.ErrNewer) {
		t.Errorf("got %v, want ErrNewer", err)
	}
}

func TestReopening(t *testing.T) {
	path := filepath.Join(t.TempDir(), "kept.db")
	s := open(t, path)
	if _, err := s.CreateSite(context.Background(), storage.Site{ID: "s", Request: []byte("{}")}); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := open(t, path).Site(context.Background(), "s"); err != nil {
		t.Error(err)
	}
}

func TestNotADatabase(t *testing.T) {
	path := filepath.Join(t.TempDir(), "letter.txt")
	if err := os.WriteFile(path, []byte(strings.Repeat("Dear neighbour, ", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(context.Background(), path); err == nil || !strings.Contains(err.Error(), "no SQLite database") {
		t.Errorf("a letter opened as a database: %v", err)
	}
	if _, err := Open(context.Background(), filepath.Join(path, "below", "a.db")); err == nil {
		t.Error("a folder that cannot be was opened")
	}
}

// The driver is a translation of C that works with exactly one version of its runtime; a module update must not part them.
func TestRuntimeMatchesDriver(t *testing.T) {
	version := func(dir string) string {
		cmd := exec.CommandContext(t.Context(), "go", "list", "-m", "-f", "{{.Version}} {{.GoMod}}", dir)
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		return strings.TrimSpace(string(out))
	}
	ours, _, _ := strings.Cut(version("modernc.org/libc"), " ")
	_, gomod, _ := strings.Cut(version("modernc.org/sqlite"), " ")
	text, err := os.ReadFile(gomod)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(text), "modernc.org/libc "+ours) {
		t.Errorf("modernc.org/libc is %s, which is not what the driver's go.mod asks for", ours)
	}
}

// A database that may not grow says so, leaves nothing half-written, is read as before, and takes what comes once it may grow again.
func TestNoRoom(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "test.db"))
	storagetest.Fill(t, s)
	limit := func(pages int) {
		t.Helper()
		if _, err := s.write.Exec(fmt.Sprintf("PRAGMA max_page_count = %d", pages)); err != nil { //nolint:noctx // a test
			t.Fatal(err)
		}
	}
	limit(1) // which SQLite takes for as many as there are
	large := storage.Site{ID: "large", Request: bytes.Repeat([]byte("{}"), 1<<20)}
	if _, err := s.CreateSite(t.Context(), large); !errors.Is(err, storage.ErrNoRoom) {
		t.Errorf("no room: %v", err)
	}
	if v, err := storage.Verify(t.Context(), s, nil); err != nil || v.Records != 2 || v.Sites != 0 || len(v.Bad) > 0 {
		t.Errorf("%+v, %v", v, err)
	}
	limit(1 << 20)
	if _, err := s.CreateSite(t.Context(), large); err != nil {
		t.Error(err)
	}
}

package faults

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"mastworth/deploy/running"
)

// full holds a service against a store that cannot be written: whoever wants something kept is told so, whoever reads is served, and
// nothing is half-written. Small things may still find room.
func (s *troubled) full(t *testing.T) {
	t.Helper()
	refused := 0
	for _, a := range s.asks() {
		g := s.ask(t, a.method, a.path, a.body)
		switch {
		case g.status == a.fine:
		case a.method != http.MethodGet && g.status == http.StatusInsufficientStorage && g.slug() == "no-room":
			refused++
		default:
			t.Errorf("%s %s: %s", a.method, a.path, g)
		}
	}
	if g := s.ask(t, http.MethodPost, "/v1/records", table); g.slug() != "no-room" {
		t.Errorf("an import: %s", g)
	}
	s.health(t, http.StatusOK)
	s.verify(t)
	t.Logf("%d requests were refused", refused)
}

// A disk that is full, and has room again later.
func TestDiskFull(t *testing.T) {
	s := newSubject(t, "", "--cache-mb", "0")
	mounted(t, s.folder, "size=24m")
	if err := os.Mkdir(s.temp(), 0o700); err != nil {
		t.Fatal(err)
	}
	in := fill(t, s)
	ballast := filepath.Join(s.folder, "ballast")
	for range 3 {
		f, err := os.Create(ballast)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(f, zeros{}); err == nil {
			t.Fatal("the disk does not fill up")
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		in.full(t)
		s.Stop(t)
		s.begin(t) // to be read
		s.Expect(`"level":`)
		in.full(t)
		if err := os.Remove(ballast); err != nil {
			t.Fatal(err)
		}
		in.recovers(t)
	}
	in.ends(t)
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

// mounted mounts a small disk of its own, which only some may.
func mounted(t *testing.T, folder, options string) {
	t.Helper()
	if err := syscall.Mount("tmpfs", folder, "tmpfs", 0, options); err != nil {
		lacking(t, "no disk of its own can be mounted: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(folder, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
}

// Files that may not grow, as by a quota, until they may again.
func TestFileLimit(t *testing.T) {
	tool, err := exec.LookPath("prlimit")
	if err != nil {
		lacking(t, "%v", err)
	}
	s := newSubject(t, "", "--cache-mb", "0")
	in := fill(t, s)
	limit := func(bytes string) {
		t.Helper()
		if said, err := exec.CommandContext(t.Context(), tool, "--pid", strconv.Itoa(s.PID), "--fsize="+bytes+":").CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, said)
		}
	}
	for range 3 {
		limit("40000")
		in.full(t)
		limit("unlimited")
		in.recovers(t)
	}
	in.ends(t)
}

// A database that may only be read: the service does not start, and says why and what to do; so does the doctor. Once it may be written
// all is well.
func TestReadOnly(t *testing.T) {
	for name, lock := range map[string]func(t *testing.T, s *subject) (unlock func() error){
		"a disk": func(t *testing.T, s *subject) func() error {
			return func() error { return syscall.Mount("", s.folder, "", syscall.MS_REMOUNT, "") }
		},
		"a folder": func(t *testing.T, s *subject) func() error {
			return func() error { return os.Chmod(s.folder, 0o755) }
		},
		"a file": func(t *testing.T, s *subject) func() error {
			return func() error { return os.Chmod(s.database, 0o644) }
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := newSubject(t, "")
			if name == "a disk" {
				mounted(t, s.folder, "size=24m")
				if err := os.Mkdir(s.temp(), 0o700); err != nil {
					t.Fatal(err)
				}
			}
			in := fill(t, s)
			s.Stop(t)
			unlock := lock(t, s)
			var err error
			switch name {
			case "a disk":
				err = syscall.Mount("", s.folder, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, "")
			case "a folder":
				err = os.Chmod(s.folder, 0o555)
			case "a file":
				err = os.Chmod(s.database, 0o444)
			}
			if err != nil {
				t.Fatal(err)
			}
			for _, command := range []string{"serve", "doctor"} {
				text, err := s.command(t, command)
				if err == nil || !strings.Contains(text, "cannot be written") || !strings.Contains(text, "let the user of the service write") {
					t.Errorf("%s: %v: %s", command, err, text)
				}
			}
			if err := unlock(); err != nil {
				t.Fatal(err)
			}
			s.begin(t)
			in.recovers(t)
		})
	}
}

// command runs one of the program's over the database, by a user whom a file's mode binds, for a while at most.
func (s *subject) command(t *testing.T, name string) (said string, err error) {
	t.Helper()
	cmd := running.Command(t, "/", name, "--listen", "127.0.0.1:0", "--database", s.database)
	if os.Geteuid() == 0 {
		s.bind(t, cmd)
	}
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	late := time.AfterFunc(20*time.Second, func() { _ = cmd.Process.Kill() }) // it should have ended
	defer late.Stop()
	err = cmd.Wait()
	return out.String(), err
}

// bind lets a command run by another user.
func (s *subject) bind(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	const nobody = 65534
	cmd.SysProcAttr.Credential = &syscall.Credential{Uid: nobody, Gid: nobody}
	// The program and the folders above the database are this user's own.
	for _, path := range []string{filepath.Dir(cmd.Path), s.folder} {
		for ; path != os.TempDir() && path != "/"; path = filepath.Dir(path) {
			info, err := os.Stat(path)
			if err == nil && info.Mode().Perm()&0o005 != 0o005 {
				err = os.Chmod(path, info.Mode().Perm()|0o055)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
	}
}

// A PostgreSQL database that turns read-only, as a standby is: reading goes on.
func TestReadOnlyPostgres(t *testing.T) {
	bothStores(t, func(t *testing.T, s *subject) {
		if !s.onPostgres() {
			t.Skip("see TestReadOnly")
		}
		in := fill(t, s)
		c, err := pgx.Connect(t.Context(), s.database)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close(t.Context()) //nolint:errcheck // a test is over then
		turn := func(readOnly string) {
			t.Helper()
			for _, statement := range []string{
				fmt.Sprintf("DO $$ BEGIN EXECUTE format('ALTER DATABASE %%I SET default_transaction_read_only = %s', current_database()); END $$", readOnly),
				"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()",
			} {
				if _, err := c.Exec(t.Context(), statement); err != nil {
					t.Fatal(err)
				}
			}
		}
		turn("on")
		for s.ask(t, http.MethodGet, "/readyz", nil).status != http.StatusOK { // the ended connections are noticed
		}
		in.full(t)
		if said, err := s.command(t, "doctor"); err == nil || !strings.Contains(said, "connect to the primary") {
			t.Errorf("the doctor: %v: %s", err, said)
		}
		s.Stop(t)
		s.begin(t) // which it does, to be read, and says so
		s.Expect(`"level":`)
		if said := strings.Join(s.Said(), "\n"); !strings.Contains(said, "nothing can be kept") {
			t.Errorf("it says %q", said)
		}
		in.full(t)
		turn("off")
		in.recovers(t)
		in.ends(t)
	}, "--cache-mb", "0")
}

// Package postgrestest lends tests a PostgreSQL database each, from a server of their own.
//
// The server is the one MASTWORTH_TEST_POSTGRES_URL names or, without it, a private one started from the binaries on this
// machine, in a temporary folder, once a test process. Without either a test skips, or fails where
// MASTWORTH_REQUIRE_POSTGRES is set.
package postgrestest

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// errNoBinaries says that PostgreSQL's server is not installed here.
var errNoBinaries = errors.New("no PostgreSQL server is installed (initdb was not found)")

var (
	once   sync.Once
	server string // URL of the maintenance database
	stop   = func() {}
	failed error
	number atomic.Int64
)

// Main runs a package's tests, stops the private server, and then sees to what is left to do. Call it from TestMain.
func Main(m *testing.M, after ...func() error) {
	code := m.Run()
	stop()
	for _, f := range after {
		if err := f(); err != nil {
			fmt.Fprintln(os.Stderr, err)
			code = max(code, 1)
		}
	}
	os.Exit(code)
}

// Database makes an empty database for one test and returns its URL.
func Database(t testing.TB) string {
	t.Helper()
	once.Do(func() { server, failed = find() })
	mind(t, failed, "; set MASTWORTH_TEST_POSTGRES_URL to use one elsewhere")
	name := fmt.Sprintf("mastworth_test_%d_%d", os.Getpid(), number.Add(1))
	if err := execute(server, "CREATE DATABASE "+name); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := execute(server, "DROP DATABASE "+name+" WITH (FORCE)"); err != nil {
			t.Error(err)
		}
	})
	u, err := url.Parse(server)
	if err != nil {
		t.Fatal(err)
	}
	u.Path = "/" + name
	return u.String()
}

// mind ends a test that has no server.
func mind(t testing.TB, err error, remedy string) {
	t.Helper()
	if errors.Is(err, errNoBinaries) && os.Getenv("MASTWORTH_REQUIRE_POSTGRES") == "" {
		t.Skip(err.Error() + remedy)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// execute runs one statement on a connection of its own.
func execute(url, sql string) error {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	c, err := pgx.Connect(ctx, url)
	if err != nil {
		return err
	}
	_, err = c.Exec(ctx, sql)
	return errors.Join(err, c.Close(ctx))
}

func find() (string, error) {
	if u := os.Getenv("MASTWORTH_TEST_POSTGRES_URL"); u != "" {
		return u, nil
	}
	s, err := newServer("-c", "synchronous_commit=off")
	if err != nil {
		return "", err
	}
	stop = s.remove
	return s.URL, s.Start()
}

// binaries is the folder with initdb and postgres. Debian keeps them off the PATH, one folder a version.
func binaries() (string, error) {
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	if err == nil && len(found) > 0 {
		return filepath.Dir(found[len(found)-1]), nil
	}
	path, err := exec.LookPath("initdb")
	if err != nil {
		return "", errNoBinaries
	}
	return filepath.Dir(path), nil
}

// awaitServer waits until the server answers, at most half a minute.
func awaitServer(address string, ended <-chan struct{}) error {
	deadline := time.After(30 * time.Second)
	for {
		err := execute(address, "SELECT 1")
		if err == nil {
			return nil
		}
		select {
		case <-ended:
			return errors.New("it ended")
		case <-deadline:
			return err
		case <-time.After(50 * time.Millisecond):
		}
	}
}

func freePort() (string, error) {
	l, err := new(net.ListenConfig).Listen(context.Background(), "tcp", "127.0.0.1:0")
	if err != nil {
		return "", err
	}
	_, port, err := net.SplitHostPort(l.Addr().String())
	return port, errors.Join(err, l.Close())
}

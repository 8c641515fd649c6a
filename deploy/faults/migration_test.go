package faults

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"mastworth/deploy/running"
	"mastworth/storage"
	"mastworth/storage/postgres"
	"mastworth/storage/sqlite"
)

// migrationKills is how many of the kills are kept for migrations, so that they get as many as each act.
func migrationKills(kills int) int { return kills / (len(acts) + 1) }

// The service is killed at random moments while it brings a database of an older version up to date. The next start finishes that, and
// what was in the database is there.
func TestKilledMigrating(t *testing.T) {
	kills := migrationKills(askedKills(t))
	bothStores(t, func(t *testing.T, s *subject) {
		t.Parallel()
		rng := random(t)
		began := time.Now()
		s.begin(t)
		span := time.Since(began)
		s.Stop(t)
		for range max(1, kills/2) {
			steps := s.age(t, rng.IntN(s.steps(t)))
			cmd := running.Command(t, s.folder, "serve", "--listen", "127.0.0.1:0", "--log-format", "off", "--database", s.database)
			cmd.Env = append(os.Environ(), "TMPDIR="+s.temp())
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			time.Sleep(time.Duration(rng.Float64() * 1.3 * float64(span)))
			if err := cmd.Process.Kill(); err != nil {
				t.Fatal(err)
			}
			_ = cmd.Wait() // it was killed
			s.begin(t)
			if v := s.verify(t); v.Sites != min(steps, 1) {
				t.Errorf("%d sites after a migration from step %d", v.Sites, steps)
			}
			s.Stop(t)
		}
		t.Logf("killed %d times within %s of the start", max(1, kills/2), time.Duration(1.3*float64(span)).Round(time.Millisecond))
	})
}

// steps is how many steps the schema has.
func (s *subject) steps(t *testing.T) int {
	t.Helper()
	return len(s.migrations(t))
}

func (s *subject) migrations(t *testing.T) []storage.Migration {
	t.Helper()
	all, err := sqlite.Migrations()
	if s.onPostgres() {
		all, err = postgres.Migrations()
	}
	if err != nil {
		t.Fatal(err)
	}
	return all
}

const oldSite = "INSERT INTO sites (id, name, request, version, created_us, updated_us) VALUES ('old', 'old', %s, 1, 1, 1)"

// age makes a database anew as it was after so many steps, with a site in it where there were sites.
func (s *subject) age(t *testing.T, steps int) int {
	t.Helper()
	var execute func(statement string) error
	statements := []string{}
	if s.onPostgres() {
		c, err := pgx.Connect(t.Context(), s.database)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close(context.WithoutCancel(t.Context())) //nolint:errcheck // a test is over then
		execute = func(statement string) error { _, err := c.Exec(t.Context(), statement); return err }
		statements = append(statements, "DROP SCHEMA public CASCADE", "CREATE SCHEMA public", "CREATE TABLE schema_version (number BIGINT PRIMARY KEY)")
	} else {
		for _, end := range []string{"", "-wal", "-shm"} {
			if err := os.Remove(s.database + end); err != nil && !errors.Is(err, os.ErrNotExist) {
				t.Fatal(err)
			}
		}
		db, err := sql.Open("sqlite", s.database)
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close() //nolint:errcheck // a test is over then
		execute = func(statement string) error { _, err := db.ExecContext(t.Context(), statement); return err }
	}
	for i, m := range s.migrations(t)[:steps] {
		statements = append(statements, m.SQL)
		if s.onPostgres() {
			statements = append(statements, fmt.Sprintf("INSERT INTO schema_version (number) VALUES (%d)", i+1))
		} else {
			statements = append(statements, fmt.Sprintf("PRAGMA user_version = %d", i+1))
		}
	}
	switch {
	case steps == 0:
	case s.onPostgres():
		statements = append(statements, fmt.Sprintf(oldSite, `'\x7b7d'`))
	default:
		statements = append(statements, fmt.Sprintf(oldSite, "X'7b7d'"))
	}
	for _, statement := range statements {
		if err := execute(statement); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
	return steps
}

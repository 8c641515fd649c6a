// Package sqlite keeps records, sites and estimates in one SQLite file.
package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"time"

	_ "modernc.org/sqlite" // the driver, in Go alone

	"mastworth/storage"
)

//go:embed migrations/*.sql
var migrations embed.FS

// Migrations lists the schema's steps.
func Migrations() ([]storage.Migration, error) { return storage.Migrations(migrations, "migrations") }

// readers is how many connections read at once. SQLite writes with one.
const readers = 8

// idle is how long a connection is kept that nobody needs; each may hold some megabytes.
const idle = time.Minute

// Store is a storage.Store in a SQLite file.
type Store struct {
	write *sql.DB // one connection; its transactions take the write lock at once
	read  *sql.DB
	stamp *sql.Stmt // asked so often that it is kept prepared
}

var _ storage.Store = (*Store)(nil)

// Open opens a file, creating it where there is none, and brings its schema up to date. A file that a newer Mastworth
// wrote is storage.ErrNewer.
func Open(ctx context.Context, path string) (*Store, error) {
	begun(path)
	write, err := sql.Open("sqlite", dsn(path, "&_txlock=immediate"))
	if err != nil {
		return nil, fmt.Errorf("sqlite: opening %s: %w", path, err)
	}
	write.SetMaxOpenConns(1)
	if err := migrate(ctx, write); err != nil {
		return nil, errors.Join(fmt.Errorf("sqlite: %s: %w", path, unwritable(path, unopened(err))), write.Close())
	}
	read, err := sql.Open("sqlite", dsn(path, "&_pragma=query_only(1)"))
	if err != nil {
		return nil, errors.Join(fmt.Errorf("sqlite: opening %s: %w", path, err), write.Close())
	}
	read.SetMaxOpenConns(readers)
	read.SetMaxIdleConns(readers) // opening one anew costs more than most questions
	read.SetConnMaxIdleTime(idle)
	stamp, err := read.PrepareContext(ctx, `SELECT s.version, s.created_us, s.updated_us, COALESCE(e.key, '')
		FROM sites s LEFT JOIN estimates e ON e.site_id = s.id WHERE s.id = ?`)
	if err != nil {
		return nil, errors.Join(fmt.Errorf("sqlite: %s: %w", path, err), read.Close(), write.Close())
	}
	return &Store{write: write, read: read, stamp: stamp}, nil
}

// begun makes a new database's file, which nobody but its owner may read: it holds where people live. What stands in the way of that is
// told when the database opens.
func begun(path string) {
	if f, err := os.OpenFile(filepath.Clean(path), os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600); err == nil {
		_ = f.Close() // nothing was written
	}
}

// dsn has every pragma in it, so that each connection of a pool gets them. The busy timeout comes first: the others may
// have to wait for a lock themselves. The log beside the file grows as large as the largest import, and is cut back after it.
func dsn(path, more string) string {
	file := url.URL{Path: filepath.ToSlash(path)}
	return "file:" + file.EscapedPath() + "?_pragma=busy_timeout(10000)&_pragma=journal_mode(WAL)" +
		"&_pragma=synchronous(NORMAL)&_pragma=foreign_keys(1)&_pragma=journal_size_limit(67108864)" + more
}

// migrate brings the schema up to date, one transaction a step. SQLite's user_version is the number of the last.
func migrate(ctx context.Context, db *sql.DB) error {
	steps, err := Migrations()
	if err != nil {
		return err
	}
	for {
		done, err := migrateOnce(ctx, db, steps)
		if err != nil || done {
			return err
		}
	}
}

// migrateOnce takes the write lock, looks how far the schema is, and takes the next step. Another process may have taken
// it meanwhile, which the lock makes visible.
func migrateOnce(ctx context.Context, db *sql.DB, steps []storage.Migration) (done bool, err error) {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return false, fmt.Errorf("beginning a migration: %w", err)
	}
	defer tx.Rollback() //nolint:errcheck // after a commit there is nothing to roll back
	var at int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&at); err != nil {
		return false, fmt.Errorf("reading the schema's version: %w", err)
	}
	if at > len(steps) {
		return false, fmt.Errorf("%w: its schema is %d, this program knows %d", storage.ErrNewer, at, len(steps))
	}
	if at == len(steps) {
		return true, nil
	}
	step := steps[at]
	if _, err := tx.ExecContext(ctx, step.SQL); err != nil {
		return false, fmt.Errorf("migration %s: %w", step.Name, err)
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", step.Number)); err != nil {
		return false, fmt.Errorf("migration %s: %w", step.Name, err)
	}
	return false, tx.Commit()
}

// Ping reports whether the database answers.
func (s *Store) Ping(ctx context.Context) error {
	if err := s.read.PingContext(ctx); err != nil {
		return fmt.Errorf("sqlite: ping: %w", mapped(err))
	}
	return nil
}

// Pool tells of the connections that read.
func (s *Store) Pool() (inUse, idle, most int) {
	st := s.read.Stats()
	return st.InUse, st.Idle, st.MaxOpenConnections
}

// Close closes all connections.
func (s *Store) Close() error { return errors.Join(s.stamp.Close(), s.read.Close(), s.write.Close()) }

// inTransaction runs f in a transaction that is committed if it succeeds, and leaves nothing behind otherwise.
func (s *Store) inTransaction(ctx context.Context, what string, f func(tx *sql.Tx) error) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return fmt.Errorf("sqlite: %s: %w", what, mapped(err))
	}
	defer tx.Rollback() //nolint:errcheck // after a commit there is nothing to roll back
	if err := f(tx); err != nil {
		return fmt.Errorf("sqlite: %s: %w", what, mapped(err))
	}
	if err := tx.Commit(); err != nil {
		return fmt.Errorf("sqlite: %s: %w", what, mapped(err))
	}
	return nil
}

// Package postgres keeps records, sites and estimates in PostgreSQL, or in a database that speaks its protocol. Many
// instances may share one.
package postgres

import (
	"context"
	"embed"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"mastworth/storage"
)

//go:embed migrations/*.sql
var migrations embed.FS

// Migrations lists the schema's steps.
func Migrations() ([]storage.Migration, error) { return storage.Migrations(migrations, "migrations") }

// migrationLock is the advisory lock that instances starting at once queue for; the number is arbitrary.
const migrationLock = 7_263_915_482

// Store is a storage.Store in PostgreSQL.
type Store struct{ pool *pgxpool.Pool }

var _ storage.Store = (*Store)(nil)

// Open connects to a postgres:// URL and brings the schema up to date. A database that a newer Mastworth wrote is
// storage.ErrNewer.
func Open(ctx context.Context, url string) (*Store, error) {
	config, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("postgres: %w", err) // pgx keeps the password out of it
	}
	if config.ConnConfig.ConnectTimeout == 0 { // unless the URL says otherwise
		config.ConnConfig.ConnectTimeout = connectPatience
	}
	if config.PingTimeout == 0 {
		config.PingTimeout = pingPatience
	}
	pool, err := pgxpool.NewWithConfig(ctx, config)
	if err != nil {
		return nil, fmt.Errorf("postgres: %w", err)
	}
	if err := migrate(ctx, pool); err != nil {
		pool.Close()
		return nil, fmt.Errorf("postgres: %w", err)
	}
	return &Store{pool: pool}, nil
}

// migrate brings the schema up to date, each step and its number in one transaction, under a lock that other instances
// wait for.
func migrate(ctx context.Context, pool *pgxpool.Pool) error {
	steps, err := Migrations()
	if err != nil {
		return err
	}
	for {
		done := false
		err := pgx.BeginFunc(ctx, pool, func(tx pgx.Tx) error {
			if _, err := tx.Exec(ctx, "SELECT pg_advisory_xact_lock($1)", int64(migrationLock)); err != nil {
				return fmt.Errorf("waiting for other instances to migrate: %w", err)
			}
			if _, err := tx.Exec(ctx, "CREATE TABLE IF NOT EXISTS schema_version (number BIGINT PRIMARY KEY)"); err != nil {
				return fmt.Errorf("reading the schema's version: %w", err)
			}
			var at int
			if err := tx.QueryRow(ctx, "SELECT COALESCE(MAX(number), 0) FROM schema_version").Scan(&at); err != nil {
				return fmt.Errorf("reading the schema's version: %w", err)
			}
			switch {
			case at > len(steps):
				return fmt.Errorf("%w: its schema is %d, this program knows %d", storage.ErrNewer, at, len(steps))
			case at == len(steps):
				done = true
				return nil
			}
			step := steps[at]
			if _, err := tx.Exec(ctx, step.SQL); err != nil {
				return fmt.Errorf("migration %s: %w", step.Name, err)
			}
			_, err := tx.Exec(ctx, "INSERT INTO schema_version (number) VALUES ($1)", step.Number)
			return err
		})
		if err != nil || done {
			return err
		}
	}
}

// Ping reports whether the database answers.
func (s *Store) Ping(ctx context.Context) error {
	p := patiently(ctx, pingPatience)
	defer p.end()
	if err := s.pool.Ping(p); err != nil {
		return fmt.Errorf("postgres: ping: %w", mapped(p, err))
	}
	return nil
}

// Pool tells of the connections.
func (s *Store) Pool() (inUse, idle, most int) {
	st := s.pool.Stat()
	return int(st.AcquiredConns()), int(st.IdleConns()), int(st.MaxConns())
}

// Close closes all connections.
func (s *Store) Close() error {
	s.pool.Close()
	return nil
}

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
		return nil, fmt.Errorf("postgres: %w", mapped(ctx, err))
	}
	_ = plainBlocks(ctx, pool) // it is slower without, no more; doctor tells of it
	return &Store{pool: pool}, nil
}

// migrate brings the schema up to date, each step and its number in one transaction, under a lock that other instances
// wait for.
func migrate(ctx context.Context, pool *pgxpool.Pool) error {
	steps, err := Migrations()
	if err != nil {
		return err
	}
	// Mostly there is nothing to be done, which takes no lock, and can be seen where nothing can be written.
	if at, err := schemaVersion(ctx, pool); err == nil && at == len(steps) {
		return nil
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
			at, err := schemaVersion(ctx, tx)
			if err != nil {
				return err
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
			_, err = tx.Exec(ctx, "INSERT INTO schema_version (number) VALUES ($1)", step.Number)
			return err
		})
		if err != nil || done {
			return err
		}
	}
}

// schemaVersion is the number of the last step that was taken.
func schemaVersion(ctx context.Context, in interface {
	QueryRow(ctx context.Context, sql string, args ...any) pgx.Row
}) (at int, err error) {
	if err := in.QueryRow(ctx, "SELECT COALESCE(MAX(number), 0) FROM schema_version").Scan(&at); err != nil {
		return 0, fmt.Errorf("reading the schema's version: %w", err)
	}
	return at, nil
}

// Writable is ErrNoRoom where the database may only be read, as a standby.
func (s *Store) Writable(ctx context.Context) error {
	only, err := one(s.ask(ctx, "SELECT current_setting('transaction_read_only')"), "whether it may be written", pgx.RowTo[string])
	if err == nil && only == "on" {
		err = fmt.Errorf("postgres: %w: it takes no changes; connect to the primary, or unset default_transaction_read_only", storage.ErrNoRoom)
	}
	return err
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

package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"mastworth/storage"
)

// asked is a query under way. It must be ended.
type asked struct {
	*patient
	rows pgx.Rows
	err  error
}

func (s *Store) ask(ctx context.Context, sql string, args ...any) asked {
	a := asked{patient: patiently(ctx, patience)}
	a.rows, a.err = s.pool.Query(a, sql, args...)
	return a
}

// one and all gather a query's rows and end it.
func one[T any](a asked, what string, scan pgx.RowToFunc[T]) (v T, err error) {
	defer a.end()
	if err = a.err; err == nil {
		v, err = pgx.CollectExactlyOneRow(a.rows, scan)
	}
	if err != nil {
		return v, fmt.Errorf("postgres: %s: %w", what, mapped(a, err))
	}
	return v, nil
}

func all[T any](a asked, what string, scan pgx.RowToFunc[T]) (list []T, err error) {
	defer a.end()
	if err = a.err; err == nil {
		list, err = pgx.CollectRows(a.rows, scan)
	}
	if err != nil {
		return nil, fmt.Errorf("postgres: listing %s: %w", what, mapped(a, err))
	}
	return list, nil
}

// inTransaction runs f in a transaction that is committed if it succeeds, and leaves nothing behind otherwise.
func (s *Store) inTransaction(ctx context.Context, what string, f func(ctx context.Context, tx pgx.Tx) error) error {
	return s.inLongTransaction(ctx, patience, what, func(p *patient, tx pgx.Tx) error { return f(p, tx) })
}

// inLongTransaction is inTransaction for an f that takes its own time between its statements, and says so to the patient.
func (s *Store) inLongTransaction(ctx context.Context, most time.Duration, what string, f func(p *patient, tx pgx.Tx) error) error {
	p := patiently(ctx, patience)
	defer p.end()
	if err := pgx.BeginFunc(p, s.pool, func(tx pgx.Tx) error {
		p.most = most // there is a connection, and it answers
		p.wait()
		return f(p, tx)
	}); err != nil {
		return fmt.Errorf("postgres: %s: %w", what, mapped(p, err))
	}
	return nil
}

// The SQLSTATEs that mean something to the store's callers.
const (
	foreignKeyViolation = "23503"
	uniqueViolation     = "23505"
	readOnly            = "25006"
	serializationFailed = "40001"
	deadlockDetected    = "40P01"
	diskFull            = "53100"
)

// mapped turns what the driver says into the store's errors, keeping the driver's beside it.
func mapped(ctx context.Context, err error) error {
	if errors.Is(err, pgx.ErrNoRows) {
		return storage.ErrNotFound
	}
	if errors.Is(context.Cause(ctx), errSlow) || ctx.Err() == nil && (errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled)) {
		// Not wrapped: a context of our own or of the pool's has ended, not the caller's.
		return fmt.Errorf("%w: %v", errSlow, err) //nolint:errorlint // see above
	}
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		switch pg.Code {
		case foreignKeyViolation:
			return fmt.Errorf("%w: %w", storage.ErrInUse, err)
		case uniqueViolation, serializationFailed, deadlockDetected:
			return fmt.Errorf("%w: %w", storage.ErrConflict, err)
		case diskFull, readOnly:
			return fmt.Errorf("%w: %w", storage.ErrNoRoom, err)
		}
	}
	return err
}

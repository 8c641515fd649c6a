package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// plainBlocks tells the server to keep blocks as they come: they are compressed already, and its trying again took a third of an
// import's time. Blocks that are there stay as they are. It is no step of the schema, and nothing hangs on it: a database that only
// speaks PostgreSQL's protocol may not know of it, a role may not own the table, a standby takes no change, and other instances may be
// at work on it.
func plainBlocks(ctx context.Context, pool *pgxpool.Pool) {
	ctx, stop := context.WithTimeout(ctx, 3*time.Second)
	defer stop()
	_ = pgx.BeginFunc(ctx, pool, func(tx pgx.Tx) error {
		var how string
		if err := tx.QueryRow(ctx, `SELECT attstorage::text FROM pg_attribute WHERE attrelid = 'blocks'::regclass AND attname = 'data'`).
			Scan(&how); err != nil || how == "e" {
			return err //nolint:wrapcheck // nobody is told
		}
		if _, err := tx.Exec(ctx, "SET LOCAL lock_timeout = '1s'"); err != nil {
			return err //nolint:wrapcheck // nobody is told
		}
		_, err := tx.Exec(ctx, "ALTER TABLE blocks ALTER COLUMN data SET STORAGE EXTERNAL")
		return err //nolint:wrapcheck // nobody is told
	})
}

package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// plain is how PostgreSQL calls it that a column's values are kept as they come.
const plain = "e"

const blocksKept = `SELECT attstorage::text FROM pg_attribute WHERE attrelid = 'blocks'::regclass AND attname = 'data'`

// plainBlocks tells the server to keep blocks as they come: they are compressed already, and its trying again took a third of an
// import's time. Blocks that are there stay as they are. It is no step of the schema, and nothing but time hangs on it: a database that
// only speaks PostgreSQL's protocol may not know of it, a role may not own the table, a standby takes no change, and other instances may
// be at work on it.
func plainBlocks(ctx context.Context, pool *pgxpool.Pool) error {
	ctx, stop := context.WithTimeout(ctx, 3*time.Second)
	defer stop()
	err := pgx.BeginFunc(ctx, pool, func(tx pgx.Tx) error {
		var kept string
		if err := tx.QueryRow(ctx, blocksKept).Scan(&kept); err != nil || kept == plain {
			return err
		}
		_, err := tx.Exec(ctx, "SET LOCAL lock_timeout = '1s'; ALTER TABLE blocks ALTER COLUMN data SET STORAGE EXTERNAL")
		return err
	})
	if err != nil {
		return fmt.Errorf("keeping blocks as they come: %w", err)
	}
	return nil
}

// PacksBlocks reports whether the server compresses blocks once more, which Open could not change.
func (s *Store) PacksBlocks(ctx context.Context) (bool, error) {
	kept, err := one(s.ask(ctx, blocksKept), "how blocks are kept", pgx.RowTo[string])
	return err == nil && kept != plain, err
}

package postgres

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"mastworth/storage"
)

// CreateRecord stores a record and its blocks; see storage.Store.
func (s *Store) CreateRecord(ctx context.Context, id string, blocks iter.Seq2[storage.Block, error],
	finish func() (storage.Record, error)) (storage.Record, error) {
	var r storage.Record
	err := s.inLongTransaction(ctx, importPatience, "storing record "+id, func(p *patient, tx pgx.Tx) error {
		ctx := context.Context(p)
		next, stop := iter.Pull2(blocks)
		defer stop()
		var broken error // what the iterator said, which the server would only give back as a text
		var panicked any // the driver draws rows on a goroutine of its own, where a panic would end the whole program
		_, err := tx.CopyFrom(ctx, pgx.Identifier{"blocks"}, []string{"record_id", "month", "rows", "checksum", "data"},
			pgx.CopyFromFunc(func() (row []any, err error) {
				defer func() {
					if panicked = recover(); panicked != nil {
						err = errors.New("drawing blocks panicked")
					}
				}()
				p.rest()
				defer p.wait()
				b, err, ok := next()
				if err != nil || !ok {
					broken = err
					return nil, err
				}
				return []any{id, b.Month, b.Rows, b.Checksum, b.Data}, nil
			}))
		if panicked != nil {
			panic(panicked) // on the caller's goroutine, which may recover; the transaction is rolled back
		}
		if broken != nil {
			return broken
		}
		if err != nil {
			return err
		}
		p.rest()
		r, err = finish()
		p.wait()
		if err != nil {
			return err
		}
		if r.ID != id {
			return fmt.Errorf("it was finished as record %q", r.ID)
		}
		_, err = tx.Exec(ctx, `INSERT INTO records
			(id, name, source_format, content_hash, created_us, rows, first_unix, last_unix, meta, report, statistics)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`, id, r.Name, r.SourceFormat, r.ContentHash, r.CreatedAt.UnixMicro(),
			r.Rows, r.FirstUnix, r.LastUnix, r.Meta, r.Report, r.Statistics)
		return err
	})
	return r, err
}

// Record reads one record's description.
func (s *Store) Record(ctx context.Context, id string) (storage.Record, error) {
	asked := s.ask(ctx, `SELECT id, name, source_format, content_hash, created_us, rows, first_unix, last_unix, meta,
		report, statistics FROM records WHERE id = $1`, id)
	return one(asked, "record "+id, scanRecord)
}

func scanRecord(row pgx.CollectableRow) (storage.Record, error) {
	var r storage.Record
	var created int64
	err := row.Scan(&r.ID, &r.Name, &r.SourceFormat, &r.ContentHash, &created, &r.Rows, &r.FirstUnix, &r.LastUnix, &r.Meta,
		&r.Report, &r.Statistics)
	r.CreatedAt = time.UnixMicro(created).UTC()
	return r, err
}

// Records lists records, newest first.
func (s *Store) Records(ctx context.Context, p storage.Page) ([]storage.Record, error) {
	asked := s.ask(ctx, `SELECT id, name, source_format, content_hash, created_us, rows, first_unix, last_unix, meta,
		NULL::bytea, NULL::bytea FROM records
		WHERE $1 = '' OR (created_us, id COLLATE "C") < (SELECT created_us, id COLLATE "C" FROM records WHERE id = $1)
		ORDER BY created_us DESC, id COLLATE "C" DESC LIMIT $2`, p.After, p.Limit)
	return all(asked, "records", scanRecord)
}

// DeleteRecord deletes a record that no site uses.
func (s *Store) DeleteRecord(ctx context.Context, id string) error {
	return s.inTransaction(ctx, "deleting record "+id, func(ctx context.Context, tx pgx.Tx) error {
		return affectsOne(tx.Exec(ctx, "DELETE FROM records WHERE id = $1", id))
	})
}

// affectsOne is ErrNotFound where a statement changed nothing.
func affectsOne(tag pgconn.CommandTag, err error) error {
	if err == nil && tag.RowsAffected() == 0 {
		return storage.ErrNotFound
	}
	return err
}

// Blocks yields a record's blocks in the order of their months.
func (s *Store) Blocks(ctx context.Context, id string) iter.Seq2[storage.Block, error] {
	return func(emit func(storage.Block, error) bool) {
		// One statement reads a record's blocks as they are at one moment. Whether the record is there is asked afterwards, and only
		// where it has none: it may be deleted between two statements, and is never without.
		asked := s.ask(ctx, "SELECT month, rows, checksum, data FROM blocks WHERE record_id = $1 ORDER BY month", id)
		defer asked.end()
		err, none := asked.err, true
		if err == nil {
			defer asked.rows.Close()
			for asked.rows.Next() {
				var b storage.Block
				if err := asked.rows.Scan(&b.Month, &b.Rows, &b.Checksum, &b.Data); err != nil {
					break // rows.Err has it
				}
				none = false
				asked.rest()
				if !emit(b, nil) {
					return
				}
				asked.wait()
			}
			err = asked.rows.Err()
		}
		if err == nil && none {
			_, err = one(s.ask(asked, "SELECT 1 FROM records WHERE id = $1", id), "", pgx.RowTo[int])
		}
		if err != nil {
			emit(storage.Block{}, fmt.Errorf("postgres: blocks of record %s: %w", id, mapped(asked, err)))
		}
	}
}

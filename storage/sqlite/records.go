package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"iter"
	"time"

	"mastworth/storage"
)

const insertBlock = "INSERT INTO blocks (record_id, month, rows, checksum, data) VALUES (?, ?, ?, ?, ?)"

// CreateRecord stores a record and its blocks; see storage.Store.
func (s *Store) CreateRecord(ctx context.Context, id string, blocks iter.Seq2[storage.Block, error],
	finish func() (storage.Record, error)) (storage.Record, error) {
	var r storage.Record
	err := s.inTransaction(ctx, "storing record "+id, func(tx *sql.Tx) (err error) {
		for b, err := range blocks {
			if err != nil {
				return err
			}
			if _, err := tx.ExecContext(ctx, insertBlock, id, b.Month, b.Rows, b.Checksum, b.Data); err != nil {
				return fmt.Errorf("block %s: %w", b.Month, err)
			}
		}
		if r, err = finish(); err != nil {
			return err
		}
		if r.ID != id {
			return fmt.Errorf("it was finished as record %q", r.ID)
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO records
			(id, name, source_format, content_hash, created_us, rows, first_unix, last_unix, meta, report, statistics)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`, id, r.Name, r.SourceFormat, r.ContentHash, r.CreatedAt.UnixMicro(), r.Rows,
			r.FirstUnix, r.LastUnix, r.Meta, r.Report, r.Statistics)
		return err
	})
	return r, err
}

// Record reads one record's description.
func (s *Store) Record(ctx context.Context, id string) (storage.Record, error) {
	row := s.read.QueryRowContext(ctx, `SELECT id, name, source_format, content_hash, created_us, rows, first_unix, last_unix, meta,
		report, statistics FROM records WHERE id = ?`, id)
	r, err := scanRecord(row.Scan)
	if err != nil {
		return r, fmt.Errorf("sqlite: record %s: %w", id, mapped(err))
	}
	return r, nil
}

func scanRecord(scan func(...any) error) (storage.Record, error) {
	var r storage.Record
	var created int64
	err := scan(&r.ID, &r.Name, &r.SourceFormat, &r.ContentHash, &created, &r.Rows, &r.FirstUnix, &r.LastUnix, &r.Meta, &r.Report,
		&r.Statistics)
	r.CreatedAt = time.UnixMicro(created).UTC()
	return r, err
}

// Records lists records, newest first.
func (s *Store) Records(ctx context.Context, p storage.Page) ([]storage.Record, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT id, name, source_format, content_hash, created_us, rows, first_unix, last_unix, meta,
		NULL, NULL FROM records
		WHERE ?1 = '' OR (created_us, id) < (SELECT created_us, id FROM records WHERE id = ?1)
		ORDER BY created_us DESC, id DESC LIMIT ?2`, p.After, p.Limit)
	return collect(rows, err, "records", scanRecord)
}

// collect gathers a list's rows.
func collect[T any](rows *sql.Rows, err error, what string, scan func(func(...any) error) (T, error)) ([]T, error) {
	if err != nil {
		return nil, fmt.Errorf("sqlite: listing %s: %w", what, mapped(err))
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		v, err := scan(rows.Scan)
		if err != nil {
			return nil, fmt.Errorf("sqlite: listing %s: %w", what, mapped(err))
		}
		out = append(out, v)
	}
	if err := rows.Err(); err != nil {
		return nil, fmt.Errorf("sqlite: listing %s: %w", what, mapped(err))
	}
	return out, nil
}

// DeleteRecord deletes a record that no site uses.
func (s *Store) DeleteRecord(ctx context.Context, id string) error {
	return s.inTransaction(ctx, "deleting record "+id, func(tx *sql.Tx) error {
		var used bool
		if err := tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM sites WHERE ?1 IN (record_id, reference_id, log_id))", id).Scan(&used); err != nil {
			return err
		}
		if used {
			return storage.ErrInUse
		}
		return affectsOne(tx.ExecContext(ctx, "DELETE FROM records WHERE id = ?", id))
	})
}

// affectsOne is ErrNotFound where a statement changed nothing.
func affectsOne(res sql.Result, err error) error {
	if err != nil {
		return err
	}
	n, err := res.RowsAffected()
	if err == nil && n == 0 {
		return storage.ErrNotFound
	}
	return err
}

// Blocks yields a record's blocks in the order of their months.
func (s *Store) Blocks(ctx context.Context, id string) iter.Seq2[storage.Block, error] {
	return func(emit func(storage.Block, error) bool) {
		fail := func(err error) {
			emit(storage.Block{}, fmt.Errorf("sqlite: blocks of record %s: %w", id, mapped(err)))
		}
		// One statement reads a record's blocks as they are at one moment. Whether the record is there is asked afterwards, and only
		// where it has none: it may be deleted between two statements, and is never without.
		rows, err := s.read.QueryContext(ctx, "SELECT month, rows, checksum, data FROM blocks WHERE record_id = ? ORDER BY month", id)
		if err != nil {
			fail(err)
			return
		}
		defer rows.Close()
		none := true
		for rows.Next() {
			var b storage.Block
			if err := rows.Scan(&b.Month, &b.Rows, &b.Checksum, &b.Data); err != nil {
				fail(err)
				return
			}
			none = false
			if !emit(b, nil) {
				return
			}
		}
		if err = rows.Err(); err == nil && none {
			var there int
			err = s.read.QueryRowContext(ctx, "SELECT 1 FROM records WHERE id = ?", id).Scan(&there)
		}
		if err != nil {
			fail(err)
		}
	}
}

package sqlite

import (
	"context"
	"database/sql"
	"fmt"

	"mastworth/storage"
)

const keyColumns = "id, name, scope, hash, created_us, expires_us"

func scanKey(scan func(...any) error) (storage.Key, error) {
	var k storage.Key
	var created, expires int64
	err := scan(&k.ID, &k.Name, &k.Scope, &k.Hash, &created, &expires)
	k.CreatedAt, k.ExpiresAt = storage.MicroTime(created), storage.MicroTime(expires)
	return k, err
}

// CreateKey stores a key.
func (s *Store) CreateKey(ctx context.Context, k storage.Key) error {
	return s.inTransaction(ctx, "storing key "+k.ID, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO keys ("+keyColumns+") VALUES (?, ?, ?, ?, ?, ?)",
			k.ID, k.Name, k.Scope, k.Hash, storage.Micros(k.CreatedAt), storage.Micros(k.ExpiresAt))
		return err
	})
}

// Key reads one key.
func (s *Store) Key(ctx context.Context, id string) (storage.Key, error) {
	k, err := scanKey(s.read.QueryRowContext(ctx, "SELECT "+keyColumns+" FROM keys WHERE id = ?", id).Scan)
	if err != nil {
		return k, fmt.Errorf("sqlite: key %s: %w", id, mapped(err))
	}
	return k, nil
}

// KeyByHash finds a key by the hash of its secret.
func (s *Store) KeyByHash(ctx context.Context, hash []byte) (storage.Key, error) {
	k, err := scanKey(s.read.QueryRowContext(ctx, "SELECT "+keyColumns+" FROM keys WHERE hash = ?", hash).Scan)
	if err != nil {
		return k, fmt.Errorf("sqlite: a key by its hash: %w", mapped(err))
	}
	return k, nil
}

// Keys lists all keys, newest first.
func (s *Store) Keys(ctx context.Context) ([]storage.Key, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT "+keyColumns+" FROM keys ORDER BY created_us DESC, id DESC")
	return collect(rows, err, "keys", scanKey)
}

// DeleteKey deletes a key.
func (s *Store) DeleteKey(ctx context.Context, id string) error {
	return s.inTransaction(ctx, "deleting key "+id, func(tx *sql.Tx) error {
		return affectsOne(tx.ExecContext(ctx, "DELETE FROM keys WHERE id = ?", id))
	})
}

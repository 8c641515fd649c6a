package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"mastworth/storage"
)

const keyColumns = "id, name, scope, hash, created_us, expires_us"

func scanKey(row pgx.CollectableRow) (storage.Key, error) {
	var k storage.Key
	var created, expires int64
	err := row.Scan(&k.ID, &k.Name, &k.Scope, &k.Hash, &created, &expires)
	k.CreatedAt, k.ExpiresAt = storage.MicroTime(created), storage.MicroTime(expires)
	return k, err
}

// CreateKey stores a key.
func (s *Store) CreateKey(ctx context.Context, k storage.Key) error {
	return s.inTransaction(ctx, "storing key "+k.ID, func(ctx context.Context, tx pgx.Tx) error {
		_, err := tx.Exec(ctx, "INSERT INTO keys ("+keyColumns+") VALUES ($1, $2, $3, $4, $5, $6)",
			k.ID, k.Name, k.Scope, k.Hash, storage.Micros(k.CreatedAt), storage.Micros(k.ExpiresAt))
		return err
	})
}

// Key reads one key.
func (s *Store) Key(ctx context.Context, id string) (storage.Key, error) {
	asked := s.ask(ctx, "SELECT "+keyColumns+" FROM keys WHERE id = $1", id)
	return one(asked, "key "+id, scanKey)
}

// KeyByHash finds a key by the hash of its secret.
func (s *Store) KeyByHash(ctx context.Context, hash []byte) (storage.Key, error) {
	asked := s.ask(ctx, "SELECT "+keyColumns+" FROM keys WHERE hash = $1", hash)
	return one(asked, "a key by its hash", scanKey)
}

// Keys lists all keys, newest first.
func (s *Store) Keys(ctx context.Context) ([]storage.Key, error) {
	asked := s.ask(ctx, "SELECT "+keyColumns+` FROM keys ORDER BY created_us DESC, id COLLATE "C" DESC`)
	return all(asked, "keys", scanKey)
}

// DeleteKey deletes a key.
func (s *Store) DeleteKey(ctx context.Context, id string) error {
	return s.inTransaction(ctx, "deleting key "+id, func(ctx context.Context, tx pgx.Tx) error {
		return affectsOne(tx.Exec(ctx, "DELETE FROM keys WHERE id = $1", id))
	})
}

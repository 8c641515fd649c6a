package sqlite

import (
	"database/sql"
	"errors"
	"fmt"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"mastworth/storage"
)

// mapped turns what the driver says into the store's errors, keeping the driver's beside it.
func mapped(err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return storage.ErrNotFound
	}
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return err
	}
	switch code := e.Code(); code {
	case sqlite3.SQLITE_CONSTRAINT_PRIMARYKEY, sqlite3.SQLITE_CONSTRAINT_UNIQUE:
		return fmt.Errorf("%w: %w", storage.ErrConflict, err)
	case sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_FSYNC, sqlite3.SQLITE_IOERR_DIR_FSYNC, sqlite3.SQLITE_IOERR_TRUNCATE,
		sqlite3.SQLITE_IOERR_SHMSIZE, sqlite3.SQLITE_IOERR_SHMOPEN:
		return fmt.Errorf("%w: %w", storage.ErrNoRoom, err)
	default:
		switch code & 0xff { // the kind, without what the extended code adds
		case sqlite3.SQLITE_FULL, sqlite3.SQLITE_READONLY:
			return fmt.Errorf("%w: %w", storage.ErrNoRoom, err)
		case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
			return fmt.Errorf("%w: %w", storage.ErrCorrupt, err)
		}
	}
	return err
}

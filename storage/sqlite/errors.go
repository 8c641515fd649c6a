package sqlite

import (
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"mastworth/storage"
)

// unwritable adds to the error of a database that does not open why that is, where it is that its file or folder cannot be written.
func unwritable(path string, err error) error {
	if errors.Is(err, storage.ErrNewer) || errors.Is(err, storage.ErrCorrupt) {
		return err
	}
	folder := filepath.Dir(path)
	if _, errFolder := os.Stat(folder); errFolder != nil {
		return fmt.Errorf("%w (%w; make the folder, or name another database)", err, errFolder)
	}
	file, why := os.OpenFile(filepath.Clean(path), os.O_RDWR, 0)
	if why == nil {
		why = file.Close()
	}
	if why == nil || errors.Is(why, os.ErrNotExist) {
		if file, why = os.CreateTemp(folder, ".mastworth-*"); why == nil {
			why = errors.Join(file.Close(), os.Remove(file.Name()))
		}
	}
	if why == nil {
		return err
	}
	return fmt.Errorf("%w: %w; let the user of the service write the database and its folder, in which SQLite keeps two files beside it (%w)",
		storage.ErrNoRoom, why, err)
}

// noDatabase is storage.ErrCorrupt of a file that is being opened, which may never have been a database.
type noDatabase struct{ cause error }

func (e noDatabase) Error() string {
	return "it is no SQLite database, or its first page is damaged: " + e.cause.Error()
}

func (e noDatabase) Unwrap() []error { return []error{storage.ErrCorrupt, e.cause} }

// unopened is mapped for a file that is being opened.
func unopened(err error) error {
	if e := (*sqlite.Error)(nil); errors.As(err, &e) && e.Code() == sqlite3.SQLITE_NOTADB {
		return noDatabase{err}
	}
	return mapped(err)
}

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

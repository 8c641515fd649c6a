package sqlite

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"mastworth/storage"
)

// Backup copies the database into a new file while it is in use, as it is at one moment. It refuses a file that is there already, and
// leaves none behind when it fails.
func (s *Store) Backup(ctx context.Context, path string) error {
	if _, err := os.Lstat(path); !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("sqlite: backup to %s: %w", path, errors.Join(os.ErrExist, err))
	}
	// Into a name beside it first, so that a backup is whole or not there; what one that was cut off left there is of no use.
	part := path + ".part"
	if err := removeAll(part, part+"-journal"); err != nil {
		return fmt.Errorf("sqlite: backup to %s: %w", path, err)
	}
	begun(part)
	_, err := s.write.ExecContext(ctx, "VACUUM INTO ?", part)
	if err == nil {
		err = errors.Join(synced(part), os.Rename(part, path))
	}
	if err != nil {
		return errors.Join(fmt.Errorf("sqlite: backup to %s: %w", path, mapped(err)), removeAll(part, part+"-journal"))
	}
	return synced(filepath.Dir(path))
}

// removeAll removes the files that are there.
func removeAll(paths ...string) error {
	var all error
	for _, p := range paths {
		if err := os.Remove(p); err != nil && !errors.Is(err, os.ErrNotExist) {
			all = errors.Join(all, err)
		}
	}
	return all
}

// synced brings a file, or the names in a folder, to the disk.
func synced(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// Restore puts a copy of a backup in the place of a database that nobody uses, and keeps what was there under the name before. At every
// moment the database is the old one or the new one, whole. check looks through the copy first; its error leaves all as it was.
func Restore(ctx context.Context, backup, path, before string, check func(copied string) error) (err error) {
	part := path + ".part"
	beside := []string{part, part + "-wal", part + "-shm", part + "-journal"} // a log of another file's would be taken for this one's
	if err := removeAll(beside...); err != nil {
		return fmt.Errorf("sqlite: %w", err)
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, removeAll(beside...))
		}
	}()
	if err := copyFile(backup, part); err != nil {
		return fmt.Errorf("sqlite: copying %s: %w", backup, err)
	}
	if err := check(part); err != nil {
		return err
	}
	if err := setAside(ctx, path, before); err != nil {
		return fmt.Errorf("sqlite: %s: %w", path, err)
	}
	if err := os.Rename(part, path); err != nil {
		return fmt.Errorf("sqlite: %w", err)
	}
	return synced(filepath.Dir(path))
}

// setAside gives the database a second name, and makes sure that all of it is in the one file.
func setAside(ctx context.Context, path, before string) error {
	there, err := os.Stat(path)
	if errors.Is(err, os.ErrNotExist) {
		return removeAll(path+"-wal", path+"-shm") // of a database that somebody removed
	}
	if err != nil {
		return err
	}
	// Whatever is still in the log beside the database goes into it when its last user closes it.
	store, err := Open(ctx, path)
	switch {
	case err == nil:
		err = store.Close()
	case errors.Is(err, storage.ErrNewer): // one goes back to an older program; Open has closed it again
		err = nil
	case errors.Is(err, storage.ErrCorrupt): // which may be why it is replaced: its log goes along
		if err = os.Rename(path+"-wal", before+"-wal"); errors.Is(err, os.ErrNotExist) {
			err = nil
		}
		err = errors.Join(err, removeAll(path+"-shm"))
	}
	if err != nil {
		return err
	}
	if _, err := os.Stat(path + "-wal"); err == nil {
		return ErrUsed
	}
	if old, err := os.Stat(before); err == nil && os.SameFile(there, old) {
		return nil // from a restore that was cut off here
	}
	if err := os.Link(path, before); err == nil || errors.Is(err, os.ErrExist) {
		return err
	}
	return copyFile(path, before) // not every file system has second names
}

// ErrUsed says that a database is open somewhere.
var ErrUsed = errors.New("the database is in use; stop the service first")

func copyFile(from, to string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(filepath.Clean(to), os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}

// The database's own looks through itself: what each says where all is well.
var looks = []struct{ query, fine string }{
	{"PRAGMA integrity_check", "ok"},
	{`SELECT 'a row of ' || "table" || ' points nowhere' FROM pragma_foreign_key_check`, ""},
}

// Check asks the database to look through its own pages, indexes and references; what it finds is listed.
func (s *Store) Check(ctx context.Context) (found []string, err error) {
	for _, l := range looks {
		lines, err := s.lines(ctx, l.query)
		if err != nil {
			return found, fmt.Errorf("sqlite: %s: %w", l.query, mapped(err))
		}
		for _, line := range lines {
			if line != l.fine {
				found = append(found, line)
			}
		}
	}
	return found, nil
}

// lines are the rows of a query with one column of text.
func (s *Store) lines(ctx context.Context, query string) (out []string, err error) {
	rows, err := s.read.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var line string
		if err := rows.Scan(&line); err != nil {
			return nil, err
		}
		out = append(out, line)
	}
	return out, rows.Err()
}

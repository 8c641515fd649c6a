package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os"
)

// Backup copies the database into a new file while it is in use, as it is at one moment. It refuses a file that is there already, and
// leaves none behind when it fails.
func (s *Store) Backup(ctx context.Context, path string) error {
	if _, err := os.Lstat(path); !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("sqlite: backup to %s: %w", path, errors.Join(os.ErrExist, err))
	}
	// Into a name beside it first, so that a backup is whole or not there.
	part := path + ".part"
	if err := os.Remove(part); err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("sqlite: backup to %s: %w", path, err)
	}
	if _, err := s.write.ExecContext(ctx, "VACUUM INTO ?", part); err != nil {
		return errors.Join(fmt.Errorf("sqlite: backup to %s: %w", path, err), os.RemoveAll(part))
	}
	if err := os.Rename(part, path); err != nil {
		return errors.Join(fmt.Errorf("sqlite: backup to %s: %w", path, err), os.RemoveAll(part))
	}
	return nil
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

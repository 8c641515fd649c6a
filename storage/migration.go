package storage

import (
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
)

// Migration is one numbered step of a database's schema.
type Migration struct {
	Number int
	Name   string // the file's
	SQL    string
}

// Migrations reads the numbered .sql files of a folder, in order. Numbers run from 1 without a gap; anything else is an
// error, which the packages that embed migrations panic on at their tests' first breath.
func Migrations(files fs.FS, folder string) ([]Migration, error) {
	names, err := fs.Glob(files, folder+"/*.sql")
	if err != nil {
		return nil, fmt.Errorf("storage: listing migrations: %w", err)
	}
	slices.Sort(names)
	out := make([]Migration, len(names))
	for i, name := range names {
		base := name[len(folder)+1:]
		digits, _, _ := strings.Cut(base, "_")
		n, err := strconv.Atoi(digits)
		if err != nil || n != i+1 {
			return nil, fmt.Errorf("storage: migration %s should have the number %d", base, i+1)
		}
		sql, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, fmt.Errorf("storage: reading migration %s: %w", base, err)
		}
		out[i] = Migration{Number: n, Name: base, SQL: string(sql)}
	}
	return out, nil
}

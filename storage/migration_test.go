package storage_test

import (
	"slices"
	"testing"

	"mastworth/storage"
	"mastworth/storage/postgres"
	"mastworth/storage/sqlite"
)

// Both databases take the same steps, so that one number says where either stands.
func TestSameMigrations(t *testing.T) {
	names := func(steps []storage.Migration, err error) (names []string) {
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range steps {
			names = append(names, m.Name)
		}
		return names
	}
	if a, b := names(sqlite.Migrations()), names(postgres.Migrations()); len(a) == 0 || !slices.Equal(a, b) {
		t.Errorf("sqlite has %q, postgres %q", a, b)
	}
}

package postgres

import (
	"context"
	"errors"
	"sync"
	"testing"

	"go.uber.org/goleak"

	"mastworth/storage"
	"mastworth/storage/postgres/postgrestest"
	"mastworth/storage/storagetest"
)

// Nothing a store starts outlives its tests.
func TestMain(m *testing.M) { postgrestest.Main(m, func() error { return goleak.Find() }) }

func open(t testing.TB, url string) *Store {
	t.Helper()
	s, err := Open(context.Background(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() }) //nolint:errcheck // some tests close it themselves
	return s
}

func TestContract(t *testing.T) {
	storagetest.Run(t, func(t testing.TB) storage.Store { return open(t, postgrestest.Database(t)) })
}

func TestNewerDatabase(t *testing.T) {
	url := postgrestest.Database(t)
	s := open(t, url)
	if _, err := s.pool.Exec(context.Background(), "INSERT INTO schema_version (number) VALUES (999)"); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(context.Background(), url); !errors.Is(err, storage.ErrNewer) {
		t.Errorf("got %v, want ErrNewer", err)
	}
}

// Instances that start together migrate once.
func TestStartingTogether(t *testing.T) {
	url := postgrestest.Database(t)
	var wg sync.WaitGroup
	for range 6 {
		wg.Go(func() { open(t, url) })
	}
	wg.Wait()
}

// Blocks are kept as they come; where that cannot be told to the server now, the store opens all the same.
func TestPlainBlocks(t *testing.T) {
	url := postgrestest.Database(t)
	s := open(t, url)
	ctx := context.Background()
	packs := func(want bool, what string) {
		t.Helper()
		if got, err := s.PacksBlocks(ctx); err != nil || got != want {
			t.Errorf("%s: blocks are packed: %t, %v", what, got, err)
		}
	}
	packs(false, "a new database")
	if _, err := s.pool.Exec(ctx, "ALTER TABLE blocks ALTER COLUMN data SET STORAGE EXTENDED"); err != nil {
		t.Fatal(err)
	}
	reader, err := s.pool.Begin(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := reader.Exec(ctx, "LOCK TABLE blocks IN ACCESS SHARE MODE"); err != nil {
		t.Fatal(err)
	}
	open(t, url)
	packs(true, "a table in use")
	if err := reader.Rollback(ctx); err != nil {
		t.Fatal(err)
	}
	open(t, url)
	packs(false, "an old database")
}

func TestNoServer(t *testing.T) {
	for _, url := range []string{"postgres://nobody@127.0.0.1:1/none?connect_timeout=2", "postgres://%zz"} {
		if _, err := Open(context.Background(), url); err == nil {
			t.Errorf("%s opened", url)
		}
	}
}

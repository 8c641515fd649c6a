package storagetest

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"reflect"
	"sync"
	"testing"

	"mastworth/resource"
	"mastworth/storage"
)

func brokenImport(t *testing.T, s storage.Store) {
	broken := errors.New("the file ends in the middle")
	never := func() (storage.Record, error) { t.Error("finish was called"); return storage.Record{}, nil }
	_, err := s.CreateRecord(context.Background(), "r", failing(invented(3000), 2, broken), never)
	wants(t, "import", err, broken)
	empty(t, s, "r")

	late := errors.New("the statistics failed")
	_, err = s.CreateRecord(context.Background(), "q", storage.EncodeBlocks(invented(3000)), func() (storage.Record, error) {
		return storage.Record{}, late
	})
	wants(t, "import", err, late)
	empty(t, s, "q")
}

// failing yields some blocks and then an error.
func failing(series *resource.Series, good int, err error) iter.Seq2[storage.Block, error] {
	return func(emit func(storage.Block, error) bool) {
		n := 0
		for b := range storage.EncodeBlocks(series) {
			if n == good {
				emit(storage.Block{}, err)
				return
			}
			n++
			if !emit(b, nil) {
				return
			}
		}
	}
}

func cancelledImport(t *testing.T, s storage.Store) {
	ctx, cancel := context.WithCancel(context.Background())
	n := 0
	_, err := s.CreateRecord(ctx, "r", func(emit func(storage.Block, error) bool) {
		for b, err := range storage.EncodeBlocks(invented(3000)) {
			if n++; n == 2 {
				cancel()
			}
			if !emit(b, err) {
				return
			}
		}
	}, func() (storage.Record, error) {
		return storage.Record{ID: "r", Meta: []byte("{}"), Report: []byte("{}")}, nil
	})
	if err == nil {
		t.Error("a cancelled import succeeded")
	}
	empty(t, s, "r")
}

func oneID(t *testing.T, s storage.Store) {
	want := put(t, s, "r", invented(2000), 0)
	_, err := create(context.Background(), s, "r", invented(500), 1)
	wants(t, "storing the same id again", err, storage.ErrConflict)
	got, err := s.Record(context.Background(), "r")
	if fine(t, "reading", err); !reflect.DeepEqual(got, want) {
		t.Error("the second import changed the first")
	}
	if n := read(t, s, got).Len(); n != 2000 {
		t.Errorf("%d samples are left of 2000", n)
	}
}

func oneIDAtOnce(t *testing.T, s storage.Store) {
	var wg sync.WaitGroup
	won := make(chan int, 6)
	for i := range 6 {
		wg.Go(func() {
			switch _, err := create(context.Background(), s, "r", invented(2000+i), i); {
			case err == nil:
				won <- 2000 + i
			case !errors.Is(err, storage.ErrConflict):
				t.Error(err)
			}
		})
	}
	wg.Wait()
	if len(won) != 1 {
		t.Fatalf("%d of 6 imports of one id won", len(won))
	}
	r, err := s.Record(context.Background(), "r")
	fine(t, "reading", err)
	if n, want := read(t, s, r).Len(), <-won; n != want {
		t.Errorf("%d samples are stored, the winner had %d", n, want)
	}
}

func panickingImport(t *testing.T, s storage.Store) {
	func() {
		defer func() {
			if recover() == nil {
				t.Error("the panic was swallowed")
			}
		}()
		_, _ = s.CreateRecord(context.Background(), "r", func(emit func(storage.Block, error) bool) {
			for b, err := range storage.EncodeBlocks(invented(1000)) {
				if !emit(b, err) {
					return
				}
			}
			panic("a reader went wrong")
		}, nil)
	}()
	empty(t, s, "r")
}

func otherID(t *testing.T, s storage.Store) {
	_, err := s.CreateRecord(context.Background(), "r", storage.EncodeBlocks(invented(1000)), func() (storage.Record, error) {
		return storage.Record{ID: "other", Meta: []byte("{}"), Report: []byte("{}")}, nil
	})
	if err == nil {
		t.Error("a record was stored under another id than it said")
	}
	empty(t, s, "r")
}

func concurrentImports(t *testing.T, s storage.Store) {
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			if _, err := create(context.Background(), s, fmt.Sprintf("r%d", i), invented(1000+i), i); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	page, err := s.Records(context.Background(), storage.Page{Limit: 20})
	if fine(t, "listing", err); len(page) != 8 {
		t.Errorf("%d records of 8", len(page))
	}
	for _, r := range page {
		if n := read(t, s, r).Len(); int64(n) != r.Rows {
			t.Errorf("%s has %d samples, says %d", r.ID, n, r.Rows)
		}
	}
}

package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"mastworth/storage"
)

// packing is a database that answers, and may compress what is compressed.
type packing struct {
	storage.Store
	packs bool
	err   error
}

func (packing) Ping(context.Context) error                  { return nil }
func (packing) Keys(context.Context) ([]storage.Key, error) { return nil, nil }
func (p packing) PacksBlocks(context.Context) (bool, error) { return p.packs, p.err }

// Doctor tells how to spare a database vain work, and nothing where there is none or nobody knows.
func TestDoctorTellsOfPackedBlocks(t *testing.T) {
	for _, c := range []struct {
		store packing
		told  bool
	}{{packing{packs: true}, true}, {packing{}, false}, {packing{packs: true, err: errors.New("no such table")}, false}} {
		var said []string
		examineStore(t.Context(), &config{}, c.store, func(fine bool, format string, args ...any) {
			if !fine {
				said = append(said, fmt.Sprintf(format, args...))
			}
		})
		if told := strings.Contains(strings.Join(said, "\n"), "SET STORAGE EXTERNAL"); told != c.told || len(said) > 1 {
			t.Errorf("%+v: %q", c.store, said)
		}
	}
}

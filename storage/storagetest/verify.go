package storagetest

import (
	"context"
	"testing"

	"mastworth/storage"
)

// Verify finds nothing wrong with what was just written, and counts it.
func verified(t *testing.T, s storage.Store) {
	Fill(t, s)
	_, err := s.CreateSite(context.Background(), site("s", "a", 2))
	fine(t, "creating", err)
	told := 0
	v, err := storage.Verify(context.Background(), s, func(n int) { told = n })
	if err != nil || v.Records != 2 || v.Sites != 1 || v.Blocks < 2 || v.Rows != 43 || told != 2 || len(v.Bad) > 0 {
		t.Errorf("%+v, %v", v, err)
	}
}

// Fill puts two small records into a store, for tests of what may happen to them.
func Fill(t testing.TB, s storage.Store) {
	t.Helper()
	put(t, s, "a", invented(40), 0)
	put(t, s, "b", invented(3), 1)
}

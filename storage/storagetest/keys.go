package storagetest

import (
	"context"
	"reflect"
	"testing"
	"time"

	"mastworth/storage"
)

// keys come back as they were, by id and by the hash of their secret, and open nothing once they are gone.
func keys(t *testing.T, s storage.Store) {
	ctx := context.Background()
	secrets := map[string]string{}
	for i, scope := range []storage.Scope{storage.ScopeRead, storage.ScopeWrite, storage.ScopeAdmin} {
		secret := storage.NewSecret()
		k := storage.Key{ID: "k" + string(scope), Name: "webmaster", Scope: scope, Hash: storage.HashSecret(secret), CreatedAt: start.Add(time.Duration(i) * time.Hour)}
		if i == 1 {
			k.ExpiresAt = start.Add(48 * time.Hour)
		}
		fine(t, "storing", s.CreateKey(ctx, k))
		wants(t, "an id that is taken", s.CreateKey(ctx, k), storage.ErrConflict)
		for what, get := range map[string]func() (storage.Key, error){
			"by id":   func() (storage.Key, error) { return s.Key(ctx, k.ID) },
			"by hash": func() (storage.Key, error) { return s.KeyByHash(ctx, storage.HashSecret(secret)) },
		} {
			if got, err := get(); err != nil || !reflect.DeepEqual(got, k) {
				t.Errorf("%s: got %+v, %v\nwant %+v", what, got, err, k)
			}
		}
		secrets[k.ID] = secret
	}
	if all, err := s.Keys(ctx); err != nil || len(all) != 3 || all[0].ID != "kadmin" {
		t.Errorf("%+v, %v", all, err)
	}
	_, err := s.KeyByHash(ctx, storage.HashSecret("nobody's"))
	wants(t, "a secret that opens nothing", err, storage.ErrNotFound)
	fine(t, "deleting", s.DeleteKey(ctx, "kread"))
	wants(t, "deleting one that is gone", s.DeleteKey(ctx, "kread"), storage.ErrNotFound)
	_, err = s.KeyByHash(ctx, storage.HashSecret(secrets["kread"]))
	wants(t, "the secret of a key that is gone", err, storage.ErrNotFound)
}

package api

import (
	"context"
	"net/http"
	"time"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/storage"
)

func (a answer) VisitListKeysResponse(w http.ResponseWriter) error { return a.send(w, http.StatusOK) }
func (a answer) VisitCreateKeyResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusCreated)
}

// ListKeys lists all keys, without their secrets, which nobody has.
func (s *service) ListKeys(ctx context.Context, _ openapi.ListKeysRequestObject) (openapi.ListKeysResponseObject, error) {
	all, err := s.Store.Keys(requestContext(ctx))
	if err != nil {
		return nil, stored(err)
	}
	out := openapi.KeyList{Keys: make([]openapi.Key, len(all))}
	for i := range all {
		out.Keys[i] = wireKey(&all[i])
	}
	return answer{body: out}, nil
}

// CreateKey makes a key. Its secret is in this answer and nowhere else.
func (s *service) CreateKey(ctx context.Context, r openapi.CreateKeyRequestObject) (openapi.CreateKeyResponseObject, error) {
	text, syntax, err := s.readText(r.Body, r.ContentType)
	if err != nil {
		return nil, err
	}
	defer freeBuffer(text)
	in, err := document.DecodeKey(text.Bytes(), syntax)
	if err != nil {
		return nil, err
	}
	secret := storage.NewSecret()
	k := storage.Key{ID: s.NewID(), Name: in.Name, Scope: storage.Scope(in.Scope), Hash: storage.HashSecret(secret), CreatedAt: s.now()}
	if d := in.Days; d != nil {
		k.ExpiresAt = k.CreatedAt.Add(time.Duration(*d) * 24 * time.Hour)
	}
	if err := s.Store.CreateKey(requestContext(ctx), k); err != nil {
		return nil, stored(err)
	}
	return answer{body: openapi.NewKey{Key: wireKey(&k), Secret: secret}, location: "/v1/keys/" + k.ID}, nil
}

// DeleteKey ends a key, and the sessions that began with it.
func (s *service) DeleteKey(ctx context.Context, r openapi.DeleteKeyRequestObject) (openapi.DeleteKeyResponseObject, error) {
	if err := s.Store.DeleteKey(requestContext(ctx), r.ID); err != nil {
		return nil, stored(err)
	}
	return openapi.DeleteKey204Response{}, nil
}

func wireKey(k *storage.Key) openapi.Key {
	out := openapi.Key{ID: k.ID, Name: k.Name, Scope: openapi.KeyScope(k.Scope), CreatedAt: k.CreatedAt}
	if !k.ExpiresAt.IsZero() {
		out.ExpiresAt = &k.ExpiresAt
	}
	return out
}

package api

import (
	"context"
	"time"

	"mastworth/storage"
)

// standing is how long what the store has said of a site's estimate may be repeated without asking again: a site that thousands look
// at then costs the database a hundred questions a second. Whoever changes a site is told so only when that time has passed since the
// change, so that nobody who knows of a change is answered from before it, by this instance or another. None of them needs to know of
// the others, and spans of time alone count: clocks may differ and jump.
const standing = 10 * time.Millisecond

// settled is a store that tells of a changed site when the change stands everywhere. A new site has no answer to outlive it, and an
// estimate that is kept in place of one for the same request is no change.
type settled struct{ storage.Store }

func (s settled) UpdateSite(ctx context.Context, site storage.Site) (storage.Site, error) {
	site, err := s.Store.UpdateSite(ctx, site)
	settle(ctx, err)
	return site, err //nolint:wrapcheck // the store's own
}

func (s settled) SetClub(ctx context.Context, id string, version int64, c storage.Club) (storage.Site, error) {
	site, err := s.Store.SetClub(ctx, id, version, c)
	settle(ctx, err)
	return site, err //nolint:wrapcheck // the store's own
}

func (s settled) DeleteSite(ctx context.Context, id string) error {
	err := s.Store.DeleteSite(ctx, id)
	settle(ctx, err)
	return err //nolint:wrapcheck // the store's own
}

// settle waits for a change to stand, unless there is none or nobody to be told of it.
func settle(ctx context.Context, err error) {
	if err != nil {
		return
	}
	select {
	case <-time.After(standing):
	case <-ctx.Done():
	}
}

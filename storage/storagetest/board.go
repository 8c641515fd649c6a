package storagetest

import (
	"context"
	"reflect"
	"testing"
	"time"

	"mastworth/storage"
)

// board: a site shows nothing until it is told to, what it shows outlives an update of the request and not the site, and the stamp
// changes whenever what is shown does, and only then.
func board(t *testing.T, s storage.Store) {
	ctx := context.Background()
	stamp := func() string {
		t.Helper()
		st, err := s.BoardStamp(ctx)
		fine(t, "stamp", err)
		return st
	}
	shown := func() []storage.BoardEntry {
		t.Helper()
		all, err := s.Board(ctx)
		fine(t, "board", err)
		return all
	}
	none := stamp()
	_, err := s.CreateSite(ctx, site("b", "", 0))
	fine(t, "creating", err)
	_, err = s.CreateSite(ctx, site("a", "", 1))
	fine(t, "creating", err)
	if got := shown(); len(got) != 0 || stamp() != none {
		t.Errorf("private sites are shown: %+v", got)
	}
	_, err = s.BoardEntry(ctx, "a")
	wants(t, "a private site", err, storage.ErrNotFound)

	club := storage.Club{Public: true, ShownAs: "windy corner", ShowCosts: true, ChangedAt: start.Add(time.Hour)}
	made, err := s.SetClub(ctx, "a", 1, club)
	fine(t, "showing", err)
	if back, err := s.Site(ctx, "a"); err != nil || made.Version != 2 || made.Club != club || !reflect.DeepEqual(back, made) {
		t.Errorf("got %+v, stored %+v, %v", made, back, err)
	}
	want := storage.BoardEntry{ID: "a", Name: "windy corner", Version: 2, CreatedAt: made.CreatedAt, ShowCosts: true, ChangedAt: club.ChangedAt}
	if got := shown(); len(got) != 1 || !reflect.DeepEqual(got[0], want) || stamp() == none {
		t.Errorf("got %+v, want %+v", got, want)
	}
	_, err = s.SetClub(ctx, "a", 1, club)
	wants(t, "an old version", err, storage.ErrConflict)
	_, err = s.SetClub(ctx, "none", 0, club)
	wants(t, "no site", err, storage.ErrNotFound)

	before := stamp()
	want.Board, want.ComputedAt = []byte(`{"x":1}`), start.Add(2*time.Hour)
	estimate := storage.SavedEstimate{SiteID: "a", Key: "k", Body: []byte("{}"), Board: want.Board, ComputedAt: want.ComputedAt, Of: made.UpdatedAt.Add(time.Second)}
	wants(t, "keeping the estimate of what the site was", s.SaveEstimate(ctx, estimate), storage.ErrNotFound)
	estimate.Of = made.UpdatedAt
	fine(t, "keeping", s.SaveEstimate(ctx, estimate))
	if got, err := s.BoardEntry(ctx, "a"); err != nil || !reflect.DeepEqual(got, want) || stamp() == before {
		t.Errorf("got %+v, %v, want %+v", got, err, want)
	}
	outcomes, err := s.Outcomes(ctx, []string{"a", "b", "none"})
	if e := (storage.SavedEstimate{SiteID: "a", Key: "k", Board: want.Board, ComputedAt: want.ComputedAt}); err != nil || len(outcomes) != 1 || !reflect.DeepEqual(outcomes[0], e) {
		t.Errorf("outcomes %+v, %v, want %+v", outcomes, err, e)
	}
	if got, err := s.Outcomes(ctx, nil); err != nil || len(got) != 0 {
		t.Errorf("outcomes of no site: %+v, %v", got, err)
	}
	kept, err := s.SetClub(ctx, "a", 0, storage.Club{Public: true, ChangedAt: club.ChangedAt})
	fine(t, "showing", err)
	if got, err := s.BoardEntry(ctx, "a"); err != nil || got.Name != kept.Name || got.Board == nil || got.ShowCosts {
		t.Errorf("without a name of its own it is shown as %+v, %v", got, err)
	}

	before = stamp()
	changed, err := s.UpdateSite(ctx, kept)
	fine(t, "updating", err)
	if got, err := s.Outcomes(ctx, []string{"a"}); err != nil || len(got) != 0 {
		t.Errorf("an update leaves the outcome %+v, %v", got, err)
	}
	if got := shown(); changed.Club != kept.Club || len(got) != 1 || got[0].Board != nil || !got[0].ComputedAt.IsZero() || stamp() == before {
		t.Errorf("after an update: %+v, %+v", changed, got)
	}
	_, err = s.SetClub(ctx, "b", 0, club)
	fine(t, "showing", err)
	if got := shown(); len(got) != 2 || got[0].ID != "a" || got[1].ID != "b" {
		t.Errorf("the order is %+v", got)
	}
	fine(t, "deleting", s.DeleteSite(ctx, "a"))
	_, err = s.SetClub(ctx, "b", 0, storage.Club{ChangedAt: start})
	fine(t, "hiding", err)
	if got := shown(); len(got) != 0 || stamp() != none {
		t.Errorf("what is gone or private is shown: %+v", got)
	}
}

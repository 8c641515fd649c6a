package storagetest

import (
	"context"
	"fmt"
	"reflect"
	"testing"
	"time"

	"mastworth/storage"
)

// curves come back as they were, page by page, and stay while a site uses them.
func curves(t *testing.T, s storage.Store) {
	ctx := context.Background()
	for i := range 5 {
		c := storage.Curve{ID: fmt.Sprint("c", i), Name: "garden", Source: "design", ContentHash: "abc", CreatedAt: start.Add(time.Duration(i) * time.Hour),
			DiameterM: 2.4, PeakW: 900.5, Turbine: []byte(`{"a":1}`), Machine: []byte(`{"b":2}`)}
		fine(t, "storing", s.CreateCurve(ctx, c))
		if got, err := s.Curve(ctx, c.ID); err != nil || !reflect.DeepEqual(got, c) {
			t.Errorf("got %+v, %v\nwant %+v", got, err, c)
		}
		wants(t, "an id that is taken", s.CreateCurve(ctx, c), storage.ErrConflict)
	}
	page, err := s.Curves(ctx, storage.Page{Limit: 2})
	if err != nil || len(page) != 2 || page[0].ID != "c4" || page[1].ID != "c3" || page[0].Machine != nil {
		t.Errorf("%+v, %v", page, err)
	}
	if page, err = s.Curves(ctx, storage.Page{After: "c3", Limit: 9}); err != nil || len(page) != 3 || page[0].ID != "c2" {
		t.Errorf("%+v, %v", page, err)
	}
	used := site("s", "", 0)
	used.CurveID = "c1"
	_, err = s.CreateSite(ctx, used)
	fine(t, "creating", err)
	if got, err := s.Site(ctx, "s"); err != nil || got.CurveID != "c1" {
		t.Errorf("the curve came back as %q, %v", got.CurveID, err)
	}
	wants(t, "deleting a curve in use", s.DeleteCurve(ctx, "c1"), storage.ErrInUse)
	used.CurveID = "none"
	_, err = s.UpdateSite(ctx, used)
	wants(t, "a curve that is not there", err, storage.ErrNotFound)
	fine(t, "deleting the site", s.DeleteSite(ctx, "s"))
	fine(t, "deleting a curve no longer in use", s.DeleteCurve(ctx, "c1"))
	_, err = s.Curve(ctx, "c1")
	wants(t, "a curve that is gone", err, storage.ErrNotFound)
	wants(t, "deleting one that is gone", s.DeleteCurve(ctx, "c1"), storage.ErrNotFound)

	put(t, s, "log", invented(10), 0)
	logged := site("l", "", 1)
	logged.LogID = "log"
	_, err = s.CreateSite(ctx, logged)
	fine(t, "creating", err)
	wants(t, "deleting a log in use", s.DeleteRecord(ctx, "log"), storage.ErrInUse)
}

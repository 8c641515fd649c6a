package storagetest

import (
	"context"
	"reflect"
	"testing"
	"time"

	"mastworth/storage"
)

// readings come back by rising time, are there once however often they are sent, and go with their site.
func readings(t *testing.T, s storage.Store) {
	ctx := context.Background()
	for _, id := range []string{"a", "b"} {
		_, err := s.CreateSite(ctx, storage.Site{ID: id, Name: id, Request: []byte("{}"), CreatedAt: start, UpdatedAt: start})
		fine(t, "storing a site", err)
	}
	at := start.Unix()
	want := []storage.Reading{
		{ID: "r1", SiteID: "a", AtUnix: at, Meter: true, KWh: 1234.5678901234567, CreatedAt: start},
		{ID: "r2", SiteID: "a", AtUnix: at + 3600, KWh: 0.1, CreatedAt: start.Add(time.Microsecond)},
		{ID: "r3", SiteID: "a", FromUnix: at, AtUnix: at + 3600, KWh: 0, CreatedAt: start},
		{ID: "r4", SiteID: "a", FromUnix: at, AtUnix: at + 7200, KWh: 2.5, CreatedAt: start},
	}
	add := func(what, site string, wanted int, all ...storage.Reading) {
		t.Helper()
		if n, err := s.AddReadings(ctx, site, all); err != nil || n != wanted {
			t.Errorf("%s: %d added, %v; want %d", what, n, err, wanted)
		}
	}
	add("adding", "a", 4, want[3], want[0], want[2], want[1])
	add("adding nothing", "a", 0)
	again := want[1]
	again.ID = "r5"
	add("adding one again and one that is new", "a", 1, again, storage.Reading{ID: "r6", AtUnix: at + 9000, Meter: true, KWh: 1240, CreatedAt: start})
	add("the same of another site", "b", 1, storage.Reading{ID: "r7", AtUnix: at, Meter: true, KWh: want[0].KWh, CreatedAt: start})

	_, err := s.AddReadings(ctx, "a", []storage.Reading{{ID: "r8", AtUnix: at + 1}, {ID: "r1", AtUnix: at + 2}})
	wants(t, "an id that is taken", err, storage.ErrConflict)
	_, err = s.AddReadings(ctx, "none", []storage.Reading{{ID: "r9", AtUnix: at}})
	wants(t, "an unknown site", err, storage.ErrNotFound)
	wants(t, "deleting another site's", s.DeleteReading(ctx, "b", "r1"), storage.ErrNotFound)
	fine(t, "deleting", s.DeleteReading(ctx, "a", "r6"))
	wants(t, "deleting one that is gone", s.DeleteReading(ctx, "a", "r6"), storage.ErrNotFound)

	if got, err := s.Readings(ctx, "a"); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, %v\nwant %+v", got, err, want)
	}
	fine(t, "deleting the site", s.DeleteSite(ctx, "a"))
	if got, err := s.Readings(ctx, "a"); err != nil || len(got) != 0 {
		t.Errorf("%+v, %v are left of a site that is gone", got, err)
	}
	if got, err := s.Readings(ctx, "b"); err != nil || len(got) != 1 || got[0].SiteID != "b" {
		t.Errorf("%+v, %v are left of the other", got, err)
	}
}

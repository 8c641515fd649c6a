// Package storagetest holds every store to the same contract.
package storagetest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"sync"
	"testing"
	"time"

	"mastworth/resource"
	"mastworth/storage"
)

// Run runs the suite. open returns a fresh, empty store, closed by the test's cleanup.
func Run(t *testing.T, open func(t testing.TB) storage.Store) {
	for name, test := range map[string]func(*testing.T, storage.Store){
		"records come back as they were":         recordRoundTrip,
		"lists go page by page, newest first":    paging,
		"what is not there is not found":         notFound,
		"a record in use stays":                  inUse,
		"a broken import leaves nothing":         brokenImport,
		"a cancelled import leaves nothing":      cancelledImport,
		"one id is imported once":                oneID,
		"one id imported at once is stored once": oneIDAtOnce,
		"a panicking import leaves nothing":      panickingImport,
		"a record is finished as what it began":  otherID,
		"many may import at once":                concurrentImports,
		"a site's version guards it":             versions,
		"concurrent updates do not lose one":     concurrentUpdates,
		"estimates go with their site":           estimates,
		"curves stay while a site uses them":     curves,
		"keys open nothing once they are gone":   keys,
		"readings are there once, by time":       readings,
		"what was written is found sound":        verified,
		"a site shows what it is told to":        board,
		"reading may stop half way":              stopReading,
		"a large record takes its time, whole":   largeRecord,
		"awkward texts are kept to the letter":   awkwardTexts,
		"an answer comes only while it is open":  closed,
	} {
		t.Run(name, func(t *testing.T) { test(t, open(t)) })
	}
}

var start = time.Date(2024, 2, 29, 12, 30, 15, 123456000, time.UTC)

// invented is a made-up record of hourly wind.
func invented(hours int) *resource.Series {
	rng := rand.New(rand.NewPCG(7, uint64(hours)))
	s := &resource.Series{StepS: 3600, SourceFormat: "logger_csv",
		Channels: []resource.Channel{{Name: "wind", Quantity: resource.Speed, HeightM: 10}}}
	for i := range hours {
		s.Times = append(s.Times, start.Unix()/3600*3600+int64(i)*3600)
		s.Channels[0].Values = append(s.Channels[0].Values, float64(rng.IntN(200))/10)
	}
	return s
}

// put stores a record of a series, made after a number of hours.
func put(t testing.TB, s storage.Store, id string, series *resource.Series, after int) storage.Record {
	t.Helper()
	r, err := create(context.Background(), s, id, series, after)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func create(ctx context.Context, s storage.Store, id string, series *resource.Series, after int) (storage.Record, error) {
	meta, err := storage.EncodeMeta(series)
	if err != nil {
		return storage.Record{}, err
	}
	hash := sha256.New()
	hash.Write(meta)
	blocks := func(emit func(storage.Block, error) bool) {
		for b, err := range storage.EncodeBlocks(series) {
			hash.Write(b.Data)
			if !emit(b, err) {
				return
			}
		}
	}
	return s.CreateRecord(ctx, id, blocks, func() (storage.Record, error) {
		return storage.Record{ID: id, Name: id + ".csv", SourceFormat: series.SourceFormat, ContentHash: hex.EncodeToString(hash.Sum(nil)),
			CreatedAt: start.Add(time.Duration(after) * time.Hour), Rows: int64(series.Len()), FirstUnix: series.Times[0],
			LastUnix: series.Times[series.Len()-1], Meta: meta, Report: []byte(`{"rows": 1}`), Statistics: []byte(`{}`)}, nil
	})
}

func site(id, record string, after int) storage.Site {
	at := start.Add(time.Duration(after) * time.Hour)
	return storage.Site{ID: id, Name: "garden " + id, RecordID: record, Request: []byte(`{"a":1}`), CreatedAt: at, UpdatedAt: at}
}

func wants(t testing.TB, what string, err, want error) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Errorf("%s: got %v, want %v", what, err, want)
	}
}

func fine(t testing.TB, what string, err error) {
	t.Helper()
	if err != nil {
		t.Fatalf("%s: %v", what, err)
	}
}

func read(t testing.TB, s storage.Store, r storage.Record) *resource.Series {
	t.Helper()
	series, err := storage.DecodeBlocks(r.Meta, s.Blocks(context.Background(), r.ID))
	fine(t, "reading blocks", err)
	return series
}

func recordRoundTrip(t *testing.T, s storage.Store) {
	series := invented(2000)
	want := put(t, s, "r1", series, 0)
	got, err := s.Record(context.Background(), "r1")
	fine(t, "reading", err)
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	if back := read(t, s, got); !reflect.DeepEqual(back, series) {
		t.Error("the samples came back changed")
	}
	fine(t, "deleting", s.DeleteRecord(context.Background(), "r1"))
	_, err = s.Record(context.Background(), "r1")
	wants(t, "reading what was deleted", err, storage.ErrNotFound)
	put(t, s, "r1", series, 0) // its blocks are gone too, or this would clash
}

func paging(t *testing.T, s storage.Store) {
	ctx := context.Background()
	var want []string
	for i := range 7 {
		id := fmt.Sprintf("p%d", i)
		// The last three were made at the same moment: the id decides.
		put(t, s, id, invented(3), min(i, 4))
		_, err := s.CreateSite(ctx, site(id, "", min(i, 4)))
		fine(t, "creating", err)
		want = append([]string{id}, want...)
	}
	var records, sites []string
	for after := ""; ; {
		page, err := s.Records(ctx, storage.Page{After: after, Limit: 2})
		fine(t, "listing", err)
		for _, r := range page {
			records = append(records, r.ID)
			if r.Report != nil || r.Statistics != nil {
				t.Error("a list carries reports")
			}
		}
		if len(page) < 2 {
			break
		}
		after = page[1].ID
	}
	for after := ""; ; {
		page, err := s.Sites(ctx, storage.Page{After: after, Limit: 3})
		fine(t, "listing", err)
		for _, x := range page {
			sites = append(sites, x.ID)
		}
		if len(page) < 3 {
			break
		}
		after = page[2].ID
	}
	if !slices.Equal(records, want) || !slices.Equal(sites, want) {
		t.Errorf("records %v, sites %v, want %v", records, sites, want)
	}
}

func notFound(t *testing.T, s storage.Store) {
	ctx := context.Background()
	_, err := s.Record(ctx, "none")
	wants(t, "record", err, storage.ErrNotFound)
	wants(t, "delete record", s.DeleteRecord(ctx, "none"), storage.ErrNotFound)
	_, err = s.Site(ctx, "none")
	wants(t, "site", err, storage.ErrNotFound)
	_, err = s.UpdateSite(ctx, site("none", "", 0))
	wants(t, "update site", err, storage.ErrNotFound)
	wants(t, "delete site", s.DeleteSite(ctx, "none"), storage.ErrNotFound)
	_, err = s.Estimate(ctx, "none")
	wants(t, "estimate", err, storage.ErrNotFound)
	wants(t, "save estimate", s.SaveEstimate(ctx, storage.SavedEstimate{SiteID: "none"}), storage.ErrNotFound)
	_, err = s.CreateSite(ctx, site("s", "none", 0))
	wants(t, "site of no record", err, storage.ErrNotFound)
	for _, err := range s.Blocks(ctx, "none") {
		wants(t, "blocks", err, storage.ErrNotFound)
	}
	page, err := s.Records(ctx, storage.Page{Limit: 5})
	if err != nil || len(page) != 0 {
		t.Errorf("an empty store lists %v, %v", page, err)
	}
}

func inUse(t *testing.T, s storage.Store) {
	ctx := context.Background()
	put(t, s, "r", invented(10), 0)
	_, err := s.CreateSite(ctx, site("s", "r", 0))
	fine(t, "creating", err)
	wants(t, "deleting a record in use", s.DeleteRecord(ctx, "r"), storage.ErrInUse)
	free := site("s", "", 0)
	_, err = s.UpdateSite(ctx, free)
	fine(t, "updating", err)
	fine(t, "deleting a record no longer in use", s.DeleteRecord(ctx, "r"))

	put(t, s, "long", invented(10), 0)
	stretched := site("t", "", 0)
	stretched.ReferenceID = "long"
	saved, err := s.CreateSite(ctx, stretched)
	fine(t, "creating", err)
	if back, err := s.Site(ctx, "t"); err != nil || back.ReferenceID != "long" || saved.ReferenceID != "long" {
		t.Errorf("the reference came back as %q, %v", back.ReferenceID, err)
	}
	wants(t, "deleting a reference in use", s.DeleteRecord(ctx, "long"), storage.ErrInUse)
	stretched.ReferenceID = "none"
	_, err = s.UpdateSite(ctx, stretched)
	wants(t, "a reference that is not there", err, storage.ErrNotFound)
	stretched.ReferenceID = ""
	_, err = s.UpdateSite(ctx, stretched)
	fine(t, "updating", err)
	fine(t, "deleting a reference no longer in use", s.DeleteRecord(ctx, "long"))
}

// empty fails if anything of a record is left: a new one by its id must fit in.
func empty(t *testing.T, s storage.Store, id string) {
	t.Helper()
	_, err := s.Record(context.Background(), id)
	wants(t, "the record that was not stored", err, storage.ErrNotFound)
	put(t, s, id, invented(3000), 0)
}

func versions(t *testing.T, s storage.Store) {
	ctx := context.Background()
	made, err := s.CreateSite(ctx, site("s", "", 0))
	if fine(t, "creating", err); made.Version != 1 {
		t.Errorf("a new site has version %d", made.Version)
	}
	change := made
	change.Name, change.Request, change.UpdatedAt = "other", []byte(`{"b":2}`), start.Add(time.Minute)
	changed, err := s.UpdateSite(ctx, change)
	fine(t, "updating", err)
	want := change
	want.Version = 2
	got, err := s.Site(ctx, "s")
	if fine(t, "reading", err); !reflect.DeepEqual(got, want) || !reflect.DeepEqual(changed, want) {
		t.Errorf("got %+v and %+v, want %+v", got, changed, want)
	}
	_, err = s.UpdateSite(ctx, change)
	wants(t, "updating an old version", err, storage.ErrConflict)
	change.Version = 0
	if again, err := s.UpdateSite(ctx, change); err != nil || again.Version != 3 {
		t.Errorf("updating whatever version: %+v, %v", again, err)
	}
	_, err = s.CreateSite(ctx, site("s", "", 0))
	wants(t, "creating the same id again", err, storage.ErrConflict)
}

func concurrentUpdates(t *testing.T, s storage.Store) {
	ctx := context.Background()
	made, err := s.CreateSite(ctx, site("s", "", 0))
	fine(t, "creating", err)
	var wg sync.WaitGroup
	won := make(chan int64, 8)
	for range 8 {
		wg.Go(func() {
			switch x, err := s.UpdateSite(ctx, made); {
			case err == nil:
				won <- x.Version
			case !errors.Is(err, storage.ErrConflict):
				t.Error(err)
			}
		})
	}
	wg.Wait()
	if len(won) != 1 {
		t.Errorf("%d of 8 updates of one version won", len(won))
	}
}

func estimates(t *testing.T, s storage.Store) {
	ctx := context.Background()
	made, err := s.CreateSite(ctx, site("s", "", 0))
	fine(t, "creating", err)
	stamped := func(after string, of *storage.Site, key string) {
		t.Helper()
		got, err := s.EstimateStamps(ctx, []string{"s", "none", "s"})
		fine(t, "asking for the stamp", err)
		if want := storage.EstimateStamp(of, key); len(got) != 1 || got["s"] != want {
			t.Errorf("after %s the stamps are %q instead of %q alone", after, got, want)
		}
	}
	stamped("creating", &made, "")
	for _, body := range []string{`{"x":1}`, `{"x":2}`} {
		want := storage.SavedEstimate{SiteID: "s", Key: "k" + body, Body: []byte(body)}
		fine(t, "saving", s.SaveEstimate(ctx, want))
		got, err := s.Estimate(ctx, "s")
		if fine(t, "reading", err); !reflect.DeepEqual(got, want) {
			t.Errorf("got %+v, want %+v", got, want)
		}
		stamped("keeping an estimate", &made, want.Key)
	}
	shown, err := s.SetClub(ctx, "s", 0, storage.Club{Public: true, ChangedAt: start})
	fine(t, "showing", err)
	stamped("showing it", &shown, `k{"x":2}`)
	made.Version, made.UpdatedAt = shown.Version, start.Add(time.Hour)
	updated, err := s.UpdateSite(ctx, made)
	fine(t, "updating", err)
	stamped("a change", &updated, "")
	_, err = s.Estimate(ctx, "s")
	wants(t, "the estimate of what the site was", err, storage.ErrNotFound)
	fine(t, "saving", s.SaveEstimate(ctx, storage.SavedEstimate{SiteID: "s", Key: "k", Body: []byte("{}")}))
	fine(t, "deleting", s.DeleteSite(ctx, "s"))
	_, err = s.Estimate(ctx, "s")
	wants(t, "the estimate of a site that is gone", err, storage.ErrNotFound)
	if gone, err := s.EstimateStamps(ctx, []string{"s"}); err != nil || len(gone) > 0 {
		t.Errorf("the stamps of a site that is gone are %q, %v", gone, err)
	}
}

func stopReading(t *testing.T, s storage.Store) {
	put(t, s, "r", invented(5000), 0)
	for range 50 { // more often than there are connections
		for _, err := range s.Blocks(context.Background(), "r") {
			fine(t, "reading", err)
			break
		}
	}
	fine(t, "ping", s.Ping(context.Background()))
}

func largeRecord(t *testing.T, s storage.Store) {
	series := invented(200_000) // hourly data of 23 years: 274 blocks
	r := put(t, s, "r", series, 0)
	if back := read(t, s, r); !reflect.DeepEqual(back, series) {
		t.Error("the samples came back changed")
	}
}

func awkwardTexts(t *testing.T, s storage.Store) {
	ctx := context.Background()
	x := site("s'; DROP TABLE sites; --", "", 0)
	x.Name = "Bülow’s \"gärten\" ' \\ %_\n"
	x.Request = []byte{0, 1, 0xff, '\'', '"'}
	_, err := s.CreateSite(ctx, x)
	fine(t, "creating", err)
	got, err := s.Site(ctx, x.ID)
	x.Version = 1
	if fine(t, "reading", err); !reflect.DeepEqual(got, x) {
		t.Errorf("got %+v, want %+v", got, x)
	}
}

func closed(t *testing.T, s storage.Store) {
	ctx := context.Background()
	fine(t, "ping", s.Ping(ctx))
	cancelled, cancel := context.WithCancel(ctx)
	cancel()
	if _, err := s.Sites(cancelled, storage.Page{Limit: 1}); err == nil {
		t.Error("a cancelled call answered")
	}
	fine(t, "closing", s.Close())
	if s.Ping(ctx) == nil {
		t.Error("a closed store answers")
	}
}

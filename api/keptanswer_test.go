package api

import (
	"bytes"
	"context"
	"net/http"
	"net/http/httptest"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"mastworth/storage"
)

// countedStore counts how often bodies of kept estimates and sites are read, and questions whether they still are the ones.
type countedStore struct {
	storage.Store
	bodies, sites, stamps atomic.Int64
}

func (c *countedStore) EstimateStamps(ctx context.Context, ids []string) (map[string]string, error) {
	c.stamps.Add(1)
	return c.Store.EstimateStamps(ctx, ids)
}

func (c *countedStore) Estimate(ctx context.Context, id string) (storage.SavedEstimate, error) {
	c.bodies.Add(1)
	return c.Store.Estimate(ctx, id)
}

func (c *countedStore) Site(ctx context.Context, id string) (storage.Site, error) {
	c.sites.Add(1)
	return c.Store.Site(ctx, id)
}

// twoOverOne are two instances over one store, what the first asks of it counted, and a saved site with the request it is of.
func twoOverOne(t *testing.T) (here, there *fixture, counted *countedStore, site string, request []byte) {
	t.Helper()
	store, _ := openStore(t)
	counted = &countedStore{Store: store}
	here = newFixture(t, func(o *Options) { o.Store = counted })
	there = newFixture(t, func(o *Options) { o.Store = store })
	request = exampleJSON(t, "MeanWind")
	site = here.do(http.MethodPost, "/v1/sites", request, asJSON...).want(201).header.Get("Location")
	return here, there, counted, site, request
}

// An answer at hand is given without reading it again, and never once somebody, in this instance or another over the same store, has
// changed what it is of.
func TestKeptAnswersOfTwoInstances(t *testing.T) {
	here, there, counted, site, request := twoOverOne(t)

	first := here.do(http.MethodGet, site+"/estimate", nil).want(200)
	bodies, sites := counted.bodies.Load(), counted.sites.Load()
	again := here.do(http.MethodGet, site+"/estimate", nil).want(200)
	here.do(http.MethodGet, site+"/estimate", nil, header{"If-None-Match", first.header.Get("ETag")}).want(304)
	if !bytes.Equal(again.body, first.body) || again.header.Get("ETag") != first.header.Get("ETag") {
		t.Error("the answer at hand is another than the first")
	}
	if counted.bodies.Load() != bodies || counted.sites.Load() != sites {
		t.Error("the store was asked for what was at hand")
	}

	// What is shown of it is no part of the estimate, but a change all the same.
	there.do(http.MethodPut, site+"/club", []byte(`{"public":true}`), asJSON...).want(200)
	if shown := here.do(http.MethodGet, site+"/estimate", nil).want(200); shown.header.Get("ETag") != first.header.Get("ETag") {
		t.Error("showing a site changed its estimate")
	}

	for _, by := range []*fixture{there, here} {
		before := here.do(http.MethodGet, site+"/estimate", nil).want(200).header.Get("ETag")
		request = change(t, request, "site.elevation_m", len(before)+int(counted.sites.Load()))
		by.do(http.MethodPut, site, request, asJSON...).want(200)
		now := here.do(http.MethodGet, site+"/estimate", nil, header{"If-None-Match", before}).want(200)
		other := there.do(http.MethodGet, site+"/estimate", nil).want(200)
		if now.header.Get("ETag") == before || !bytes.Equal(now.body, other.body) {
			t.Error("a change is not seen by the instance that had the answer at hand")
		}
	}
	there.do(http.MethodDelete, site, nil).want(204)
	here.do(http.MethodGet, site+"/estimate", nil).problem(missing, "", "there is no site")
}

// However many look at a site all the time, which spares the store most of their questions, nobody who knows of a change is answered
// from before it: neither whoever made it nor anyone told of it.
func TestWhoKnowsOfAChangeSeesIt(t *testing.T) {
	here, there, counted, site, request := twoOverOne(t)
	here.do(http.MethodGet, site+"/estimate", nil).want(200)

	// No contract is held against these: they are to be many.
	tag := func() (string, int) {
		w := httptest.NewRecorder()
		here.ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), http.MethodGet, site+"/estimate", nil))
		return w.Header().Get("ETag"), w.Code
	}
	before, changes := counted.stamps.Load(), 0
	var looks atomic.Int64
	var done atomic.Bool
	var visitors sync.WaitGroup
	for range 4 {
		visitors.Go(func() {
			for !done.Load() {
				if _, code := tag(); code != http.StatusOK && code != http.StatusNotFound {
					t.Errorf("a visitor is answered %d", code)
				}
				looks.Add(1)
			}
		})
	}
	last, _ := tag()
	for ; changes < 30; changes++ {
		request = change(t, request, "site.elevation_m", 100+changes)
		[]*fixture{there, here}[changes%2].do(http.MethodPut, site, request, asJSON...).want(200)
		now, _ := tag()
		if now == last {
			t.Errorf("change %d is not seen by one who knows of it", changes)
		}
		last = now
	}
	there.do(http.MethodDelete, site, nil).want(204)
	if _, code := tag(); code != http.StatusNotFound {
		t.Errorf("a site that is known to be deleted is answered %d", code)
	}
	done.Store(true)
	visitors.Wait()
	asked := counted.stamps.Load() - before
	t.Logf("%d looks and %d changes took %d questions", looks.Load(), changes, asked)
}

// A burst of visitors asks the store once for as long as its word stands.
func TestABurstAsksOnce(t *testing.T) {
	f, _, counted, site, _ := twoOverOne(t)
	f.do(http.MethodGet, site+"/estimate", nil).want(200)
	began, before, looks := time.Now(), counted.stamps.Load(), 0
	for time.Since(began) < 20*standing {
		w := httptest.NewRecorder()
		if f.ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), http.MethodGet, site+"/estimate", nil)); w.Code != http.StatusOK {
			t.Fatal(w.Code)
		}
		looks++
	}
	most := int64(time.Since(began)/standing) + 1
	if asked := counted.stamps.Load() - before; asked > most {
		t.Errorf("%d looks one after the other in %v took %d questions, which is more than %d", looks, time.Since(began), asked, most)
	}
}

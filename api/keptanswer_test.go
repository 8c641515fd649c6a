package api

import (
	"bytes"
	"context"
	"net/http"
	"sync/atomic"
	"testing"

	"mastworth/storage"
)

// countedStore counts how often bodies of kept estimates and sites are read.
type countedStore struct {
	storage.Store
	bodies, sites atomic.Int64
}

func (c *countedStore) Estimate(ctx context.Context, id string) (storage.SavedEstimate, error) {
	c.bodies.Add(1)
	return c.Store.Estimate(ctx, id)
}

func (c *countedStore) Site(ctx context.Context, id string) (storage.Site, error) {
	c.sites.Add(1)
	return c.Store.Site(ctx, id)
}

// An answer at hand is given without reading it again, and never once somebody, in this instance or another over the same store, has
// changed what it is of.
func TestKeptAnswersOfTwoInstances(t *testing.T) {
	store, _ := openStore(t)
	counted := &countedStore{Store: store}
	here := newFixture(t, func(o *Options) { o.Store = counted })
	there := newFixture(t, func(o *Options) { o.Store = store })
	jsonHeader := header{"Content-Type", "application/json"}
	request := exampleJSON(t, "MeanWind")
	site := here.do(http.MethodPost, "/v1/sites", request, jsonHeader).want(201).header.Get("Location")

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
	there.do(http.MethodPut, site+"/club", []byte(`{"public":true}`), jsonHeader).want(200)
	if shown := here.do(http.MethodGet, site+"/estimate", nil).want(200); shown.header.Get("ETag") != first.header.Get("ETag") {
		t.Error("showing a site changed its estimate")
	}

	for _, by := range []*fixture{there, here} {
		before := here.do(http.MethodGet, site+"/estimate", nil).want(200).header.Get("ETag")
		request = change(t, request, "site.elevation_m", len(before)+int(counted.sites.Load()))
		by.do(http.MethodPut, site, request, jsonHeader).want(200)
		now := here.do(http.MethodGet, site+"/estimate", nil, header{"If-None-Match", before}).want(200)
		other := there.do(http.MethodGet, site+"/estimate", nil).want(200)
		if now.header.Get("ETag") == before || !bytes.Equal(now.body, other.body) {
			t.Error("a change is not seen by the instance that had the answer at hand")
		}
	}
	there.do(http.MethodDelete, site, nil).want(204)
	here.do(http.MethodGet, site+"/estimate", nil).problem(missing, "", "there is no site")
}

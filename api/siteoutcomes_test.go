package api

import (
	"context"
	"net/http"
	"strconv"
	"strings"
	"testing"

	"mastworth/openapi"
	"mastworth/storage"
)

// The list of sites tells each one's verdict, odds and energy from what is kept: nothing is worked out or read for it, and what is not
// kept is not told.
func TestListTellsKeptOutcomes(t *testing.T) {
	store, _ := openStore(t)
	count := &counting{Store: store}
	f := newFixture(t, func(o *Options) { o.Store = count })
	body := exampleJSON(t, "MeanWind")
	id := f.savedSite(string(body))
	list := func() (*openapi.SiteOutcome, string) {
		t.Helper()
		before := count.read
		var all openapi.SiteList
		f.do("GET", "/v1/sites", nil).want(200).json(&all)
		text := string(f.do("GET", "/sites", nil).want(200).body)
		if count.read != before || len(all.Sites) != 1 {
			t.Errorf("%d estimates were read for %d sites", count.read-before, len(all.Sites))
		}
		return all.Sites[0].Outcome, text
	}
	if o, text := list(); o != nil || !strings.Contains(text, "not worked out yet") {
		t.Errorf("before there is an estimate: %+v", o)
	}
	var e openapi.Estimate
	f.do("GET", "/v1/sites/"+id+"/estimate", nil).want(200).json(&e)
	o, text := list()
	if o == nil || string(o.Verdict) != string(e.Verdict.Answer) || *o.HubHeightM != *e.BestHubHeightM || !o.Current || o.ComputedAt.IsZero() || o.Chance == nil {
		t.Fatalf("%+v of %+v", o, e.Verdict)
	}
	if o.NetKWh == nil || !strings.Contains(text, "<td>"+strconv.FormatFloat(*o.NetKWh, 'f', 0, 64)+"</td>") || strings.Contains(text, "not worked out yet") {
		t.Errorf("the page does not tell %v kWh: %s", *o.NetKWh, text)
	}
	f.do("PUT", "/v1/sites/"+id, change(t, body, "money.turbine_cost", 1234.0), header{"Content-Type", "application/json"}).want(http.StatusOK)
	if o, _ := list(); o != nil {
		t.Errorf("after a change of the request there still is %+v", o)
	}
	// One of an earlier version says so.
	site, err := store.Site(context.Background(), id)
	if err != nil {
		t.Fatal(err)
	}
	if err := store.SaveEstimate(context.Background(), storage.SavedEstimate{SiteID: id, Key: "old", Body: []byte("{}"), Board: []byte(`{"methods":"old","verdict":"close_call"}`),
		ComputedAt: f.service.now(), Of: site.UpdatedAt}); err != nil {
		t.Fatal(err)
	}
	if o, text := list(); o == nil || o.Current || o.NetKWh != nil || !strings.Contains(text, "by an earlier version") {
		t.Errorf("an earlier one: %+v", o)
	}
}

package api

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"pgregory.net/rapid"

	"mastworth/openapi"
	"mastworth/storage"
)

// show saves a site and shows it.
func (f *fixture) show(body []byte, club string) string {
	f.t.Helper()
	var site openapi.Site
	f.post("/v1/sites", body).want(201).json(&site)
	f.do(http.MethodPut, "/v1/sites/"+site.ID+"/club", []byte(club), header{"Content-Type", "application/json"}).want(200)
	return site.ID
}

// The kept account is the estimate's own numbers, rounded.
func TestDigestIsTheEstimates(t *testing.T) {
	f := newFixture(t)
	id := f.show(exampleJSON(t, "FittedWind"), `{"public":true}`)
	var e openapi.Estimate
	var p openapi.PublicSite
	f.do(http.MethodGet, "/v1/sites/"+id+"/estimate", nil).want(200).json(&e)
	f.do(http.MethodGet, "/v1/club/sites/"+id, nil).want(200).json(&p)
	s := p.Site
	if s.HubHeightM == nil || *s.HubHeightM != *e.BestHubHeightM || string(s.Verdict) != string(e.Verdict.Answer) || s.Currency != "EUR" ||
		s.Machine != "garden 2.4 m" || *s.Place != (openapi.RoundedPlace{Latitude: 52.2, Longitude: -1.4, StepDeg: 0.1}) {
		t.Errorf("%+v", s)
	}
	for _, h := range e.Heights {
		if h.HubHeightM != *e.BestHubHeightM {
			continue
		}
		for what, pair := range map[string][2]float64{"energy": {*s.NetKWh, *h.Energy.NetKWh}, "cost": {*s.CostPerKWh, *h.Cost.PerKWh},
			"sun": {*s.SolarPerKWh, *h.Solar.PerKWh}, "P90": {*s.NetKWhP90, *h.Odds.Life.EnergyKWh.P90}} {
			if math.Abs(pair[0]-pair[1]) > 0.005*pair[1] {
				t.Errorf("%s: shown %g of %g", what, pair[0], pair[1])
			}
		}
		if math.Abs(*s.Chance-h.Odds.BelowBoth.Share) > 0.005+1e-9 {
			t.Errorf("chance: shown %g of %g", *s.Chance, h.Odds.BelowBoth.Share)
		}
	}
}

// Places are rounded to multiples of the step and by no more than half of it; so are digits.
func TestRounding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		deg, step := rapid.Float64Range(-180, 180).Draw(t, "deg"), rapid.SampledFrom([]float64{0.01, 0.05, 0.1, 0.25, 1, 5}).Draw(t, "step")
		r := toStep(deg, step)
		if math.Abs(r-deg) > step/2+1e-9 || math.Abs(r/step-math.Round(r/step)) > 1e-6 {
			t.Fatalf("%g to %g is %g", deg, step, r)
		}
		if len(fmt.Sprint(math.Abs(r))) > 6 {
			t.Fatalf("%g to %g is %v", deg, step, r)
		}
		v, n := rapid.Float64Range(1e-6, 1e9).Draw(t, "v"), rapid.IntRange(1, 4).Draw(t, "n")
		if d := toDigits(v, n); math.Abs(d-v) > 0.5001*math.Pow(10, math.Floor(math.Log10(v))-float64(n-1)) || toDigits(-v, n) != -d {
			t.Fatalf("%g to %d digits is %g", v, n, d)
		}
	})
	// Worked by hand.
	for _, c := range []struct{ v, want float64 }{{1234.5, 1230}, {0.123456, 0.123}, {0.1235, 0.124}, {99.96, 100}, {0, 0}, {7, 7}} {
		if got := toDigits(c.v, 3); math.Abs(got-c.want) > 1e-12*c.want {
			t.Errorf("%g is %g, want %g", c.v, got, c.want)
		}
	}
}

// idleStore fails the test when a board is read more than once for one stamp, or an estimate is opened.
type idleStore struct {
	storage.Store
	boards, entries, estimates, sites atomic.Int64
}

func (s *idleStore) Board(ctx context.Context) ([]storage.BoardEntry, error) {
	s.boards.Add(1)
	return s.Store.Board(ctx)
}

func (s *idleStore) BoardEntry(ctx context.Context, id string) (storage.BoardEntry, error) {
	s.entries.Add(1)
	return s.Store.BoardEntry(ctx, id)
}

func (s *idleStore) Estimate(ctx context.Context, id string) (storage.SavedEstimate, error) {
	s.estimates.Add(1)
	return s.Store.Estimate(ctx, id)
}

func (s *idleStore) Site(ctx context.Context, id string) (storage.Site, error) {
	s.sites.Add(1)
	return s.Store.Site(ctx, id)
}

// Whoever has the latest is told so without anything being read but its state; nor does any answer open an estimate or a request.
func TestUnchangedCostsNothing(t *testing.T) {
	store := &idleStore{}
	f := newFixture(t, func(o *Options) {
		store.Store, _ = openStore(t)
		o.Store = store
	})
	id := f.show(exampleJSON(t, "MeanWind"), `{"public":true,"shown_as":"a"}`)
	tags := map[string]string{}
	before := store.estimates.Load() + store.sites.Load()
	for _, at := range publicAddresses(id) {
		a := f.do(http.MethodGet, at, nil).want(200)
		if tags[at] = a.header.Get("ETag"); tags[at] == "" || a.header.Get("Cache-Control") != "public, max-age=60" {
			t.Errorf("%s: %v", at, a.header)
		}
		for other, tag := range tags {
			if other != at && tag == tags[at] {
				t.Errorf("%s and %s have one ETag", at, other)
			}
		}
	}
	boards := store.boards.Load()
	for at, tag := range tags {
		a := f.do(http.MethodGet, at, nil, header{"If-None-Match", tag}).want(304)
		if len(a.body) > 0 || a.header.Get("ETag") != tag || a.header.Get("Cache-Control") != "public, max-age=60" {
			t.Errorf("%s: %v %s", at, a.header, a.body)
		}
	}
	if n := store.boards.Load(); n != boards || n != 1 {
		t.Errorf("the board was read %d times, then %d times for nothing", boards, n-boards)
	}
	if n := store.estimates.Load() + store.sites.Load() - before; n != 0 {
		t.Errorf("%d requests or estimates were opened", n)
	}
	// What is changed has another tag.
	f.do(http.MethodPut, "/v1/sites/"+id+"/club", []byte(`{"public":true,"shown_as":"b"}`), header{"Content-Type", "application/json"}).want(200)
	for at, tag := range tags {
		if a := f.do(http.MethodGet, at, nil, header{"If-None-Match", tag}).want(200); a.header.Get("ETag") == tag {
			t.Errorf("%s has not changed", at)
		}
	}
}

// An estimate of an earlier version is shown as such until somebody looks at the site; one kept before there were boards gets one.
func TestEarlierVersions(t *testing.T) {
	f := newFixture(t)
	id := f.show(exampleJSON(t, "MeanWind"), `{"public":true}`)
	newer := newFixture(t, func(o *Options) { o.Store, o.Version = f.store, "next" })
	state := func() openapi.BoardSiteState {
		var b openapi.Board
		newer.do(http.MethodGet, "/v1/club/board", nil).want(200).json(&b)
		return b.Sites[0].State
	}
	if s := state(); s != openapi.BoardSiteStateEarlier {
		t.Errorf("it is %s", s)
	}
	newer.do(http.MethodGet, "/club/sites/"+id, nil).want(200)
	if s := state(); s != openapi.BoardSiteStateCurrent {
		t.Errorf("it is %s", s)
	}
	kept, err := f.store.Estimate(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	kept.Board = nil
	if err := f.store.SaveEstimate(t.Context(), kept); err != nil {
		t.Fatal(err)
	}
	newer.do(http.MethodGet, "/v1/club/sites/"+id, nil).want(200)
	if again, err := f.store.Estimate(t.Context(), id); err != nil || again.Board == nil || !bytes.Equal(again.Body, kept.Body) {
		t.Errorf("%s, %v", again.Board, err)
	}
}

// A site that cannot be worked out is shown as not worked out, and why is not told: it would tell of the request.
func TestWhatCannotBeWorkedOut(t *testing.T) {
	f := newFixture(t)
	id := f.show(exampleJSON(t, "MeanWind"), `{"public":true,"shown_as":"a"}`)
	site, err := f.store.Site(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	site.Request = change(t, site.Request, "site.latitude", 1234.5)
	if _, err := f.store.UpdateSite(t.Context(), site); err != nil {
		t.Fatal(err)
	}
	for _, at := range publicAddresses(id) {
		if strings.Contains(at, "/charts/") { // of which there is none
			f.do(http.MethodGet, at, nil).want(404)
			continue
		}
		if a := f.do(http.MethodGet, at, nil).want(200); strings.Contains(string(a.body), "1234.5") || strings.Contains(string(a.body), "latitude must") {
			t.Errorf("%s: %s", at, a.body)
		}
	}
	if !strings.Contains(f.log.String(), "could not be worked out") {
		t.Error("nobody is told why")
	}
}

// Other websites may read and frame what the settings let them.
func TestOtherWebsites(t *testing.T) {
	oneAtATime(t)
	named := newFixture(t, func(o *Options) { o.Club.Origins = []string{"https://club.example.org"} })
	anybody := newFixture(t, func(o *Options) { o.Club.Origins = []string{"*"} })
	nobody := newFixture(t)
	for _, c := range []struct {
		f            *fixture
		at, from     string
		allow, varys string
	}{
		{named, "/v1/club/board", "https://club.example.org", "https://club.example.org", "Origin"},
		{named, "/v1/club/board", "https://other.example.org", "", "Origin"},
		{named, "/v1/club/board", "", "", "Origin"},
		{named, "/v1/sites", "https://club.example.org", "", ""},
		{anybody, "/v1/club/board", "https://other.example.org", "*", ""},
		{anybody, "/club/feed.atom", "", "*", ""},
		{anybody, "/v1/sites", "https://other.example.org", "", ""},
		{anybody, "/club", "https://other.example.org", "", "Cookie"}, // which names the visitor's units
		{nobody, "/v1/club/board", "https://club.example.org", "", ""},
	} {
		var headers []header
		if c.from != "" {
			headers = []header{{"Origin", c.from}}
		}
		a := c.f.do(http.MethodGet, c.at, nil, headers...).want(200)
		if allow, vary := a.header.Get("Access-Control-Allow-Origin"), a.header.Get("Vary"); allow != c.allow || vary != c.varys ||
			a.header.Get("Access-Control-Allow-Credentials") != "" {
			t.Errorf("%s from %q: allowed %q, varies %q", c.at, c.from, allow, vary)
		}
	}
}

// A page's address is taken from the request where no setting has it, but not from a broken one.
func TestHostIsNotTrusted(t *testing.T) {
	f := newFixture(t)
	id := f.show(exampleJSON(t, "MeanWind"), `{"public":true}`)
	for host, want := range map[string]bool{"wind.example.org": true, "wind.example.org:8443": true, "[::1]:80": true, `evil"><script>`: false, "a b": false} {
		r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/club/sites/"+id, nil)
		r.Host = host
		w := httptest.NewRecorder()
		f.ServeHTTP(w, r)
		if has := strings.Contains(w.Body.String(), "http://"+host+"/club/sites/"); w.Code != 200 || has != want || strings.Contains(w.Body.String(), "evil") {
			t.Errorf("%q: %d, %t", host, w.Code, has)
		}
	}
}

// A proxy that brings TLS says so, and is believed where it is named; the club's own word goes before all.
func TestAddressBehindAProxy(t *testing.T) {
	oneAtATime(t)
	for _, c := range []struct{ trusted, peer, said, want string }{
		{"192.0.2.0/24", "192.0.2.1:5", "https", "https://wind.example.org/club/sites/"},
		{"192.0.2.1", "192.0.2.1:5", "HTTPS, http", "https://wind.example.org/club/sites/"},
		{"::1", "[::1]:5", "https", "https://wind.example.org/club/sites/"},
		{"127.0.0.1", "[::ffff:127.0.0.1]:5", "https", "https://wind.example.org/club/sites/"},
		{"192.0.2.1", "192.0.2.1:5", "http", "http://wind.example.org/club/sites/"},
		{"192.0.2.1", "192.0.2.1:5", "", "http://wind.example.org/club/sites/"},
		{"192.0.2.1", "203.0.113.9:5", "https", "http://wind.example.org/club/sites/"},
		{"", "192.0.2.1:5", "https", "http://wind.example.org/club/sites/"},
	} {
		f := newFixture(t, func(o *Options) { o.Access.TrustedProxies = strings.Fields(c.trusted) })
		id := f.show(exampleJSON(t, "MeanWind"), `{"public":true}`)
		r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/club/sites/"+id, nil)
		r.Host, r.RemoteAddr = "wind.example.org", c.peer
		r.Header.Set("X-Forwarded-Proto", c.said)
		w := httptest.NewRecorder()
		f.ServeHTTP(w, r)
		if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), c.want) {
			t.Errorf("%+v: %d", c, w.Code)
		}
	}
}

// The board goes page by page in each order, and every site is on one page only.
func TestBoardPages(t *testing.T) {
	n := 0.0
	known := func(v float64) *float64 { return &v }
	var all []openapi.BoardSite
	for i := range 23 {
		s := openapi.BoardSite{ID: fmt.Sprintf("s%02d", (i*7)%23), Name: fmt.Sprint("n", i%5), Verdict: "worth_it", Currency: []string{"EUR", "USD"}[i%2],
			UpdatedAt: time.Unix(int64(i/2), 0)}
		if i%4 > 0 {
			n++
			s.NetKWh, s.CostPerKWh, s.HubHeightM = known(n), known(1/n), known(10+math.Mod(n, 3))
		}
		all = append(all, s)
	}
	for sort, order := range orders {
		q := boardQuery{sort: sort, limit: 4}
		seen := map[string]bool{}
		var last *openapi.BoardSite
		for {
			sites, total, next := q.choose(all)
			if total != len(all) {
				t.Fatalf("%s: %d in all", sort, total)
			}
			for i := range sites {
				if seen[sites[i].ID] || last != nil && order(last, &sites[i]) > 0 {
					t.Errorf("%s: %s is twice or out of order", sort, sites[i].ID)
				}
				seen[sites[i].ID], last = true, &sites[i]
			}
			if next == nil {
				break
			}
			q.after = *next
		}
		if len(seen) != len(all) {
			t.Errorf("%s: %d of %d", sort, len(seen), len(all))
		}
	}
	q := boardQuery{sort: "name", after: "gone", limit: 4}
	if sites, _, next := q.choose(all); len(sites) != 0 || next != nil {
		t.Error("after a site that is gone there is something")
	}
}

// fullBoard is a store with many public sites.
func fullBoard(tb testing.TB, n int) *fixture {
	f := newFixture(tb)
	id := f.show(exampleJSON(tb, "FittedWind"), `{"public":true,"shown_as":"a garden with a name of some length"}`)
	kept, err := f.store.Estimate(context.Background(), id)
	if err != nil {
		tb.Fatal(err)
	}
	site, err := f.store.Site(context.Background(), id)
	if err != nil {
		tb.Fatal(err)
	}
	for i := range n - 1 {
		site.ID, kept.SiteID = fmt.Sprint(id[:10], i), fmt.Sprint(id[:10], i)
		if _, err := f.store.CreateSite(context.Background(), site); err != nil {
			tb.Fatal(err)
		}
		if err := f.store.SaveEstimate(context.Background(), kept); err != nil {
			tb.Fatal(err)
		}
	}
	return f
}

// Pages weigh little and are quick; see the benchmark for how quick.
func TestClubPagesAreLight(t *testing.T) {
	oneAtATime(t)
	f := fullBoard(t, 250)
	var b openapi.Board
	f.do(http.MethodGet, "/v1/club/board", nil).want(200).json(&b)
	for _, at := range []string{"/club", "/club/sites/" + b.Sites[0].ID, "/club/sites/" + b.Sites[0].ID + "/embed"} {
		began := time.Now()
		a := f.do(http.MethodGet, at, nil).want(200)
		took := time.Since(began)
		t.Logf("%s: %d bytes, %s with its check", at, len(a.body), took)
		if len(a.body) > 150_000 {
			t.Errorf("%s weighs %d bytes", at, len(a.body))
		}
	}
	if a := f.do(http.MethodGet, "/club", nil); !strings.Contains(string(a.body), "after=") {
		t.Error("the board has no next page")
	}
}

func BenchmarkClub(b *testing.B) {
	f := fullBoard(b, 250)
	var list openapi.Board
	f.do(http.MethodGet, "/v1/club/board", nil).want(200).json(&list)
	id := list.Sites[0].ID
	h := New(Options{Store: f.store, Version: "test"})
	for _, at := range []string{"/club", "/club/sites/" + id, "/sites/" + id + "/card.svg", "/v1/club/board", "/club/feed.atom"} {
		for _, with := range []string{"", "unchanged"} {
			b.Run(strings.ReplaceAll(strings.Replace(at, id, "id", 1), "/", "_")+with, func(b *testing.B) {
				r := httptest.NewRequestWithContext(b.Context(), http.MethodGet, at, nil)
				w := httptest.NewRecorder()
				h.ServeHTTP(w, r)
				if with != "" {
					r.Header.Set("If-None-Match", w.Header().Get("ETag"))
				}
				b.ResetTimer()
				for b.Loop() {
					w := httptest.NewRecorder()
					h.ServeHTTP(w, r)
					if w.Code != 200 && w.Code != 304 {
						b.Fatal(w.Body)
					}
				}
			})
		}
	}
}

// A chance is rounded as pages tell it: one under 1 % is not 1 %.
func TestWholeShare(t *testing.T) {
	for share, want := range map[float64]float64{0: 0, 0.0059: 0, 0.01: 0.01, 0.0149: 0.01, 0.036: 0.04, 0.985: 0.99, 0.99: 0.99, 0.994: 1, 1: 1} {
		if got := wholeShare(share); got != want {
			t.Errorf("%g is rounded to %g, want %g", share, got, want)
		}
	}
}

// What is kept for the board can be read back, whatever is in it.
func TestDigestOfNothing(t *testing.T) {
	d := digestOf(&openapi.Estimate{})
	text, err := json.Marshal(d)
	if err != nil || d.HubHeightM != nil || d.NetKWh != nil {
		t.Errorf("%s, %v", text, err)
	}
}

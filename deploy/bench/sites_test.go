package bench

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"mastworth/deploy/ratio"
	"mastworth/storage"
)

// crowd is how many sites the stores hold by turns.
func crowd() (sizes []float64) {
	for sites := 100; sites <= largest(10_000); sites *= 10 {
		sizes = append(sizes, float64(sites))
	}
	return sizes
}

// crowded is a service over a store with so many saved sites, a fifth of them public, all with the same kept estimate.
type crowded struct {
	h    http.Handler
	s    storage.Store
	site string // one in the middle, public
}

var madeAt = time.Date(2025, 3, 1, 0, 0, 0, 0, time.UTC)

// crowdOf fills a store straight, without estimating ten thousand times: one site is saved and estimated by the service, the others
// are copies.
func crowdOf(b *testing.B, s storage.Store, sites int) crowded {
	b.Helper()
	ctx := context.Background()
	h := service(s)
	save := ask{method: http.MethodPost, path: "/v1/sites", body: jsonOf(b, garden(b)), header: json1, want: http.StatusCreated}
	first := strings.TrimPrefix(save.once(b, h).Header().Get("Location"), "/v1/sites/")
	get := ask{method: http.MethodGet, path: "/v1/sites/" + first + "/estimate", header: http.Header{}, want: http.StatusOK}
	get.once(b, h)
	site, err := s.Site(ctx, first)
	if err != nil {
		b.Fatal(err)
	}
	kept, err := s.Estimate(ctx, first)
	if err != nil {
		b.Fatal(err)
	}
	c := crowded{h: h, s: s}
	for i := range sites - 1 {
		copied := site
		copied.ID, copied.Name = fmt.Sprintf("copy-%05d", i), fmt.Sprintf("Garden %d", i)
		copied.CreatedAt = madeAt.Add(time.Duration(i) * time.Minute)
		copied.UpdatedAt = copied.CreatedAt
		copied.Club = storage.Club{Public: i%5 == 0, ChangedAt: copied.CreatedAt}
		if _, err := s.CreateSite(ctx, copied); err != nil {
			b.Fatal(err)
		}
		e := kept
		e.SiteID, e.Of = copied.ID, time.Time{}
		if err := s.SaveEstimate(ctx, e); err != nil {
			b.Fatal(err)
		}
		if copied.Club.Public && i <= sites/2 {
			c.site = copied.ID
		}
	}
	return c
}

// BenchmarkSites is how what a service does grows with the sites in its store.
func BenchmarkSites(b *testing.B) {
	for _, kind := range []string{"sqlite", "postgres"} {
		var all []crowded
		b.Run(kind, func(b *testing.B) {
			for _, n := range crowd() {
				all = append(all, crowdOf(b, stores[kind](b), int(n)))
			}
			for name, of := range asks(b) {
				b.Run(name, func(b *testing.B) {
					var works []func()
					for _, c := range all {
						works = append(works, of(b, c))
					}
					ratio.Growth(b, "sites_exponent", crowd(), works)
				})
			}
		})
	}
}

// asks are what is asked of a crowded service, by name.
func asks(b *testing.B) map[string]func(b *testing.B, c crowded) func() {
	b.Helper()
	garden := garden(b)
	get := func(path string) func(b *testing.B, c crowded) func() {
		return func(b *testing.B, c crowded) func() {
			b.Helper()
			a := ask{method: http.MethodGet, path: strings.ReplaceAll(path, "SITE", c.site), header: http.Header{}, want: http.StatusOK}
			return func() { a.once(b, c.h) }
		}
	}
	return map[string]func(b *testing.B, c crowded) func(){
		"site":        get("/v1/sites/SITE"),
		"estimate":    get("/v1/sites/SITE/estimate"),
		"list":        get("/v1/sites?limit=50"),
		"list_middle": get("/v1/sites?limit=50&after=SITE"),
		"list_page":   get("/sites"),
		"board":       get("/v1/club/board?limit=50"),
		"board_sort":  get("/v1/club/board?limit=50&sort=energy"),
		"board_some":  get("/v1/club/board?limit=50&verdict=not_worth_it"),
		"club_page":   get("/club"),
		"club_site":   get("/club/sites/SITE"),
		"card":        get("/sites/SITE/card.svg"),
		"feed":        get("/club/feed.atom"),
		"save": func(b *testing.B, c crowded) func() {
			b.Helper()
			a := ask{method: http.MethodPost, path: "/v1/sites", body: jsonOf(b, garden), header: json1, want: http.StatusCreated}
			return func() { // what is made goes again, so that the crowd stays as large as it is
				var made struct{ ID string }
				if err := json.Unmarshal(a.once(b, c.h).Body.Bytes(), &made); err != nil {
					b.Fatal(err)
				}
				if err := c.s.DeleteSite(context.Background(), made.ID); err != nil {
					b.Fatal(err)
				}
			}
		},
		"show": func(b *testing.B, c crowded) func() {
			b.Helper()
			a := ask{method: http.MethodPut, path: "/v1/sites/" + c.site + "/club", body: []byte(`{"public":true}`), header: json1, want: http.StatusOK}
			return func() { a.once(b, c.h) }
		},
	}
}

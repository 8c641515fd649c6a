package load

import (
	"fmt"
	"math/rand/v2"
	"net/http"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	vegeta "github.com/tsenart/vegeta/v12/lib"
)

// host is the name all instances go by, as they would behind a proxy.
const host = "wind.example.org"

// kind is a kind of request, and its share of all requests.
type kind struct {
	name  string
	share float64
	make  func(rng *rand.Rand) vegeta.Target // its URL is a path
}

func get(path string) vegeta.Target { return vegeta.Target{Method: http.MethodGet, URL: path} }

// mix is what visitors, members' pages and scripts ask for, mostly to read.
func mix(t *testing.T, f *filled) []kind {
	one := func(ids []string, rng *rand.Rand) string { return ids[rng.IntN(len(ids))] }
	of := func(ids []string, format string) func(*rand.Rand) vegeta.Target {
		return func(rng *rand.Rand) vegeta.Target { return get(fmt.Sprintf(format, one(ids, rng))) }
	}
	among := func(paths ...string) func(*rand.Rand) vegeta.Target {
		return func(rng *rand.Rand) vegeta.Target { return get(one(paths, rng)) }
	}
	charts := []string{"energy-by-height", "speeds", "losses", "power-curves"}
	chart := func(format string) func(*rand.Rand) vegeta.Target {
		return func(rng *rand.Rand) vegeta.Target {
			return get("/sites/" + one(f.sites, rng) + "/charts/" + one(charts, rng) + format)
		}
	}
	// Sixteen documents a kind, so that answers can be compared.
	stateless := func(change func(d document, n int)) func(*rand.Rand) vegeta.Target {
		bodies := make([][]byte, 16)
		for n := range bodies {
			d := garden(8*n+1, "") // none of them a design
			change(d, n)
			bodies[n] = jsonOf(t, d)
		}
		return func(rng *rand.Rand) vegeta.Target {
			return vegeta.Target{Method: http.MethodPost, URL: "/v1/estimates", Body: bodies[rng.IntN(len(bodies))],
				Header: http.Header{"Content-Type": {"application/json"}}}
		}
	}
	return []kind{
		{"site", 0.15, of(f.sites, "/v1/sites/%s")},
		{"estimate, kept", 0.20, of(f.sites, "/v1/sites/%s/estimate")},
		{"estimate, known to the client", 0.20, func(rng *rand.Rand) vegeta.Target {
			n := rng.IntN(len(f.sites))
			known := get("/v1/sites/" + f.sites[n] + "/estimate")
			known.Header = http.Header{"If-None-Match": {f.tags[n]}}
			return known
		}},
		{"list of sites", 0.04, among("/v1/sites", "/v1/sites?limit=20", "/v1/sites?limit=200")},
		{"page of sites", 0.02, among("/sites")},
		{"board", 0.06, among("/v1/club/board", "/v1/club/board?sort=energy", "/v1/club/board?sort=cost&limit=10")},
		{"page of the board", 0.04, among("/club", "/club?sort=cost")},
		{"card", 0.07, of(f.public, "/sites/%s/card.svg")},
		{"page of a public site", 0.03, of(f.public, "/club/sites/%s")},
		{"page of a result", 0.06, of(f.sites, "/sites/%s")},
		{"chart, SVG", 0.04, chart(".svg")},
		{"chart, PNG", 0.01, chart(".png")},
		{"page of a record", 0.01, of(f.records, "/v1/records/%s")},
		{"new estimate, no draws", 0.03, stateless(func(d document, _ int) { d["uncertainty"] = document{"draws": 0} })},
		{"new estimate, 1000 draws", 0.02, stateless(func(d document, _ int) { d["uncertainty"] = document{"draws": 1000} })},
		{"new estimate, 12 heights", 0.01, stateless(func(d document, _ int) {
			var towers []document
			for h := 9.0; h <= 42; h += 3 {
				towers = append(towers, document{"hub_height_m": h, "cost": 40*h + 2.2*h*h})
			}
			d["towers"], d["uncertainty"] = towers, document{"draws": 1000}
		})},
		{"new estimate over a record", 0.01, stateless(func(d document, n int) {
			d["wind"] = document{"record": document{"id": f.records[n%len(f.records)]}}
		})},
	}
}

// outcome is what came of one kind of request.
type outcome struct {
	kind string
	vegeta.Metrics
}

// attack makes requests of every kind at its share of a rate, of all instances by turns, for as long as is said. Each kind keeps to
// its own rate, so that a slow one does not hold up the others. No kind has more than mostWaiting requests out at once.
func attack(client *http.Client, bases []string, kinds []kind, rate float64, lasts time.Duration) []outcome {
	const mostWaiting = 64
	var turn atomic.Uint64
	all := make([]outcome, len(kinds))
	var under sync.WaitGroup
	for i, k := range kinds {
		under.Go(func() {
			all[i].kind = k.name
			var mu sync.Mutex
			rng := rand.New(rand.NewPCG(uint64(i), 13))
			next := func(target *vegeta.Target) error {
				mu.Lock()
				defer mu.Unlock()
				*target = k.make(rng)
				target.URL = bases[turn.Add(1)%uint64(len(bases))] + target.URL
				h := target.Header.Clone()
				if h == nil {
					h = http.Header{}
				}
				h.Set("Host", host)
				target.Header = h
				return nil
			}
			attacker := vegeta.NewAttacker(vegeta.Client(client), vegeta.Workers(2), vegeta.MaxWorkers(mostWaiting))
			pace := vegeta.Rate{Freq: int(max(1, 60*rate*k.share)), Per: time.Minute}
			for result := range attacker.Attack(next, pace, lasts, k.name) {
				all[i].Add(result)
			}
			all[i].Close()
		})
	}
	under.Wait()
	return all
}

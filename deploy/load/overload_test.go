package load

import (
	"math/rand/v2"
	"net/http"
	"path/filepath"
	"testing"
	"time"

	vegeta "github.com/tsenart/vegeta/v12/lib"
)

// More heavy work than there is room for is refused in time, each with a word on when to come back, while reading goes on; and when it
// is over, it is over.
func TestOverload(t *testing.T) {
	if testing.Short() {
		t.Skip("loads take their time")
	}
	lasts := lasting(t, "MASTWORTH_LOAD", 2*time.Second, 6*time.Second)
	i := start(t, filepath.Join(t.TempDir(), "load.db"), unlimited, "--heavy-jobs", "1")
	site, err := post(t, i.base+"/v1/sites", "application/json", jsonOf(t, garden(1, "")))
	if err != nil {
		t.Fatal(err)
	}
	estimate := func(change func(d document)) func(*rand.Rand) vegeta.Target {
		d := garden(3, "")
		change(d)
		body := jsonOf(t, d)
		return func(*rand.Rand) vegeta.Target {
			return vegeta.Target{Method: http.MethodPost, URL: "/v1/estimates", Body: body, Header: http.Header{"Content-Type": {"application/json"}}}
		}
	}
	draws := estimate(func(d document) {
		d["towers"] = document{"from_m": 10, "to_m": 25, "step_m": 5, "cost_per_m": 80}
		d["uncertainty"] = document{"draws": 100_000}
	})
	client, agreed := checked(256)
	defer client.CloseIdleConnections() // a connection that was never used holds up the service's end
	kinds := []kind{
		{"estimate with a sweep of a design", 20, estimate(func(d document) {
			m := machine(0, rand.New(rand.NewPCG(1, 1)))
			m["design"].(document)["sweep"] = document{"gear_ratios": []string{"1:2", "1:3", "1:4"}, "battery_volts_v": []float64{12.5, 25}}
			d["turbine"] = m
		})},
		{"estimate with all the draws there may be", 40, draws},
		{"site", 30, func(*rand.Rand) vegeta.Target { return get("/v1/sites/" + site) }},
		{"whether it is alive", 10, func(*rand.Rand) vegeta.Target { return get("/livez") }},
	}
	outcomes := attack(client, []string{i.base}, kinds, 1, lasts)
	report(t, outcomes)
	t.Logf("refused with a time to come back: %v; memory %.0f MB at most", agreed.refused, i.peak())
	for _, fault := range agreed.faults {
		t.Error(fault)
	}
	if agreed.refused[http.StatusServiceUnavailable] == 0 {
		t.Error("nothing was refused: it was no overload")
	}
	heavy, light := outcomes[:2], outcomes[2:]
	for _, o := range heavy {
		if o.StatusCodes["200"] == 0 {
			t.Errorf("%s: none was answered", o.kind)
		}
		if longest := 10 * time.Second; o.Latencies.Max > longest {
			t.Errorf("%s: one was kept for %s, longer than %s", o.kind, o.Latencies.Max, longest)
		}
	}
	for _, o := range light {
		if o.StatusCodes["200"] != int(o.Requests) {
			t.Errorf("%s: %v of %d while others overload the service", o.kind, o.StatusCodes, o.Requests)
		}
		if o.Latencies.P50 > time.Second {
			t.Errorf("%s: half of them take longer than %s while others overload the service", o.kind, o.Latencies.P50)
		}
	}
	if most := 400.0; i.peak() > most {
		t.Errorf("the service held %.0f MB, more than %.0f", i.peak(), most)
	}
	began := time.Now()
	target := draws(nil)
	got, err := send(t, http.MethodPost, i.base+target.URL, "application/json", target.Body)
	if err != nil || got.status != http.StatusOK {
		t.Errorf("once it is over: %d, %v", got.status, err)
	}
	t.Logf("once it was over, the same took %s", time.Since(began).Round(time.Millisecond))
}

// A caller has its rate, in the long run, and is told when to come back beyond it.
func TestRate(t *testing.T) {
	if testing.Short() {
		t.Skip("loads take their time")
	}
	const allowed, atOnce, lasts = 20, 40, 3
	i := start(t, filepath.Join(t.TempDir(), "load.db"), "--requests-per-second=20")
	client, agreed := checked(connections)
	defer client.CloseIdleConnections() // a connection that was never used holds up the service's end
	outcomes := attack(client, []string{i.base}, []kind{{"list of sites", 1, func(*rand.Rand) vegeta.Target { return get("/v1/sites") }}}, 100, lasts*time.Second)
	report(t, outcomes)
	for _, fault := range agreed.faults {
		t.Error(fault)
	}
	// The last requests may go out a little late.
	got, want := outcomes[0].StatusCodes["200"], atOnce+allowed*lasts
	if refused := agreed.refused[http.StatusTooManyRequests]; got < want*3/4 || got > want*5/4 || got+refused != int(outcomes[0].Requests) {
		t.Errorf("of %d requests in %d s %d were answered and %d refused, want some %d answered", outcomes[0].Requests, lasts, got, refused, want)
	}
}

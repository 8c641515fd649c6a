package load

import (
	"context"
	"math/rand/v2"
	"net/http"
	"sync"
	"testing"
	"time"

	"mastworth/storage/postgres/postgrestest"
)

// Clients that go away before their answer is there leave nothing behind: no goroutine, no connection, no turn at heavy work, and no
// line in the log that somebody would have to read.
func TestClientsGone(t *testing.T) {
	if testing.Short() {
		t.Skip("loads take their time")
	}
	lasts := lasting(t, "MASTWORTH_LOAD", 2*time.Second, 5*time.Second)
	all := []*instance{start(t, postgrestest.Database(t), unlimited)}
	f := fill(t, all)
	kinds := mix(t, &f)
	client, _ := checked(connections)
	plain := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: connections, MaxConnsPerHost: connections}}
	attack(client, []string{all[0].base}, kinds, usualRate, time.Second)
	client.CloseIdleConnections()
	before := all[0].settled(t)

	ctx, stop := context.WithTimeout(t.Context(), lasts)
	defer stop()
	var impatient sync.WaitGroup
	counts := make([]int, 8)
	for n := range counts {
		impatient.Go(func() {
			rng := rand.New(rand.NewPCG(uint64(n), 17))
			for ctx.Err() == nil {
				target := kinds[rng.IntN(len(kinds))].make(rng)
				target.URL = all[0].base + target.URL
				if goAway(ctx, plain, target.Request, time.Duration(rng.IntN(12_000))*time.Microsecond) {
					counts[n]++
				}
			}
		})
	}
	impatient.Wait()
	plain.CloseIdleConnections()
	gone := 0
	for _, n := range counts {
		gone += n
	}
	after := all[0].settled(t)
	t.Logf("%d clients went away; goroutines %.0f before and %.0f after, files %.0f and %.0f, memory %.0f and %.0f MB", gone, before.goroutines,
		after.goroutines, before.files, after.files, before.rss, after.rss)
	if gone < 50 {
		t.Errorf("%d clients went away: too few to tell", gone)
	}
	if after.goroutines > before.goroutines+8 || after.files > before.files+8 {
		t.Error("something is left behind")
	}
	outcomes := attack(client, []string{all[0].base}, kinds, usualRate, time.Second)
	for _, o := range outcomes {
		if o.StatusCodes["200"]+o.StatusCodes["304"] != int(o.Requests) {
			t.Errorf("%s, afterwards: %v", o.kind, o.StatusCodes)
		}
	}
	client.CloseIdleConnections()
}

// goAway makes a request and goes away after a while; false where the answer came first.
func goAway(ctx context.Context, client *http.Client, make func() (*http.Request, error), after time.Duration) bool {
	request, err := make()
	if err != nil {
		return false
	}
	ctx, cancel := context.WithTimeout(ctx, after)
	defer cancel()
	response, err := client.Do(request.WithContext(ctx))
	if err != nil {
		return true
	}
	defer response.Body.Close()
	<-ctx.Done() // the body is left where it is
	return true
}

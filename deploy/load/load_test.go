package load

import (
	"context"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"text/tabwriter"
	"time"

	"mastworth/storage/postgres/postgrestest"
)

// unlimited switches the callers' rate off: all of the load comes from one address.
const unlimited = "--requests-per-second=0"

// connections is how many clients keep to each instance.
const connections = 24

// mostPooledFiles is what a store may keep open for the next who ask: eight connections that read, with two files each where it is a
// file. What is left open by mistake is left once a request, a hundred times as often.
const mostPooledFiles = 16

// Two instances over one PostgreSQL answer a mix of everything without an error, alike to the byte.
func TestLoadPostgres(t *testing.T) {
	lasts := lasting(t, "MASTWORTH_LOAD", 3*time.Second, 10*time.Second)
	url := postgrestest.Database(t)
	run(t, []*instance{start(t, url, unlimited), start(t, url, unlimited)}, lasts, nil)
}

// So does one over a SQLite file.
func TestLoadSQLite(t *testing.T) {
	lasts := lasting(t, "MASTWORTH_LOAD", 3*time.Second, 10*time.Second)
	run(t, []*instance{start(t, filepath.Join(t.TempDir(), "load.db"), unlimited)}, lasts, nil)
}

// run fills the instances' store and loads them for as long as is said. It fails on any answer that is wrong, on whatever is left
// behind once the clients have gone, and gives what was seen of each instance meanwhile. beside goes on all the while, if it is given,
// and may change what lists tell.
func run(t *testing.T, all []*instance, lasts time.Duration, beside func(ctx context.Context)) [][]sample {
	t.Helper()
	if testing.Short() {
		t.Skip("loads take their time")
	}
	began := time.Now()
	f := fill(t, all)
	t.Logf("%d gardens, %d records: filled in %s", len(f.sites), len(f.records), time.Since(began).Round(time.Millisecond))
	client, agreed := checked(connections)
	agreed.listsChange = beside != nil
	kinds := mix(t, &f)
	var bases []string
	for _, i := range all {
		bases = append(bases, i.base)
	}

	// A second of it opens the databases' connections and fills the caches.
	attack(client, bases, kinds, askedRate(t), time.Second)
	client.CloseIdleConnections()
	before := make([]sample, len(all))
	for i, instance := range all {
		before[i] = instance.settled(t)
	}
	seen, outcomes := underWatch(t, all, lasts, func(ctx context.Context) []outcome {
		ctx, stop := context.WithCancel(ctx)
		var going sync.WaitGroup
		if beside != nil {
			going.Go(func() { beside(ctx) })
		}
		defer going.Wait()
		defer stop()
		return attack(client, bases, kinds, askedRate(t), lasts)
	})
	client.CloseIdleConnections()

	report(t, outcomes)
	for i, instance := range all {
		after := instance.settled(t)
		t.Logf("instance %d: memory %.0f MB before, %.0f after, %.0f at most; goroutines %.0f and %.0f; files %.0f and %.0f", i+1,
			before[i].rss, after.rss, instance.peak(), before[i].goroutines, after.goroutines, before[i].files, after.files)
		if more := after.goroutines - before[i].goroutines; more > 8 {
			t.Errorf("instance %d: %.0f goroutines are left behind", i+1, more)
		}
		if more := after.files - before[i].files; more > mostPooledFiles {
			t.Errorf("instance %d: %.0f files are left open", i+1, more)
		}
	}
	t.Logf("%d answers were those given before; refused with a time to come back: %v", agreed.compared, agreed.refused)
	for _, fault := range agreed.faults {
		t.Error(fault)
	}
	if agreed.compared < 100 {
		t.Errorf("%d answers were compared: too few to tell", agreed.compared)
	}
	return seen
}

// underWatch looks at all instances while f runs.
func underWatch(t *testing.T, all []*instance, lasts time.Duration, f func(ctx context.Context) []outcome) ([][]sample, []outcome) {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	seen := make([][]sample, len(all))
	var watching sync.WaitGroup
	for i, instance := range all {
		watching.Go(func() {
			var err error
			if seen[i], err = instance.watch(ctx, max(lasts/200, 250*time.Millisecond)); err != nil {
				t.Errorf("instance %d does not tell of itself: %v", i+1, err)
			}
		})
	}
	outcomes := f(ctx)
	stop()
	watching.Wait()
	return seen, outcomes
}

// report prints what came of the load, by kind of request.
func report(t *testing.T, outcomes []outcome) {
	t.Helper()
	var text strings.Builder
	w := tabwriter.NewWriter(&text, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintf(w, "requests\ta second\tmedian\t99 %%\tlongest\tkB\tstatuses\t  kind\n") //nolint:errcheck // a builder takes everything
	ms := func(d time.Duration) string { return fmt.Sprintf("%.1f ms", d.Seconds()*1e3) }
	sent, rate := uint64(0), 0.0
	for _, o := range outcomes {
		sent += o.Requests
		rate += o.Throughput
		var statuses []string
		for _, code := range slices.Sorted(maps.Keys(o.StatusCodes)) {
			statuses = append(statuses, fmt.Sprintf("%s×%d", code, o.StatusCodes[code]))
		}
		fmt.Fprintf(w, "%d\t%.1f\t%s\t%s\t%s\t%.1f\t%s\t  %s\n", o.Requests, o.Throughput, ms(o.Latencies.P50), ms(o.Latencies.P99), //nolint:errcheck // as above
			ms(o.Latencies.Max), o.BytesIn.Mean/1e3, strings.Join(statuses, " "), o.kind)
	}
	if err := w.Flush(); err != nil {
		t.Error(err)
	}
	t.Logf("%d requests, %.1f a second:\n%s", sent, rate, text.String())
}

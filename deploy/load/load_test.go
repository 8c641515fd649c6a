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

	"gonum.org/v1/gonum/stat"

	"mastworth/storage/postgres/postgrestest"
)

// unlimited switches the callers' rate off: all of the load comes from one address.
const unlimited = "--requests-per-second=0"

// Two instances over one PostgreSQL answer a mix of everything without an error, alike to the byte.
func TestLoadPostgres(t *testing.T) {
	lasts := lasting(t, "MASTWORTH_LOAD", 3*time.Second, 10*time.Second)
	url := postgrestest.Database(t)
	run(t, []*instance{start(t, url, unlimited), start(t, url, unlimited)}, lasts)
}

// So does one over a SQLite file.
func TestLoadSQLite(t *testing.T) {
	lasts := lasting(t, "MASTWORTH_LOAD", 3*time.Second, 10*time.Second)
	run(t, []*instance{start(t, filepath.Join(t.TempDir(), "load.db"), unlimited)}, lasts)
}

// For however long it goes on, memory, goroutines and files stay what they are.
func TestSoak(t *testing.T) {
	lasts := lasting(t, "MASTWORTH_SOAK", 0, 20*time.Second)
	if lasts == 0 {
		t.Skip("set MASTWORTH_SOAK to how long, such as 10m")
	}
	url := postgrestest.Database(t)
	seen := run(t, []*instance{start(t, url, unlimited), start(t, url, unlimited)}, lasts)
	for i, samples := range seen {
		isFlat(t, fmt.Sprintf("instance %d", i+1), samples)
	}
}

// run fills the instances' store and loads them for as long as is said. It fails on any answer that is wrong, on whatever is left
// behind once the clients have gone, and gives what was seen of each instance meanwhile.
func run(t *testing.T, all []*instance, lasts time.Duration) [][]sample {
	t.Helper()
	if testing.Short() {
		t.Skip("loads take their time")
	}
	began := time.Now()
	f := fill(t, all)
	t.Logf("%d gardens, %d records: filled in %s", len(f.sites), len(f.records), time.Since(began).Round(time.Millisecond))
	client, agreed := checked()
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
	seen, outcomes := underWatch(t, all, lasts, func() []outcome { return attack(client, bases, kinds, askedRate(t), lasts) })
	client.CloseIdleConnections()

	report(t, outcomes)
	for i, instance := range all {
		after := instance.settled(t)
		t.Logf("instance %d: memory %.0f MB before, %.0f after, %.0f at most; goroutines %.0f and %.0f; files %.0f and %.0f", i+1,
			before[i].rss, after.rss, instance.peak(), before[i].goroutines, after.goroutines, before[i].files, after.files)
		if more := after.goroutines - before[i].goroutines; more > 8 {
			t.Errorf("instance %d: %.0f goroutines are left behind", i+1, more)
		}
		if more := after.files - before[i].files; more > 8 {
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
func underWatch(t *testing.T, all []*instance, lasts time.Duration, f func() []outcome) ([][]sample, []outcome) {
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
	outcomes := f()
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

// isFlat fails where something grows. The first third is for caches to fill and the collector to find its pace; what the
// straight line through the rest rises by, from its beginning to its end, is what grew.
func isFlat(t *testing.T, who string, samples []sample) {
	t.Helper()
	samples = samples[len(samples)/3:]
	if len(samples) < 10 {
		t.Fatalf("%s: %d samples are too few to tell", who, len(samples))
	}
	from, to := samples[0].at, samples[len(samples)-1].at
	for _, q := range []struct {
		what    string
		of      func(sample) float64
		least   float64 // growth that may be chance
		portion float64 // of the mean, that may be chance too
	}{
		{"memory, MB", func(s sample) float64 { return s.rss }, 24, 0.15},
		{"heap, MB", func(s sample) float64 { return s.heap }, 24, 0.25},
		{"goroutines", func(s sample) float64 { return s.goroutines }, 20, 0.2},
		{"files", func(s sample) float64 { return s.files }, 20, 0.2},
	} {
		var x, y []float64
		for _, s := range samples {
			x = append(x, s.at.Sub(from).Seconds())
			y = append(y, q.of(s))
		}
		_, slope := stat.LinearRegression(x, y, nil, false)
		mean, grew := stat.Mean(y, nil), slope*to.Sub(from).Seconds()
		t.Logf("%s, %s: mean %.1f, from %.1f to %.1f; the line rises by %.2f in %s, %.2f an hour", who, q.what, mean, slices.Min(y), slices.Max(y), grew,
			to.Sub(from).Round(time.Second), slope*3600)
		if grew > max(q.least, q.portion*mean) {
			t.Errorf("%s: %s grows by %.1f in %s, from a mean of %.1f", who, q.what, grew, to.Sub(from).Round(time.Second), mean)
		}
	}
}

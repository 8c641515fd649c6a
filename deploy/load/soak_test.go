package load

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat"

	"mastworth/storage/postgres/postgrestest"
)

// For however long it goes on, memory, goroutines and files stay what they are.
func TestSoak(t *testing.T) {
	lasts := lasting(t, "MASTWORTH_SOAK", 0, 20*time.Second)
	if lasts == 0 {
		t.Skip("set MASTWORTH_SOAK to how long, such as 10m")
	}
	url := postgrestest.Database(t)
	// A small cache is full early on.
	all := []*instance{start(t, url, unlimited, "--cache-mb=4"), start(t, url, unlimited, "--cache-mb=4")}
	comings := 0
	seen := run(t, all, lasts, func(ctx context.Context) { comings = comeAndGo(ctx, t, all) })
	t.Logf("%d gardens came and went meanwhile, and a record with every tenth", comings)
	for i, samples := range seen {
		isFlat(t, fmt.Sprintf("instance %d", i+1), samples)
	}
}

// comeAndGo saves gardens, some with a record of their own, has them estimated and drawn by the next instance, and deletes them again,
// until ctx is done. It gives how many it was.
func comeAndGo(ctx context.Context, t *testing.T, all []*instance) int {
	tick := time.NewTicker(250 * time.Millisecond)
	defer tick.Stop()
	// Two months are enough of a record.
	lines := bytes.SplitAfterN(logged(1), []byte("\n"), 24*60+2)
	file := bytes.Join(lines[:len(lines)-1], nil)
	for n := 0; ; n++ {
		if err := comeOnce(t, all[n%len(all)].base, all[(n+1)%len(all)].base, n, file); err != nil {
			t.Errorf("coming and going: %v", err)
			return n
		}
		select {
		case <-tick.C:
		case <-ctx.Done():
			return n
		}
	}
}

func comeOnce(t *testing.T, here, there string, n int, file []byte) (err error) {
	record := ""
	if n%10 == 0 {
		if record, err = post(t, here+"/v1/records?name=visitor.csv", "text/csv", file); err != nil {
			return err
		}
	}
	site, err := post(t, here+"/v1/sites", "application/json", jsonOf(t, garden(1000+n, record)))
	if err != nil {
		return err
	}
	type step struct {
		method, address string
		want            int
	}
	steps := []step{{http.MethodGet, there + "/v1/sites/" + site + "/estimate", http.StatusOK}, {http.MethodGet, here + "/sites/" + site, http.StatusOK}}
	if record != "" {
		steps = append(steps, step{http.MethodGet, there + "/records/" + record, http.StatusOK},
			step{http.MethodGet, there + "/v1/records/" + record + "/samples?format=csv", http.StatusOK})
	}
	steps = append(steps, step{http.MethodDelete, there + "/v1/sites/" + site, http.StatusNoContent})
	if record != "" {
		steps = append(steps, step{http.MethodDelete, here + "/v1/records/" + record, http.StatusNoContent})
	}
	steps = append(steps, step{http.MethodGet, here + "/v1/sites/" + site, http.StatusNotFound})
	for _, s := range steps {
		got, err := send(t, s.method, s.address, "", nil)
		if err != nil {
			return err
		}
		if got.status != s.want {
			return fmt.Errorf("%s %s: %d, want %d: %.300s", s.method, s.address, got.status, s.want, got.body)
		}
	}
	return nil
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
		// Two and one for a connection, which clients open when they first have to wait.
		{"goroutines", func(s sample) float64 { return s.goroutines }, 2*connections + 8, 0.1},
		{"files", func(s sample) float64 { return s.files }, connections + 8, 0.1},
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

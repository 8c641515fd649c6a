package load

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"os"
	"strconv"
	"testing"
	"time"

	"mastworth/deploy/running"
)

// instance is a running service that is looked at.
type instance struct {
	*running.Instance
	base string // http://127.0.0.1:PORT
}

// start runs the club's service over a database.
func start(t *testing.T, database string, more ...string) *instance {
	t.Helper()
	i := running.Start(t, database, append([]string{"--club-name", "Windward Hill"}, more...)...)
	return &instance{Instance: i, base: i.Base}
}

// sample is what an instance holds at a moment.
type sample struct {
	at         time.Time
	rss        float64 // MB
	heap       float64 // MB in use
	files      float64
	goroutines float64
}

const megabyte = 1 << 20

// look reads what the instance tells of itself.
func (i *instance) look(ctx context.Context) (sample, error) {
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, i.base+"/metrics", nil)
	if err != nil {
		return sample{}, err
	}
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		return sample{}, err
	}
	defer response.Body.Close()
	text, err := io.ReadAll(response.Body)
	if err != nil || response.StatusCode != http.StatusOK {
		return sample{}, fmt.Errorf("/metrics: %s, %w", response.Status, err)
	}
	s := sample{at: time.Now()}
	for name, into := range map[string]*float64{"process_resident_memory_bytes": &s.rss, "go_memstats_heap_inuse_bytes": &s.heap,
		"process_open_fds": &s.files, "go_goroutines": &s.goroutines} {
		if *into, err = metric(text, name); err != nil {
			return s, err
		}
	}
	s.rss /= megabyte
	s.heap /= megabyte
	return s, nil
}

// metric is the value of one that has no labels.
func metric(text []byte, name string) (float64, error) {
	for line := range bytes.Lines(text) {
		if rest, ok := bytes.CutPrefix(line, []byte(name+" ")); ok {
			return strconv.ParseFloat(string(bytes.TrimSpace(rest)), 64)
		}
	}
	return 0, fmt.Errorf("/metrics does not tell %s", name)
}

// peak is the most memory the instance ever held, MB; 0 where the system does not tell.
func (i *instance) peak() float64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", i.PID))
	if err != nil {
		return 0
	}
	for line := range bytes.Lines(text) {
		if rest, ok := bytes.CutPrefix(line, []byte("VmHWM:")); ok {
			kB, err := strconv.ParseFloat(string(bytes.TrimSpace(bytes.TrimSuffix(bytes.TrimSpace(rest), []byte("kB")))), 64)
			if err == nil {
				return kB / 1024
			}
		}
	}
	return 0
}

// watch looks at an instance again and again until ctx is done. A look that fails while others can be had is told.
func (i *instance) watch(ctx context.Context, every time.Duration) (all []sample, err error) {
	tick := time.NewTicker(every)
	defer tick.Stop()
	for {
		s, err := i.look(ctx)
		switch {
		case ctx.Err() != nil:
			return all, nil
		case err != nil:
			return all, err
		}
		all = append(all, s)
		select {
		case <-tick.C:
		case <-ctx.Done():
			return all, nil
		}
	}
}

// settled looks at an instance once its clients have gone, when what served them has gone too: when nothing has changed for a
// while, or after half a minute: work that several shared goes on without them.
func (i *instance) settled(t *testing.T) sample {
	t.Helper()
	const looks = 5
	var last sample
	for began, same := time.Now(), 0; ; time.Sleep(100 * time.Millisecond) {
		s, err := i.look(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if same++; s.goroutines != last.goroutines || s.files != last.files {
			same = 0
		}
		if last = s; same >= looks || time.Since(began) > 30*time.Second {
			return s
		}
	}
}

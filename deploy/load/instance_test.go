package load

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// instance is a running service.
type instance struct {
	base string // http://127.0.0.1:PORT
	cmd  *exec.Cmd
	log  *journal
	rest chan error // how it ended
}

// journal keeps what a service says that is not the usual: everything but the lines of level INFO, and of those the last.
type journal struct {
	mu      sync.Mutex
	unusual []string
}

const mostUnusual = 50

func (j *journal) read(r io.Reader) {
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		line := lines.Text()
		if strings.Contains(line, "level=INFO") || strings.Contains(line, `"level":"INFO"`) {
			continue
		}
		j.mu.Lock()
		if len(j.unusual) < mostUnusual {
			j.unusual = append(j.unusual, line)
		}
		j.mu.Unlock()
	}
}

func (j *journal) lines() []string {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.unusual
}

// start runs the service over a database and waits until it is ready. It is stopped when the test ends, has to end well then, and
// must have warned of nothing.
func start(t *testing.T, database string, more ...string) *instance {
	t.Helper()
	arguments := append([]string{"serve", "--listen", "127.0.0.1:0", "--database", database, "--club-name", "Windward Hill"}, more...)
	cmd := tied(exec.CommandContext(context.Background(), binary(t), arguments...))
	cmd.Dir = t.TempDir()
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	said, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	i := &instance{cmd: cmd, log: &journal{}, rest: make(chan error, 1)}
	var reading sync.WaitGroup
	reading.Go(func() { i.log.read(said) })
	first := bufio.NewReader(out)
	line, err := first.ReadString('\n')
	if _, at, ok := strings.Cut(line, " listens on "); ok {
		i.base = strings.TrimSpace(at)
	}
	reading.Go(func() { _, _ = io.Copy(io.Discard, first) }) // it ends with the process
	go func() {
		reading.Wait() // Wait closes the pipes
		i.rest <- cmd.Wait()
	}()
	t.Cleanup(func() { i.stop(t) })
	if i.base == "" {
		t.Fatalf("the service does not say where it listens: %q, %v, %q", line, err, i.log.lines())
	}
	return i
}

// stop asks the service to end.
func (i *instance) stop(t *testing.T) {
	t.Helper()
	if err := i.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Errorf("the service had ended by itself: %v", err)
	}
	select {
	case err := <-i.rest:
		if err != nil {
			t.Errorf("the service ended badly: %v", err)
		}
	case <-time.After(30 * time.Second):
		t.Error("the service did not end when it was asked to")
		_ = i.cmd.Process.Kill() // it is gone then
		<-i.rest
	}
	if u := i.log.lines(); len(u) > 0 {
		t.Errorf("the service said, and should not have had to:\n%s", strings.Join(u, "\n"))
	}
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
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", i.cmd.Process.Pid))
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
// while, or after some seconds.
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
		if last = s; same >= looks || time.Since(began) > 5*time.Second {
			return s
		}
	}
}

// Package footprint holds the built program to what a small computer in a shed can bear: how large it is, how fast it starts, and
// how much memory it takes while nobody asks it for anything.
package footprint

import (
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"mastworth/deploy/running"
)

const (
	mostBytes  = 45_000_000
	mostStart  = 100 * time.Millisecond
	mostMemory = 40_000_000 // bytes, resident
	tries      = 5          // the best of them counts: others may want the machine too
)

func TestMain(m *testing.M) {
	code := m.Run()
	if err := running.CleanUp(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = max(code, 1)
	}
	os.Exit(code)
}

func TestSize(t *testing.T) {
	info, err := os.Stat(running.Program(t))
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%.1f MB for %s/%s", float64(info.Size())/1e6, runtime.GOOS, runtime.GOARCH)
	if info.Size() >= mostBytes {
		t.Errorf("the program has %d bytes; below %d are wanted (go tool nm -size -sort size tells what weighs)", info.Size(), mostBytes)
	}
}

// From the start of the process to the first answer, over a database that is not there yet.
func TestColdStart(t *testing.T) {
	running.Program(t)
	best := time.Hour
	for range tries {
		took, _ := started(t)
		best = min(best, took)
	}
	t.Logf("%s to the first answer", best.Round(time.Millisecond))
	if best >= mostStart {
		t.Errorf("the first answer came after %s; %s are allowed", best, mostStart)
	}
}

func TestIdleMemory(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("reads /proc")
	}
	running.Program(t)
	_, i := started(t)
	time.Sleep(2 * time.Second)
	held := resident(t, i.PID)
	t.Logf("%.1f MB resident", held/1e6)
	if held >= mostMemory {
		t.Errorf("%.1f MB are held by a service that has nothing to do; %.0f MB are allowed", held/1e6, mostMemory/1e6)
	}
}

// started runs the service over a new database and tells how long it took until it answered.
func started(t *testing.T) (time.Duration, *running.Instance) {
	t.Helper()
	database := filepath.Join(t.TempDir(), "new.db")
	began := time.Now()
	i := running.Start(t, database)
	response, err := http.Get(i.Base + "/livez")
	if err != nil {
		t.Fatal(err)
	}
	took := time.Since(began)
	defer response.Body.Close()
	if _, err := io.Copy(io.Discard, response.Body); err != nil || response.StatusCode != http.StatusOK {
		t.Fatalf("/livez: %s, %v", response.Status, err)
	}
	return took, i
}

// resident is how much memory of the machine a process takes, bytes.
func resident(t *testing.T, pid int) float64 {
	t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		if rest, ok := strings.CutPrefix(line, "VmRSS:"); ok {
			kB, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(rest), " kB"), 64)
			if err != nil {
				t.Fatal(err)
			}
			return kB * 1024
		}
	}
	t.Fatal("/proc does not tell the memory of the process")
	return 0
}

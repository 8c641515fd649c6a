package bench

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"mastworth/api"
	"mastworth/storage/sqlite"
)

// Importing a million rows must fit a small computer: under 150 MB of heap at its highest, the file not held.
func TestImportMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes its time")
	}
	path := filepath.Join(t.TempDir(), "logger.csv")
	if err := os.WriteFile(path, millionRows(), 0o600); err != nil {
		t.Fatal(err)
	}
	store, err := sqlite.Open(context.Background(), filepath.Join(t.TempDir(), "memory.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close() //nolint:errcheck // a test
	h := api.New(api.Options{Store: store, Version: "test", RecordCacheBytes: -1})
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()

	debug.FreeOSMemory()
	var before runtime.MemStats
	runtime.ReadMemStats(&before)
	peak := make(chan uint64)
	stop := make(chan struct{})
	go func() {
		var m runtime.MemStats
		highest := uint64(0)
		for {
			runtime.ReadMemStats(&m)
			highest = max(highest, m.HeapInuse)
			select {
			case <-stop:
				peak <- highest
				return
			case <-time.After(2 * time.Millisecond):
			}
		}
	}()
	upload(t, h, f, int64(len(millionRows())))
	close(stop)
	if used := float64(<-peak-before.HeapInuse) / (1 << 20); used > 150 {
		t.Errorf("a million rows took %.0f MB", used)
	} else {
		t.Log(strings.TrimSpace(fmt.Sprintf("a million rows took %.0f MB", used)))
	}
}

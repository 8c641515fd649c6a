package api

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"mastworth/storage/sqlite"
)

const millionRows = 1_000_000

// loggerFile is an invented logger's file of one-minute rows: two speeds, direction, temperature, pressure.
var loggerFile = sync.OnceValue(func() []byte {
	var b bytes.Buffer
	b.WriteString("time (UTC),wind speed 10 m (m/s),wind speed 6 m (m/s),wind direction 10 m (deg),temperature (C),pressure (hPa)\n")
	at := time.Date(2022, 1, 1, 0, 0, 0, 0, time.UTC)
	row := make([]byte, 0, 80)
	for i := range millionRows {
		f := float64(i)
		v := math.Abs(4 + 3*math.Sin(f/700) + 1.5*math.Sin(f*1.7) + math.Sin(f*0.37))
		row = at.AppendFormat(row[:0], "2006-01-02 15:04:05")
		for _, x := range []struct {
			v      float64
			digits int
		}{{v, 1}, {v * 0.87, 1}, {math.Mod(200+60*math.Sin(f/300)+20*math.Sin(f*2.1), 360), 0}, {9 + 8*math.Sin(f/9000), 1}, {1003 + 9*math.Sin(f/4000), 1}} {
			row = strconv.AppendFloat(append(row, ','), x.v, 'f', x.digits, 64)
		}
		b.Write(append(row, '\n'))
		at = at.Add(time.Minute)
	}
	return b.Bytes()
})

func mustUpload(tb testing.TB, h http.Handler, body io.Reader) {
	tb.Helper()
	w := httptest.NewRecorder()
	r := httptest.NewRequestWithContext(context.Background(), http.MethodPost, "/v1/records", body)
	r.Header.Set("Content-Type", "text/csv")
	r.ContentLength = int64(len(loggerFile())) // as every client that sends a file tells it
	h.ServeHTTP(w, r)
	if w.Code != http.StatusCreated {
		tb.Fatal(w.Body)
	}
}

// Importing a million rows must fit a small computer: under 150 MB of heap at its highest, the file not held.
func TestImportMemory(t *testing.T) {
	if testing.Short() || raceDetector {
		t.Skip("measures memory, which -short and the race detector make pointless")
	}
	path := filepath.Join(t.TempDir(), "logger.csv")
	if err := os.WriteFile(path, loggerFile(), 0o600); err != nil {
		t.Fatal(err)
	}
	store, err := sqlite.Open(context.Background(), filepath.Join(t.TempDir(), "memory.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close() //nolint:errcheck // a test
	h := New(Options{Store: store, Version: "test", RecordCacheBytes: -1})
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
	mustUpload(t, h, f)
	close(stop)
	if used := float64(<-peak-before.HeapInuse) / (1 << 20); used > 150 {
		t.Errorf("a million rows took %.0f MB", used)
	} else {
		t.Log(strings.TrimSpace(fmt.Sprintf("a million rows took %.0f MB", used)))
	}
}

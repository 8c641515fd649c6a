package ingest

import (
	"bytes"
	"encoding/csv"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"strconv"
	"sync"
	"testing"
	"time"
)

const benchRows = 1_000_000

// loggerBytes is an invented one-minute record: stamp, two speeds, deviation, direction, temperature, pressure.
var loggerBytes = sync.OnceValue(func() []byte {
	rng := rand.New(rand.NewPCG(1, 2))
	b := make([]byte, 0, 60<<20)
	b = append(b, "time,speed 18 m (m/s),speed 10 m (m/s),speed 18 m sd (m/s),direction 18 m (deg),temperature (C),pressure (hPa)\n"...)
	at := time.Date(2021, 1, 1, 0, 0, 0, 0, time.UTC)
	v, d, temp, p := 5.0, 180.0, 10.0, 1010.0
	for range benchRows {
		v = math.Abs(v + 0.3*rng.NormFloat64() - 0.02*(v-5))
		d = math.Mod(d+4*rng.NormFloat64()+360, 360)
		temp += 0.02 * rng.NormFloat64()
		p += 0.02 * rng.NormFloat64()
		b = at.AppendFormat(b, "2006-01-02 15:04")
		for i, x := range [...]float64{v, v * 0.82, v * 0.12, d, temp, p} {
			b = append(b, ',')
			b = strconv.AppendFloat(b, x, 'f', [...]int{2, 2, 3, 1, 1, 1}[i], 64)
		}
		b = append(b, '\n')
		at = at.Add(time.Minute)
	}
	return b
})

func BenchmarkLoggerCSV(b *testing.B) {
	data := loggerBytes()
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		s, _, err := Read(bytes.NewReader(data), Options{})
		if err != nil || s.Len() != benchRows || len(s.Channels) != 6 {
			b.Fatal(err)
		}
	}
}

// BenchmarkLoggerStream hides the size, as a chunked upload does.
func BenchmarkLoggerStream(b *testing.B) {
	data := loggerBytes()
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := Read(io.MultiReader(bytes.NewReader(data)), Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkEncodingCSV is the yardstick: encoding/csv cutting the same file into fields, and no more.
func BenchmarkEncodingCSV(b *testing.B) {
	benchmarkTokens(b, loggerBytes(), ',')
}

func benchmarkTokens(b *testing.B, data []byte, comma rune) {
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		countFields(b, bytes.NewReader(data), comma)
	}
}

// countFields cuts a table into fields, and no more.
func countFields(b *testing.B, in io.Reader, comma rune) {
	r := csv.NewReader(in)
	r.ReuseRecord, r.Comma, r.FieldsPerRecord, r.LazyQuotes = true, comma, -1, true
	for {
		if _, err := r.Read(); err == io.EOF {
			break
		} else if err != nil {
			b.Fatal(err)
		}
	}
}

// TestLoggerMemory holds the peak of the heap while a million rows are read below 120 MB, the file itself aside.
func TestLoggerMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("a million rows take a second")
	}
	data := loggerBytes()
	for _, known := range []bool{true, false} {
		peak := peakHeap(func() {
			r := io.Reader(bytes.NewReader(data))
			if !known {
				r = io.MultiReader(r)
			}
			if _, _, err := Read(r, Options{}); err != nil {
				t.Error(err)
			}
		})
		t.Logf("size known %t: peak %d MB", known, peak>>20)
		if peak > 120<<20 {
			t.Errorf("size known %t: peak %d MB", known, peak>>20)
		}
	}
}

// peakHeap is the largest growth of the heap while f runs, bytes.
func peakHeap(f func()) uint64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	start, peak := m.HeapAlloc, uint64(0)
	stop, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		var m runtime.MemStats
		for {
			runtime.ReadMemStats(&m)
			if m.HeapAlloc > start {
				peak = max(peak, m.HeapAlloc-start)
			}
			select {
			case <-stop:
				return
			case <-time.After(2 * time.Millisecond):
			}
		}
	}()
	f()
	close(stop)
	<-done
	return peak
}

package fetch

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"mastworth/resource/ingest"
)

// Ten years from the cache, beside reading the same bytes in one go.
func BenchmarkTenYearsFromCache(b *testing.B) {
	file := sharedFile(b, tenYearsFile)
	s := newStub(b, powerStub(file))
	disk := withDisk(b)
	c, _ := newClient(b, s.URL, disk)
	run := func() {
		series, _, _, err := c.Fetch(b.Context(), strait, tenYears, Source{Archive: NASAPower})
		if err != nil || series.Len() != 87696 {
			b.Fatal(err)
		}
	}
	run()
	b.Run("fetch", func(b *testing.B) {
		b.SetBytes(int64(len(file)))
		b.ReportAllocs()
		for b.Loop() {
			run()
		}
	})
	b.Run("reader alone", func(b *testing.B) {
		b.SetBytes(int64(len(file)))
		b.ReportAllocs()
		for b.Loop() {
			if _, _, err := ingest.Read(bytes.NewReader(file), ingest.Options{Format: "nasa_power_csv", SizeHint: int64(len(file))}); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// The real list has about 30 000 stations.
func worldList() string {
	var text strings.Builder
	text.WriteString(listHead)
	for i := range 30000 {
		lat := math.Asin(math.Mod(float64(i)*0.6180339887, 2)-1) * 180 / math.Pi
		lon := math.Mod(float64(i)*137.508, 360) - 180
		text.WriteString(row(fmt.Sprintf("%06d", i), "99999", "STATION", "XX", "", lat, lon, 100, "19500101", "20250101"))
	}
	return text.String()
}

func BenchmarkNearest(b *testing.B) {
	var r roster
	if err := r.read(&Answer{Body: []byte(worldList())}); err != nil {
		b.Fatal(err)
	}
	lately := func(s *Station) bool { return s.during(Years{2010, 2020}) }
	b.ReportAllocs()
	for b.Loop() {
		if len(r.nearest(inland, 10, lately)) != 10 {
			b.Fatal("too few")
		}
	}
}

func BenchmarkStationList(b *testing.B) {
	text := worldList()
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, _, err := readStations(strings.NewReader(text)); err != nil {
			b.Fatal(err)
		}
	}
}

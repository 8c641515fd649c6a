// Package bench measures the service against what its parts could do at most: the same router without any work, the standard
// library's tokens, PostgreSQL taking in the same rows, fits by other programs. Every figure is a ratio from one run, or the exponent
// of a growth; deploy/speed prints them all.
package bench

import (
	"context"
	"encoding/json"
	"net/http"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/gin-gonic/gin"

	"mastworth/api"
	"mastworth/storage"
	"mastworth/storage/postgres"
	"mastworth/storage/postgres/postgrestest"
	"mastworth/storage/sqlite"
)

func TestMain(m *testing.M) {
	gin.SetMode(gin.ReleaseMode)
	defer runtime.KeepAlive(make([]byte, 8<<20)) // as the program sets aside for the collector, cmd/mastworth/collector.go
	postgrestest.Main(m)
}

// largest is the size up to which something is measured, or a tenth of it with -short, for whoever only wants to know that it runs.
func largest(size int) int {
	if testing.Short() {
		return size / 10
	}
	return size
}

// stores opens a store of each kind, empty.
var stores = map[string]func(b *testing.B) storage.Store{
	"sqlite": func(b *testing.B) storage.Store {
		b.Helper()
		s, err := sqlite.Open(context.Background(), filepath.Join(b.TempDir(), "bench.db"))
		return closing(b, s, err)
	},
	"postgres": func(b *testing.B) storage.Store {
		b.Helper()
		s, err := postgres.Open(context.Background(), postgrestest.Database(b))
		return closing(b, s, err)
	},
}

// onBoth runs a benchmark over each kind of store.
func onBoth(b *testing.B, f func(b *testing.B, s storage.Store)) {
	b.Helper()
	for _, kind := range []string{"sqlite", "postgres"} {
		b.Run(kind, func(b *testing.B) { f(b, stores[kind](b)) })
	}
}

func closing(b *testing.B, s storage.Store, err error) storage.Store {
	b.Helper()
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		if err := s.Close(); err != nil {
			b.Error(err)
		}
	})
	return s
}

func service(s storage.Store) http.Handler { return api.New(api.Options{Store: s, Version: "bench"}) }

// garden is an invented request, as a document that can be changed.
func garden(b *testing.B) map[string]any {
	b.Helper()
	var d map[string]any
	if err := json.NewDecoder(strings.NewReader(`{
		"site": {"name": "Orchard", "latitude": 52.2, "longitude": -1.4, "elevation_m": 80, "ground": {"cover": "roughly open"}},
		"wind": {"mean": {"speed_m_s": 4.9, "height_m": 10, "shape": 2}, "measured_over": {"cover": "open"}},
		"turbine": {"name": "Own build", "rotor_diameter_m": 2.4, "rated_power_w": 900, "regulation": "furling",
			"power_curve": {"points": [[2.5, 0], [4, 45], [6, 190], [8, 440], [10, 750], [12, 900], [16, 640], [25, 300]]}},
		"towers": [{"hub_height_m": 9, "cost": 500}, {"hub_height_m": 12, "cost": 650}, {"hub_height_m": 15, "cost": 1000},
			{"hub_height_m": 18, "cost": 1400}],
		"money": {"currency": "EUR", "turbine_cost": 1900, "other_cost": 400, "yearly_cost": 80, "price_per_kwh": 0.28},
		"solar": {"cost_per_kw": 1500}
	}`)).Decode(&d); err != nil {
		b.Fatal(err)
	}
	return d
}

func jsonOf(b *testing.B, d any) []byte {
	b.Helper()
	text, err := json.Marshal(d)
	if err != nil {
		b.Fatal(err)
	}
	return text
}

func decode(b *testing.B, text []byte) map[string]any {
	b.Helper()
	var d map[string]any
	if err := json.Unmarshal(text, &d); err != nil {
		b.Fatal(err)
	}
	return d
}

// Package load drives the built program as its users would, many at a time and for long: two instances over one PostgreSQL, one
// over a SQLite file. Every answer is checked, not only counted: the same request has to get the same bytes and the same ETag from
// every instance, however often it is made.
//
// How long and how hard is set by the environment, so that a look during the day and a night's run are the same test:
//
//	MASTWORTH_LOAD       how long each load lasts, such as 2m; 3s, or 10s where CI is set
//	MASTWORTH_LOAD_RATE  requests a second in all; 150
//	MASTWORTH_SOAK       how long the soak lasts, such as 10m; off, or 20s where CI is set
//
// go test -v prints the figures.
package load

import (
	"os"
	"strconv"
	"testing"
	"time"

	"mastworth/deploy/running"
	"mastworth/storage/postgres/postgrestest"
)

func TestMain(m *testing.M) { postgrestest.Main(m, running.CleanUp) }

// lasting is how long a run lasts by the environment; 0 is not at all.
func lasting(t *testing.T, name string, usual, inCI time.Duration) time.Duration {
	t.Helper()
	if os.Getenv("CI") != "" {
		usual = inCI
	}
	v := os.Getenv(name)
	if v == "" {
		return usual
	}
	d, err := time.ParseDuration(v)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return d
}

// usualRate leaves half of two cores to the rest of the tests.
const usualRate = 150

// askedRate is how many requests are made a second.
func askedRate(t *testing.T) float64 {
	t.Helper()
	v := os.Getenv("MASTWORTH_LOAD_RATE")
	if v == "" {
		return usualRate
	}
	r, err := strconv.ParseFloat(v, 64)
	if err != nil || r <= 0 || r > 20_000 {
		t.Fatalf("MASTWORTH_LOAD_RATE: %q is no rate from 1 to 20000", v)
	}
	return r
}

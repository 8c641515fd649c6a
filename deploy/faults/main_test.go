// Package faults brings the built program into trouble as years of running would: it is killed at random moments, its database is
// restarted or falls silent, its disk is full or may only be read, backups are cut off and blocks damaged, and many send the same at
// once. Each time what follows is bounded and clean: nothing is half-written, whoever asks is told plainly, and the service recovers by
// itself.
//
// How often it is killed and by which random numbers is set by the environment, so that a look during the day and a night's run are the
// same test:
//
//	MASTWORTH_KILLS  how often the service is killed in all; 24, or 108 where CI is set
//	MASTWORTH_SEED   of the random moments; the time of day
//
// go test -v prints the figures, and the seed.
package faults

import (
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
	"time"

	"mastworth/deploy/running"
	"mastworth/storage/postgres/postgrestest"
)

func TestMain(m *testing.M) { postgrestest.Main(m, running.CleanUp) }

const (
	usualKills = 24
	killsInCI  = 108
)

// askedKills is how often the service is killed in all.
func askedKills(t *testing.T) int {
	t.Helper()
	n := usualKills
	if os.Getenv("CI") != "" {
		n = killsInCI
	}
	if v := os.Getenv("MASTWORTH_KILLS"); v != "" {
		var err error
		if n, err = strconv.Atoi(v); err != nil || n < 1 || n > 1_000_000 {
			t.Fatalf("MASTWORTH_KILLS: %q is no number from 1 to 1000000", v)
		}
	}
	return n
}

// random is a sequence whose seed is logged, so that what it found is found again.
func random(t *testing.T) *rand.Rand {
	t.Helper()
	seed := uint64(time.Now().UnixNano())
	if v := os.Getenv("MASTWORTH_SEED"); v != "" {
		var err error
		if seed, err = strconv.ParseUint(v, 10, 64); err != nil {
			t.Fatalf("MASTWORTH_SEED: %v", err)
		}
	}
	t.Logf("MASTWORTH_SEED=%d", seed)
	return rand.New(rand.NewPCG(seed, 1))
}

// lacking skips a test for want of something, or fails it where nothing may be skipped.
func lacking(t *testing.T, format string, values ...any) {
	t.Helper()
	if os.Getenv("CI") != "" {
		t.Fatalf(format, values...)
	}
	t.Skipf(format, values...)
}

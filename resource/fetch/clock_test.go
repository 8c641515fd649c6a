package fetch

import (
	"testing"
	"time"
)

// An answer from the future, as one that came while the clock was wrong, is asked for again: else it would be fresh until the clock has
// caught up.
func TestAnswerFromTheFuture(t *testing.T) {
	now := time.Date(2024, 6, 1, 0, 0, 0, 0, time.UTC)
	for year, ages := range map[int]map[time.Duration]bool{
		0:    {time.Hour: true, -time.Hour: false, -365 * 24 * time.Hour: false, 365 * 24 * time.Hour: false},
		2024: {time.Hour: true, -time.Hour: false, -365 * 24 * time.Hour: false, 365 * 24 * time.Hour: false},
		2022: {time.Hour: true, -time.Hour: false, 300 * 24 * time.Hour: true},
	} {
		for age, want := range ages {
			if got := fresh(&Answer{FetchedAt: now.Add(-age)}, year, now); got != want {
				t.Errorf("of year %d, %s old: fresh is %t", year, age, got)
			}
		}
	}
}

package api

import "testing"

// onePerTime skips a test of many requests one after the other, minutes with the race detector, in which nothing could race:
// .ci/run has it without.
func onePerTime(t testing.TB) {
	t.Helper()
	if raceDetector {
		t.Skip("many requests one after the other: nothing could race")
	}
}

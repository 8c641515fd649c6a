package api

import "testing"

// oneAtATime skips, with the race detector, a test of many requests one after the other: it takes minutes then, and what the service does
// beside a request is met by other tests too. .ci/run has it without.
func oneAtATime(t testing.TB) {
	t.Helper()
	if raceDetector {
		t.Skip("many requests one after the other")
	}
}

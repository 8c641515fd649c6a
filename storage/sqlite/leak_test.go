package sqlite

import (
	"testing"

	"go.uber.org/goleak"
)

// Nothing a store starts outlives its tests.
func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

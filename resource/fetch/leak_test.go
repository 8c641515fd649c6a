package fetch

import (
	"testing"

	"go.uber.org/goleak"
)

// Nothing a client starts outlives its tests.
func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

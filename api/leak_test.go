package api

import (
	"testing"

	"go.uber.org/goleak"
)

// Nothing the service starts outlives its tests.
func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

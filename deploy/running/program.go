// Package running builds and starts the program for tests that drive it from outside, as its users would.
package running

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
)

var (
	built   sync.Once
	program string // the built one
	folder  string // it lies in
	failed  error
)

// Program is the path of the built program. It is built once a process, as it is released but for its version.
func Program(t testing.TB) string {
	t.Helper()
	built.Do(func() {
		if folder, failed = os.MkdirTemp("", "mastworth-built-"); failed != nil {
			return
		}
		program = filepath.Join(folder, "mastworth")
		build := exec.CommandContext(t.Context(), "go", "build", "-trimpath", "-buildvcs=false", "-tags=nomsgpack", "-ldflags=-s -w -buildid=",
			"-o", program, "mastworth/cmd/mastworth")
		build.Env = append(os.Environ(), "CGO_ENABLED=0")
		if out, err := build.CombinedOutput(); err != nil {
			failed = fmt.Errorf("go build: %w\n%s", err, out)
		}
	})
	if failed != nil {
		t.Fatal(failed)
	}
	return program
}

// CleanUp removes what Program made. TestMain calls it after the last test.
func CleanUp() error { return os.RemoveAll(folder) }

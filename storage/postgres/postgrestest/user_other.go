//go:build !linux

package postgrestest

import "os/exec"

// unprivileged prepares commands to run on a folder: as whoever runs the tests.
func unprivileged(dir string) (func(*exec.Cmd) *exec.Cmd, error) {
	return func(c *exec.Cmd) *exec.Cmd {
		c.Dir = dir
		return c
	}, nil
}

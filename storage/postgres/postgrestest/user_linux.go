package postgrestest

import (
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"strconv"
	"syscall"
)

// unprivileged prepares commands to run on a folder. PostgreSQL refuses to run as root: there, the folder goes to another
// user and so do the commands. A server dies with the test process that started it, however that ends.
func unprivileged(dir string) (func(*exec.Cmd) *exec.Cmd, error) {
	attributes := syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	if os.Geteuid() == 0 {
		u, err := user.Lookup("postgres")
		if err != nil {
			u, err = user.Lookup("nobody")
		}
		if err != nil {
			return nil, fmt.Errorf("no user to run PostgreSQL as: %w", err)
		}
		uid, err1 := strconv.ParseUint(u.Uid, 10, 32)
		gid, err2 := strconv.ParseUint(u.Gid, 10, 32)
		if err1 != nil || err2 != nil {
			return nil, fmt.Errorf("user %s has no numeric ids", u.Username)
		}
		if err := os.Chown(dir, int(uid), int(gid)); err != nil {
			return nil, err
		}
		attributes.Credential = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
	}
	return func(c *exec.Cmd) *exec.Cmd {
		a := attributes
		c.SysProcAttr, c.Dir = &a, dir
		return c
	}, nil
}

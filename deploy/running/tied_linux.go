package running

import (
	"os/exec"
	"syscall"
)

// tied lets a process end with the one that started it, however that ends.
func tied(c *exec.Cmd) *exec.Cmd {
	c.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	return c
}

package running

import (
	"bufio"
	"context"
	"io"
	"os/exec"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// Instance is a running service.
type Instance struct {
	Base string // http://127.0.0.1:PORT
	PID  int

	cmd     *exec.Cmd
	log     *journal
	rest    chan error // how it ended
	expects string     // a word that what it says is allowed to have
	ended   bool
}

// Start runs the service over a database and waits until it is ready. It is stopped when the test ends, has to end well then, and
// must have warned of nothing.
func Start(t testing.TB, database string, more ...string) *Instance {
	t.Helper()
	i, err := Try(t, t.TempDir(), append([]string{"serve", "--listen", "127.0.0.1:0", "--database", database}, more...)...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { i.Stop(t) })
	return i
}

// Try runs the program with its arguments in a folder until it says where it listens. One that ends before that is an error with
// all it said. The caller stops it.
func Try(t testing.TB, dir string, arguments ...string) (*Instance, error) {
	t.Helper()
	return Run(Command(t, dir, arguments...))
}

// Command is the program with its arguments in a folder, to be started; it ends with the test process at the latest.
func Command(t testing.TB, dir string, arguments ...string) *exec.Cmd {
	t.Helper()
	cmd := tied(exec.CommandContext(context.Background(), Program(t), arguments...))
	cmd.Dir = dir
	return cmd
}

// Run starts a command that is, or becomes, the service.
func Run(cmd *exec.Cmd) (*Instance, error) {
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	said, err := cmd.StderrPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	i := &Instance{PID: cmd.Process.Pid, cmd: cmd, log: &journal{}, rest: make(chan error, 1)}
	var reading sync.WaitGroup
	reading.Go(func() { i.log.read(said) })
	first := bufio.NewReader(out)
	line, err := first.ReadString('\n')
	if _, at, ok := strings.Cut(line, " listens on "); ok {
		i.Base = strings.TrimSpace(at)
	}
	reading.Go(func() { _, _ = io.Copy(io.Discard, first) }) // it ends with the process
	go func() {
		reading.Wait() // Wait closes the pipes
		i.rest <- cmd.Wait()
	}()
	if i.Base == "" {
		_ = cmd.Process.Kill() // in case it has not ended by itself
		<-i.rest
		return nil, &NotServing{Line: line, Err: err, Said: i.log.lines()}
	}
	return i, nil
}

// NotServing says that a service ended before it listened.
type NotServing struct {
	Line string
	Err  error
	Said []string
}

func (e *NotServing) Error() string {
	return "the service does not say where it listens: " + strings.Join(append([]string{e.Line}, e.Said...), "\n")
}

func (e *NotServing) Unwrap() error { return e.Err }

// Expect lets an instance say what has a word in it, in a test that brings it into trouble.
func (i *Instance) Expect(word string) { i.expects = word }

// Stop asks the service to end and holds it to ending well, within half a minute, without having said anything unusual.
func (i *Instance) Stop(t testing.TB) {
	t.Helper()
	if i.ended {
		return
	}
	i.ended = true
	if err := i.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Errorf("the service had ended by itself: %v", err)
	}
	select {
	case err := <-i.rest:
		if err != nil {
			t.Errorf("the service ended badly: %v", err)
		}
	case <-time.After(30 * time.Second):
		t.Error("the service did not end when it was asked to")
		_ = i.cmd.Process.Kill() // it is gone then
		<-i.rest
	}
	for _, line := range i.log.lines() {
		if i.expects == "" || !strings.Contains(line, i.expects) {
			t.Errorf("the service said, and should not have had to:\n%s", line)
		}
	}
}

// Kill ends the service as a power cut would, and waits until it is gone.
func (i *Instance) Kill() {
	if i.ended {
		return
	}
	i.ended = true
	_ = i.cmd.Process.Kill() // it is gone then
	<-i.rest
}

// Said is what the service said that is not the usual.
func (i *Instance) Said() []string { return i.log.lines() }

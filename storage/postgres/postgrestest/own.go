package postgrestest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// Server is a PostgreSQL server on a folder and a port of its own.
type Server struct {
	URL string // of its maintenance database

	bin, dir, data, port string
	own                  func(*exec.Cmd) *exec.Cmd
	more                 []string
	run                  *exec.Cmd
	log                  strings.Builder
	ended                chan struct{} // since the last start
}

// Own starts a server for one test, which may halt and start it as it likes. What is committed outlives a halt.
func Own(t testing.TB) *Server {
	t.Helper()
	s, err := newServer()
	mind(t, err, "")
	t.Cleanup(s.remove)
	if err := s.Start(); err != nil {
		t.Fatal(err)
	}
	return s
}

// newServer makes a cluster in a temporary folder, for a server on a free port of the loopback address. Nothing is brought to the
// disk: a halt of the server is no crash of the system.
func newServer(more ...string) (*Server, error) {
	bin, err := binaries()
	if err != nil {
		return nil, err
	}
	s := &Server{bin: bin, more: more}
	if s.dir, err = os.MkdirTemp("", "mastworth-postgres-"); err != nil {
		return nil, err
	}
	if s.own, err = unprivileged(s.dir); err != nil {
		return nil, err
	}
	s.data = filepath.Join(s.dir, "data")
	if out, err := s.own(exec.CommandContext(context.Background(), filepath.Join(bin, "initdb"), "-D", s.data, "-U", "tester", "-A", "trust", "-N",
		"-E", "UTF8", "--locale=C")).CombinedOutput(); err != nil {
		return nil, errors.Join(fmt.Errorf("initdb: %w\n%s", err, out), os.RemoveAll(s.dir))
	}
	if s.port, err = freePort(); err != nil {
		return nil, err
	}
	s.URL = "postgres://tester@127.0.0.1:" + s.port + "/postgres?sslmode=disable"
	return s, nil
}

// Start starts the server and waits until it answers.
func (s *Server) Start() error {
	s.log.Reset()
	s.run = s.own(exec.CommandContext(context.Background(), filepath.Join(s.bin, "postgres"), append([]string{"-D", s.data, "-p", s.port,
		"-c", "listen_addresses=127.0.0.1", "-c", "unix_socket_directories=", "-c", "fsync=off", "-c", "full_page_writes=off"}, s.more...)...))
	s.run.Stdout, s.run.Stderr = &s.log, &s.log
	if err := s.run.Start(); err != nil {
		return err
	}
	ended, run := make(chan struct{}), s.run
	s.ended = ended
	go func() {
		_ = run.Wait() // how it ended does not matter: nobody connects to it afterwards
		close(ended)
	}()
	if err := awaitServer(s.URL, ended); err != nil {
		s.Halt()
		return fmt.Errorf("the private PostgreSQL server did not come up: %w\n%s", err, s.log.String())
	}
	return nil
}

// Halt ends the server at once, as a crash would, but for its processes, which all go.
func (s *Server) Halt() { s.signal(syscall.SIGQUIT) }

func (s *Server) signal(sig os.Signal) {
	if s.ended == nil {
		return
	}
	_ = s.run.Process.Signal(sig) // it may be gone already
	<-s.ended
	s.ended = nil
}

// remove ends the server, by a fast shutdown, and takes its folder away.
func (s *Server) remove() {
	s.signal(os.Interrupt)
	_ = os.RemoveAll(s.dir) // a temporary folder
}

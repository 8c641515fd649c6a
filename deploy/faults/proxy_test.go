package faults

import (
	"context"
	"net"
	"net/url"
	"sync"
	"testing"
	"time"
)

// line is a TCP line to a database that can be brought into trouble.
type line struct {
	listener net.Listener
	to       string

	mu      sync.Mutex
	changed chan struct{} // closed when the state is
	delay   time.Duration // of each piece
	silent  bool          // nothing goes through, and nobody is told
	age     int           // of the line; what was sent over an earlier one is lost, without a word
	refuse  bool          // whoever comes is sent away
	open    map[*net.TCPConn]bool
	pumps   sync.WaitGroup
}

// newLine lays one to where a URL leads, and gives the URL that leads through it.
func newLine(t *testing.T, database string) (l *line, through string) {
	t.Helper()
	u, err := url.Parse(database)
	if err != nil {
		t.Fatal(err)
	}
	l = &line{to: u.Host, changed: make(chan struct{}), open: map[*net.TCPConn]bool{}}
	if l.listener, err = new(net.ListenConfig).Listen(t.Context(), "tcp", "127.0.0.1:0"); err != nil {
		t.Fatal(err)
	}
	l.pumps.Go(l.accept)
	t.Cleanup(func() {
		l.listener.Close() //nolint:errcheck // its end is all that matters
		l.set(func() { l.silent = false })
		l.cut()
		l.pumps.Wait()
	})
	u.Host = l.listener.Addr().String()
	return l, u.String()
}

func (l *line) accept() {
	for {
		c, err := l.listener.Accept()
		if err != nil {
			return
		}
		l.mu.Lock()
		refuse := l.refuse
		l.mu.Unlock()
		var upstream net.Conn
		if !refuse {
			upstream, err = new(net.Dialer).DialContext(context.Background(), "tcp", l.to)
		}
		if refuse || err != nil {
			reset(c.(*net.TCPConn))
			continue
		}
		one, other := c.(*net.TCPConn), upstream.(*net.TCPConn)
		l.mu.Lock()
		l.open[one], l.open[other] = true, true
		age := l.age
		l.mu.Unlock()
		l.pumps.Go(func() { l.pump(one, other, age) })
		l.pumps.Go(func() { l.pump(other, one, age) })
	}
}

// reset ends a connection in such a way that the other side hears of an error.
func reset(c *net.TCPConn) {
	_ = c.SetLinger(0) // it may be gone already
	_ = c.Close()
}

func (l *line) pump(from, to *net.TCPConn, age int) {
	defer func() {
		l.mu.Lock()
		defer l.mu.Unlock()
		for _, c := range []*net.TCPConn{from, to} {
			delete(l.open, c)
			_ = c.Close() // the other pump may have
		}
	}()
	piece := make([]byte, 16<<10)
	for {
		n, err := from.Read(piece)
		if n > 0 {
			if !l.pass(age) {
				continue
			}
			if _, err := to.Write(piece[:n]); err != nil {
				return
			}
		}
		if err != nil {
			return
		}
	}
}

// pass waits until a piece may go through; false for one that never arrives.
func (l *line) pass(age int) bool {
	for {
		l.mu.Lock()
		silent, delay, lost, changed := l.silent, l.delay, age != l.age, l.changed
		l.mu.Unlock()
		if !silent {
			time.Sleep(delay)
			return !lost
		}
		<-changed
	}
}

// set changes the line's state.
func (l *line) set(change func()) {
	l.mu.Lock()
	defer l.mu.Unlock()
	change()
	close(l.changed)
	l.changed = make(chan struct{})
}

// cut resets all connections.
func (l *line) cut() {
	l.mu.Lock()
	defer l.mu.Unlock()
	for c := range l.open {
		reset(c)
	}
}

package faults

import (
	"bufio"
	"fmt"
	"net"
	"net/http"
	"os"
	"strings"
	"sync"
	"testing"
	"time"
)

// Clients whose headers trickle in, and clients that stop reading what they asked for, are let go in bounded time; meanwhile others are
// answered as ever, and afterwards nothing of them is left.
func TestSlowClients(t *testing.T) {
	if os.Getenv("CI") == "" {
		t.Skip("it takes most of a minute; set CI to run it")
	}
	t.Parallel()
	s := newSubject(t, "")
	in := fill(t, s)
	const slow = 40
	in.all(t) // the store has as many connections as it will
	before := s.openFiles(t)
	began := time.Now()
	var clients sync.WaitGroup
	for n := range slow {
		c, err := new(net.Dialer).DialContext(t.Context(), "tcp", strings.TrimPrefix(s.Base, "http://"))
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close() //nolint:errcheck // a test is over then
		clients.Go(func() {
			if n%2 == 0 {
				trickle(c)
			} else {
				stare(c, in.record)
			}
		})
	}
	for time.Since(began) < 8*time.Second {
		if g := s.ask(t, http.MethodGet, "/v1/sites/"+in.site+"/estimate", nil); g.status != http.StatusOK || g.took > 5*time.Second {
			t.Errorf("meanwhile: %s", g)
		}
		time.Sleep(50 * time.Millisecond)
	}
	clients.Wait()
	trickled := time.Since(began)
	unhurried.CloseIdleConnections()
	for s.openFiles(t) > before+6 {
		if time.Since(began) > 75*time.Second {
			t.Fatalf("%d files are open, %d were before", s.openFiles(t), before)
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Logf("trickling headers were heard for %s, clients that do not read were waited for for %s", trickled.Round(time.Second),
		time.Since(began).Round(time.Second))
	if trickled > 30*time.Second {
		t.Error("that is too long for headers")
	}
}

// trickle sends a header's byte now and then, until nobody listens.
func trickle(c net.Conn) {
	for _, b := range []byte("GET /livez HTTP/1.1\r\nHost: x\r\nX-Long: " + strings.Repeat("a", 4000)) {
		if _, err := c.Write([]byte{b}); err != nil {
			return
		}
		time.Sleep(200 * time.Millisecond)
	}
}

// stare asks for a large file, again and again, reads the first line alone, and lets the connection stand.
func stare(c net.Conn, record string) {
	if tcp, ok := c.(*net.TCPConn); ok {
		_ = tcp.SetReadBuffer(4 << 10) // or the system would take much of it
	}
	for range 8 {
		if _, err := fmt.Fprintf(c, "GET /v1/records/%s/samples HTTP/1.1\r\nHost: x\r\n\r\n", record); err != nil {
			return
		}
	}
	_, _ = bufio.NewReaderSize(c, 512).ReadString('\n') // there is one, or there is an end
}

// openFiles is how many the service has open.
func (s *subject) openFiles(t *testing.T) int {
	t.Helper()
	open, err := os.ReadDir(fmt.Sprintf("/proc/%d/fd", s.PID))
	if err != nil {
		t.Skip(err)
	}
	return len(open)
}

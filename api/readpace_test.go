package api

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"
)

// A client that stops reading a large answer is let go before long; one that reads slowly but steadily gets all of it.
func TestSlowReaders(t *testing.T) {
	const wait = 300 * time.Millisecond
	served := make(chan time.Duration, 1)
	large := make([]byte, 24<<20) // more than the systems at both ends hold for a connection
	server := httptest.NewServer(paced(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		began := time.Now()
		_, _ = w.Write(large) // the client may be gone
		served <- time.Since(began)
	}), wait))
	defer server.Close()
	ask := func() net.Conn {
		t.Helper()
		c, err := new(net.Dialer).DialContext(t.Context(), "tcp", server.Listener.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		if _, err := fmt.Fprint(c, "GET / HTTP/1.1\r\nHost: x\r\n\r\n"); err != nil {
			t.Fatal(err)
		}
		return c
	}
	stuck := ask()
	defer stuck.Close() //nolint:errcheck // a test is over then
	select {
	case took := <-served:
		if took < wait/2 {
			t.Errorf("let go after %s", took)
		}
	case <-time.After(20 * wait):
		t.Fatal("a client that does not read is never let go")
	}

	steady := ask()
	defer steady.Close() //nolint:errcheck // a test is over then
	r, err := http.ReadResponse(bufio.NewReader(steady), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	var read int64
	for began := time.Now(); time.Since(began) < 4*wait; time.Sleep(wait / 20) {
		n, err := io.CopyN(io.Discard, r.Body, 128<<10)
		if read += n; err != nil {
			t.Fatalf("after %s: %v", time.Since(began), err)
		}
	}
	if n, err := io.Copy(io.Discard, r.Body); err != nil || read+n != int64(len(large)) {
		t.Errorf("%d bytes of %d, %v", read+n, len(large), err)
	}
	<-served
}

package load

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"sync"
	"time"
)

// agreement checks every answer on its way to a client: its status, and that it is to the byte what was answered to the same
// request before, by whichever instance.
type agreement struct {
	next        http.RoundTripper
	listsChange bool // somebody saves sites meanwhile

	mu       sync.Mutex
	seen     map[[32]byte][32]byte
	compared int // answers that had been given before
	refused  map[int]int
	faults   []string
}

const mostFaults = 20

// checked is a client that checks what it gets, over so many connections to each instance, and what it found.
func checked(connections int) (*http.Client, *agreement) {
	transport := &http.Transport{MaxIdleConnsPerHost: connections, MaxConnsPerHost: connections}
	a := &agreement{next: transport, seen: map[[32]byte][32]byte{}, refused: map[int]int{}}
	return &http.Client{Transport: a, Timeout: 30 * time.Second,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}, a
}

// CloseIdleConnections is passed on.
func (a *agreement) CloseIdleConnections() {
	if t, ok := a.next.(*http.Transport); ok {
		t.CloseIdleConnections()
	}
}

// RoundTrip makes a request and reads its answer to the end.
func (a *agreement) RoundTrip(r *http.Request) (*http.Response, error) {
	asked, err := a.name(r)
	if err != nil {
		return nil, err
	}
	response, err := a.next.RoundTrip(r)
	if err != nil {
		a.fault("%s %s: %v", r.Method, r.URL, err)
		return nil, err
	}
	body, err := io.ReadAll(response.Body)
	if err := response.Body.Close(); err != nil {
		return nil, err
	}
	response.Body = io.NopCloser(bytes.NewReader(body))
	if err != nil {
		a.fault("%s %s: the answer broke off after %d bytes: %v", r.Method, r.URL, len(body), err)
		return nil, err
	}
	a.check(r, response, asked, body)
	return response, nil
}

// name is the request, whichever instance it goes to.
func (a *agreement) name(r *http.Request) ([32]byte, error) {
	h := sha256.New()
	fmt.Fprintf(h, "%s %s %q\n", r.Method, r.URL.RequestURI(), r.Header["If-None-Match"]) //nolint:errcheck // a hash takes everything
	if r.GetBody != nil {
		body, err := r.GetBody()
		if err != nil {
			return [32]byte{}, err
		}
		if _, err := io.Copy(h, body); err != nil {
			return [32]byte{}, err
		}
	}
	return [32]byte(h.Sum(nil)), nil
}

func (a *agreement) check(r *http.Request, response *http.Response, asked [32]byte, body []byte) {
	want := http.StatusOK
	if r.Header.Get("If-None-Match") != "" {
		want = http.StatusNotModified
	}
	switch response.StatusCode {
	case http.StatusTooManyRequests, http.StatusServiceUnavailable:
		if after, err := strconv.Atoi(response.Header.Get("Retry-After")); err != nil || after < 1 {
			a.fault("%s %s: %s without a word on when to come back: %.300s", r.Method, r.URL, response.Status, body)
		}
		a.mu.Lock()
		defer a.mu.Unlock()
		a.refused[response.StatusCode]++
		return
	case want:
		if a.listsChange && (r.URL.Path == "/v1/sites" || r.URL.Path == "/sites") {
			return
		}
	default:
		a.fault("%s %s: %s, want %d: %.300s", r.Method, r.URL, response.Status, want, body)
		return
	}
	h := sha256.New()
	fmt.Fprintf(h, "%s %s %q %q\n", response.Status, response.Header.Get("Content-Type"), response.Header.Get("Etag"), //nolint:errcheck // as above
		response.Header.Get("Cache-Control"))
	h.Write(body) //nolint:errcheck // as above
	got := [32]byte(h.Sum(nil))

	a.mu.Lock()
	before, known := a.seen[asked]
	a.seen[asked] = got
	if known {
		a.compared++
	}
	a.mu.Unlock()
	if known && before != got {
		a.fault("%s %s (If-None-Match %q): the answer, with ETag %s, is not the one that was given before", r.Method, r.URL, r.Header["If-None-Match"],
			response.Header.Get("Etag"))
	}
}

func (a *agreement) fault(format string, args ...any) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if len(a.faults) < mostFaults {
		a.faults = append(a.faults, fmt.Sprintf(format, args...))
	}
}

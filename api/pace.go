package api

import (
	"io"
	"net/http"
	"time"
)

const (
	slowestPace = 4 << 10          // bytes a second that a body must come by in the long run: a modem's pace of old
	longestBody = 30 * time.Minute // that any body may take
)

// paced hands requests on whose bodies have to keep coming: a client that stops in the middle of one, or sends a byte now and then, gets
// no more than wait of the service's time, in which it may hold a turn at heavy work. And their answers have to be taken.
func paced(next http.Handler, wait time.Duration) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Body != nil && r.Body != http.NoBody {
			b := &pacedBody{ReadCloser: r.Body, connection: http.NewResponseController(w), end: time.Now().Add(longestBody), most: wait, left: wait}
			r.Body = b
			defer b.unhurried()
		}
		connection := http.NewResponseController(w)
		a := &pacedAnswer{ResponseWriter: w, connection: connection, wait: wait, end: time.Now().Add(longestBody + longestAnswer)}
		defer a.hurry() // what is still to be sent then
		next.ServeHTTP(a, r)
	})
}

// pacedBody is a body that may be waited for so long in all. What comes makes up for the time it takes at the slowest pace. Time that the
// service itself takes between two reads does not count.
type pacedBody struct {
	io.ReadCloser
	connection *http.ResponseController
	end        time.Time // when it has to be there
	most, left time.Duration
}

// Read fails with os.ErrDeadlineExceeded when the time is over.
func (b *pacedBody) Read(p []byte) (int, error) {
	began := time.Now()
	deadline := began.Add(b.left)
	if deadline.After(b.end) {
		deadline = b.end
	}
	if b.connection.SetReadDeadline(deadline) != nil {
		return b.ReadCloser.Read(p) // not a connection that can be hurried
	}
	n, err := b.ReadCloser.Read(p)
	if err != nil {
		b.unhurried()
	}
	b.left = min(b.most, b.left+time.Duration(n)*time.Second/slowestPace-time.Since(began))
	return n, err
}

// unhurried takes the deadline off again: after a body, net/http watches the connection to see whether the client goes away, and would
// take the deadline for that.
func (b *pacedBody) unhurried() { _ = b.connection.SetReadDeadline(time.Time{}) } // the connection may be gone already

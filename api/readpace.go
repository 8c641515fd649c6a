package api

import (
	"net/http"
	"time"
)

const (
	piece         = 128 << 10        // of an answer that has to be taken within the wait: four kilobytes a second, where that is 30 s. Most fit
	longestAnswer = 30 * time.Minute // that any answer may take to be sent
	often         = time.Second      // how much of a deadline may be gone before it is set anew; setting one costs as much as a small write
)

// pacedAnswer is an answer that has to be taken: a client that stops reading in the middle of one is let go after the wait. What the
// service itself takes between two writes does not count.
type pacedAnswer struct {
	http.ResponseWriter
	connection *http.ResponseController
	wait       time.Duration
	end        time.Time // when it has to be there
	set        time.Time // when the deadline was
}

func (a *pacedAnswer) hurry() {
	now := time.Now()
	if now.Sub(a.set) <= min(often, a.wait/4) {
		return
	}
	a.set = now
	deadline := now.Add(a.wait)
	if deadline.After(a.end) {
		deadline = a.end
	}
	_ = a.connection.SetWriteDeadline(deadline) // not every connection can be hurried
}

func (a *pacedAnswer) Write(p []byte) (n int, err error) {
	for {
		a.hurry()
		m, err := a.ResponseWriter.Write(p[n:min(len(p), n+piece)])
		if n += m; err != nil || n >= len(p) {
			return n, err
		}
	}
}

// Flush and Unwrap are for whoever asks for more than a ResponseWriter.
func (a *pacedAnswer) Flush() {
	a.hurry()
	_ = a.connection.Flush() // a connection that is gone is noticed by the next write
}

func (a *pacedAnswer) Unwrap() http.ResponseWriter { return a.ResponseWriter }

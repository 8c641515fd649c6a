package api

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"log/slog"
	"net/http"
	"os"
	"runtime/debug"
	"strconv"
	"sync/atomic"
	"time"

	"github.com/gin-gonic/gin"
	"go.opentelemetry.io/otel/trace"
)

// requestIDs are a random beginning, new with each start, and a count.
type requestIDs struct {
	start string
	count atomic.Uint64
}

func newRequestIDs() *requestIDs {
	var b [6]byte
	_, _ = rand.Read(b[:]) // never fails: crypto/rand ends the process instead
	return &requestIDs{start: hex.EncodeToString(b[:]) + "-"}
}

func (r *requestIDs) next() string { return r.start + strconv.FormatUint(r.count.Add(1), 36) }

const requestIDHeader = "X-Request-Id"

// requestID is the id the frame gave a request, which stands in its answer.
func requestID(c *gin.Context) string { return c.Writer.Header().Get(requestIDHeader) }

// requestContext is the context of the request alone. Every handler begins with it: the *gin.Context that the generated server
// passes is used again for another request as soon as this one is answered, while what was started with it, such as a
// database's watch on cancellation, may still look at it.
func requestContext(ctx context.Context) context.Context {
	if c, ok := ctx.(*gin.Context); ok {
		return c.Request.Context()
	}
	return ctx
}

// Headers of every answer. They are slices shared by all answers, which nobody appends to.
var (
	noSniff    = []string{"nosniff"}
	noReferrer = []string{"no-referrer"}
	noFrames   = []string{"DENY"}
	sameOrigin = []string{"same-origin"}
	noContent  = []string{"default-src 'none'; frame-ancestors 'none'"}
	private    = []string{"private, no-cache"} // unless an answer says otherwise: whoever asks may be known by a cookie, which no cache goes by
)

// frame is around every request: it gives it an id, sets the security headers, turns a panic into a problem, and logs what
// came of it, without the query or any place.
func (s *service) frame(c *gin.Context) {
	id := s.ids.next()
	h := c.Writer.Header()
	h[requestIDHeader] = []string{id}
	h["X-Content-Type-Options"] = noSniff
	h["Referrer-Policy"] = noReferrer
	h["X-Frame-Options"] = noFrames
	h["Cross-Origin-Resource-Policy"] = sameOrigin
	h["Content-Security-Policy"] = noContent
	h["Cache-Control"] = private

	if !s.Logger.Enabled(c, slog.LevelInfo) {
		defer s.recovered(c)
		c.Next()
		return
	}
	began := s.Now()
	defer func() {
		attrs := append(make([]slog.Attr, 0, 7), slog.String("id", id), slog.String("method", c.Request.Method),
			slog.String("route", c.FullPath()), slog.Int("status", c.Writer.Status()), slog.Int("bytes", max(c.Writer.Size(), 0)),
			slog.Float64("seconds", s.Now().Sub(began).Round(time.Microsecond).Seconds()))
		if span := trace.SpanContextFromContext(c.Request.Context()); span.IsValid() {
			attrs = append(attrs, slog.String("trace", span.TraceID().String()))
		}
		s.Logger.LogAttrs(c, slog.LevelInfo, "request", attrs...)
	}()
	defer s.recovered(c)
	c.Next()
}

// recovered turns a panic into an answer. http.ErrAbortHandler is how handlers end a connection on purpose.
func (s *service) recovered(c *gin.Context) {
	switch r := recover(); r {
	case nil:
	case http.ErrAbortHandler:
		panic(r)
	default:
		s.Logger.ErrorContext(c, "a handler panicked", "id", requestID(c), "route", c.FullPath(), "panic", r, "stack", string(debug.Stack()))
		s.refuse(c, newProblem(internal, internalDetail))
	}
}

// unanswered is called when an answer could not be written. Mostly the client has gone; else it is our fault.
func (s *service) unanswered(c *gin.Context, err error) {
	if c.Writer.Written() {
		if c.Request.Context().Err() == nil && !errors.Is(err, os.ErrDeadlineExceeded) { // nor one that does not read
			s.Logger.WarnContext(c, "an answer broke off", "id", requestID(c), "route", c.FullPath(), "error", err)
		}
		// The client must not take half an answer for a whole one.
		panic(http.ErrAbortHandler)
	}
	s.refuse(c, errors.Join(errors.New("an answer could not be written"), err))
}

package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"strconv"

	"github.com/gin-gonic/gin"

	"mastworth/api/document"
	"mastworth/api/words"
	"mastworth/openapi"
	"mastworth/storage"
	"mastworth/yield/assess"
)

// kind is a kind of problem. Its page at /problems/<slug> explains it.
type kind struct {
	Slug   string
	Status int
}

// Title is what it is called.
func (k *kind) Title() string { return words.Text("problem.kind." + k.Slug + ".title") }

// About is what it means and what to do, for the page.
func (k *kind) About() string { return words.Text("problem.kind." + k.Slug + ".about") }

// The kinds of problem there are.
var (
	malformedBody     = &kind{"malformed-body", http.StatusBadRequest}
	invalidRequest    = &kind{"invalid-request", http.StatusUnprocessableEntity}
	invalidParameters = &kind{"invalid-parameters", http.StatusBadRequest}
	unreadableRecord  = &kind{"unreadable-record", http.StatusUnprocessableEntity}
	unsupportedMedia  = &kind{"unsupported-media-type", http.StatusUnsupportedMediaType}
	notAcceptable     = &kind{"not-acceptable", http.StatusNotAcceptable}
	tooLarge          = &kind{"too-large", http.StatusRequestEntityTooLarge}
	fetchOff          = &kind{"fetch-off", http.StatusForbidden}
	fetchFailed       = &kind{"fetch-failed", http.StatusBadGateway}
	notOffered        = &kind{"not-offered", http.StatusNotImplemented}
	missing           = &kind{"not-found", http.StatusNotFound}
	methodNotAllowed  = &kind{"method-not-allowed", http.StatusMethodNotAllowed}
	timedOut          = &kind{"timed-out", http.StatusRequestTimeout}
	recordInUse       = &kind{"record-in-use", http.StatusConflict}
	curveInUse        = &kind{"curve-in-use", http.StatusConflict}
	changedMeanwhile  = &kind{"changed-meanwhile", http.StatusPreconditionFailed}
	busy              = &kind{"busy", http.StatusServiceUnavailable}
	unavailable       = &kind{"unavailable", http.StatusServiceUnavailable}
	noRoom            = &kind{"no-room", http.StatusInsufficientStorage}
	damaged           = &kind{"damaged", http.StatusInternalServerError}
	keyNeeded         = &kind{"key-needed", http.StatusUnauthorized}
	keyTooNarrow      = &kind{"key-too-narrow", http.StatusForbidden}
	tooMany           = &kind{"too-many-requests", http.StatusTooManyRequests}
	crossSite         = &kind{"cross-site", http.StatusForbidden}
	internal          = &kind{"internal", http.StatusInternalServerError}
)

// kinds in the order in which the page lists them.
var kinds = []*kind{malformedBody, invalidRequest, invalidParameters, unreadableRecord, unsupportedMedia, notAcceptable, tooLarge,
	fetchOff, fetchFailed, notOffered, missing, methodNotAllowed, timedOut, recordInUse, curveInUse, changedMeanwhile, busy, unavailable, noRoom, damaged, keyNeeded, keyTooNarrow, tooMany, crossSite, internal}

const internalDetail = "something went wrong inside; the log has the details under this request's id"

// problem is an error that is answered as it is.
type problem struct {
	kind       *kind
	detail     string
	errors     []openapi.ProblemError
	retryAfter int // seconds; 0: not told
}

func (p *problem) Error() string { return p.kind.Slug + ": " + p.detail }

func newProblem(k *kind, format string, args ...any) *problem {
	return &problem{kind: k, detail: fmt.Sprintf(format, args...)}
}

func notFound(format string, args ...any) *problem { return newProblem(missing, format, args...) }

// isMissing tells what is not there from all else that may be wrong.
func isMissing(err error) bool {
	var p *problem
	return errors.As(err, &p) && p.kind == missing || errors.Is(err, storage.ErrNotFound)
}

// add notes a place where something is wrong.
func (p *problem) add(location, format string, args ...any) {
	p.errors = append(p.errors, openapi.ProblemError{Location: location, Detail: fmt.Sprintf(format, args...)})
}

// at is add, for a problem that is being made.
func (p *problem) at(location, format string, args ...any) *problem {
	p.add(location, format, args...)
	return p
}

// located is an error about a document that is not the body: a saved one, whose places begin with another word.
type located struct {
	root string
	err  error
}

func (l *located) Error() string { return l.root + ": " + l.err.Error() }
func (l *located) Unwrap() error { return l.err }

// storeError is a failure of the database itself.
type storeError struct{ err error }

func (e *storeError) Error() string { return "store: " + e.err.Error() }
func (e *storeError) Unwrap() error { return e.err }

// stored marks the errors of the store that are none of its sentinels: the database failed.
func stored(err error) error {
	for _, known := range []error{nil, storage.ErrNotFound, storage.ErrConflict, storage.ErrInUse, context.Canceled, context.DeadlineExceeded} {
		if errors.Is(err, known) {
			return err
		}
	}
	return &storeError{err}
}

// problemOf turns any error into what is answered. known is false for one that nobody foresaw: its text is for the log alone.
func problemOf(err error) (p *problem, known bool) {
	root := "body"
	if l := (*located)(nil); errors.As(err, &l) {
		root = l.root
	}
	var (
		doc     *document.Error
		invalid *assess.InvalidError
		tooLong *http.MaxBytesError
		db      *storeError
	)
	switch {
	case errors.As(err, &p):
		return p, true
	case errors.As(err, &doc):
		return documentProblem(doc, root), true
	case errors.As(err, &invalid):
		return faultsProblem(fieldErrors(invalid), root), true
	case errors.As(err, &tooLong):
		return newProblem(tooLarge, "the body is longer than %d bytes, the most that is taken", tooLong.Limit), true
	case errors.Is(err, storage.ErrInUse):
		return newProblem(recordInUse, "a saved site takes its wind from this record"), true
	case errors.Is(err, storage.ErrConflict):
		return newProblem(changedMeanwhile, "it is no longer the version that If-Match names"), true
	case errors.Is(err, storage.ErrNotFound):
		return notFound("there is no such record or site"), true
	case errors.Is(err, storage.ErrNoRoom):
		return newProblem(noRoom, "the database's disk is full, or may only be read; nothing was stored or changed"), false
	case errors.Is(err, storage.ErrCorrupt):
		return newProblem(damaged, "what is stored of this is damaged; put a backup back, or delete the record and upload its file again"), false
	case errors.As(err, &db):
		return &problem{kind: unavailable, detail: "the database does not answer as it should", retryAfter: 5}, false
	case errors.Is(err, os.ErrDeadlineExceeded):
		return newProblem(timedOut, "the rest of the body did not come in time"), true
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return &problem{kind: busy, detail: "the request ended before its answer was ready", retryAfter: 5}, true
	}
	return newProblem(internal, internalDetail), false
}

// fieldErrors are the domain's faults in the document's terms.
func fieldErrors(e *assess.InvalidError) []document.FieldError {
	out := make([]document.FieldError, len(e.Fields))
	for i, f := range e.Fields {
		out[i] = document.FieldError{Location: f.Location, Detail: f.Detail}
	}
	return out
}

func documentProblem(e *document.Error, root string) *problem {
	p := faultsProblem(e.Fields, root)
	if e.Malformed {
		p.kind = malformedBody
		p.detail = e.Fields[0].Detail
	}
	return p
}

func faultsProblem(fields []document.FieldError, root string) *problem {
	fields, all := document.Told(fields)
	p := newProblem(invalidRequest, "%d things in the document must be mended", len(fields))
	switch {
	case !all:
		p.detail = fmt.Sprintf("more than %d things in the document must be mended", document.MaxFaults)
	case len(fields) == 1:
		p.detail = "one thing in the document must be mended"
	}
	for _, f := range fields {
		at := root
		if f.Location != "" {
			at += "." + f.Location
		}
		if f.Location != "" && f.Location[0] == '[' {
			at = root + f.Location
		}
		e := openapi.ProblemError{Location: at, Detail: f.Detail}
		if f.Line > 0 {
			line, column := f.Line, f.Column
			e.Line, e.Column = &line, &column
		}
		p.errors = append(p.errors, e)
	}
	return p
}

// refuse answers an error and ends the request: by a page where a page was asked for, else as problem details.
func (s *service) refuse(c *gin.Context, err error) {
	c.Abort()
	p, known := problemOf(err)
	if !known {
		s.Logger.ErrorContext(c, "a request failed", "id", requestID(c), "route", c.FullPath(), "error", err)
	}
	if c.Writer.Written() {
		return // too late to say it
	}
	out := openapi.Problem{
		Type:     "/problems/" + p.kind.Slug,
		Title:    p.kind.Title(),
		Status:   p.kind.Status,
		Detail:   p.detail,
		Instance: requestID(c),
		Errors:   p.errors,
	}
	h := c.Writer.Header()
	h.Set("Cache-Control", "no-store")
	h.Del("ETag")
	if p.retryAfter > 0 {
		h.Set("Retry-After", strconv.Itoa(p.retryAfter))
	}
	if p.kind == tooLarge {
		h.Set("Connection", "close") // whatever is still coming is not read
	}
	if s.refusedAsPage(c, &out) {
		return
	}
	body, err := json.Marshal(out)
	if err != nil {
		s.Logger.ErrorContext(c, "a problem cannot be written", "id", requestID(c), "error", err)
	}
	h.Set("Content-Type", "application/problem+json")
	h.Set("Content-Length", strconv.Itoa(len(body)))
	c.Writer.WriteHeader(p.kind.Status)
	if _, err := bytes.NewReader(body).WriteTo(c.Writer); err != nil && c.Request.Context().Err() == nil {
		s.Logger.WarnContext(c, "a problem broke off", "id", requestID(c), "error", err)
	}
}

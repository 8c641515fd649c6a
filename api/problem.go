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
	"mastworth/openapi"
	"mastworth/storage"
	"mastworth/yield/assess"
)

// kind is a kind of problem. Its page at /problems/<slug> explains it.
type kind struct {
	Slug   string
	Status int
	Title  string
	About  string // what it means and what to do, for the page
}

// The kinds of problem there are.
var (
	malformedBody = &kind{"malformed-body", http.StatusBadRequest, "The body cannot be read",
		"The body is neither JSON nor YAML, or it is cut short. The error names the line and column where reading stopped. " +
			"Check that the whole file was sent, and that its syntax is right from there on."}
	invalidRequest = &kind{"invalid-request", http.StatusUnprocessableEntity, "Something in the document is wrong",
		"The document can be read, but something in it is unknown, missing, of the wrong type, out of range or impossible. " +
			"Each error names its place, such as body.towers[0].hub_height_m, and what would mend it. All faults found are listed."}
	invalidParameters = &kind{"invalid-parameters", http.StatusBadRequest, "A parameter is wrong",
		"A part of the address, a query parameter or a header is unknown or has a value it cannot have. The error names it, such as " +
			"query.stamps_at or path.id."}
	unreadableRecord = &kind{"unreadable-record", http.StatusUnprocessableEntity, "The record cannot be read",
		"The uploaded file is of no kind that can be read, is damaged, or holds no usable table of measurements. The error names " +
			"the line and column. Where the content was guessed wrong, say how to read it with query parameters. Nothing was stored."}
	unsupportedMedia = &kind{"unsupported-media-type", http.StatusUnsupportedMediaType, "The kind of content is not taken here",
		"Request documents are application/json or application/yaml; records are text/csv, text/plain, application/octet-stream or " +
			"multipart/form-data, whole or as gzip or zip. Say which in the Content-Type header."}
	notAcceptable = &kind{"not-acceptable", http.StatusNotAcceptable, "There is no answer of that kind",
		"Samples are given as text/csv or application/vnd.apache.parquet. Ask for one of them in the Accept header or by format."}
	tooLarge = &kind{"too-large", http.StatusRequestEntityTooLarge, "The body is too large",
		"The service takes no more at once. Cut the file into pieces or average it to longer steps. Nothing was stored."}
	fetchOff = &kind{"fetch-off", http.StatusForbidden, "This service fetches nothing",
		"Whoever runs the service has not switched on that it calls out to public data services. Fetch the record with the command and " +
			"upload it, or ask for fetch to be set."}
	fetchFailed = &kind{"fetch-failed", http.StatusBadGateway, "The public data could not be had",
		"A public data service refused, did not answer, or answered something that is not the data. The error says which and what to do. " +
			"What came before is kept: asking again goes on from there."}
	notOffered = &kind{"not-offered", http.StatusNotImplemented, "That format is not offered",
		"The address and the thing are right, but it is not answered in the format asked for. Ask for JSON."}
	missing = &kind{"not-found", http.StatusNotFound, "There is no such thing",
		"Nothing is at this address. It may have been deleted, or the address is misspelt."}
	methodNotAllowed = &kind{"method-not-allowed", http.StatusMethodNotAllowed, "That cannot be done here",
		"The address exists, but not for this method. The Allow header lists those it has."}
	timedOut = &kind{"timed-out", http.StatusRequestTimeout, "The body came too slowly",
		"The service waited for the rest of the body and gave up. Send it again over a faster line, or in pieces. Nothing was stored."}
	recordInUse = &kind{"record-in-use", http.StatusConflict, "The record is still in use",
		"A saved site takes its wind from this record. Delete the site, or give it other wind, first."}
	curveInUse = &kind{"curve-in-use", http.StatusConflict, "The curve is still in use",
		"A saved site takes its turbine from this curve. Delete the site, or give it another turbine, first."}
	changedMeanwhile = &kind{"changed-meanwhile", http.StatusPreconditionFailed, "Somebody changed it meanwhile",
		"The If-Match header names a version that is no longer the current one. Read it again, make your change to what you get, and " +
			"send it with its ETag."}
	busy = &kind{"busy", http.StatusServiceUnavailable, "Too much at once",
		"As much heavy work as this service does at a time is already under way. Try again after the seconds in the Retry-After header."}
	unavailable = &kind{"unavailable", http.StatusServiceUnavailable, "The database does not answer",
		"The service runs, but its database cannot be reached or failed. Try again shortly; if it lasts, tell whoever runs the service " +
			"the request's id."}
	noRoom = &kind{"no-room", http.StatusInsufficientStorage, "Nothing can be kept now",
		"The database cannot be written: its disk is full, or may only be read. Nothing was stored or changed, and what is there can still be " +
			"read. Tell whoever runs the service to make room, or to let the disk be written; then send it again."}
	damaged = &kind{"damaged", http.StatusInternalServerError, "What is stored is damaged",
		"What the database holds of this is not what was written into it, so it is not used; all else is. Whoever runs the service finds out by " +
			"mastworth verify what is damaged, and puts a backup back, or deletes the record and uploads its file again."}
	keyNeeded = &kind{"key-needed", http.StatusUnauthorized, "A key is needed",
		"This service answers those who have a key, but for what a club shows to everybody. Send it as a bearer in the Authorization header, or sign in with " +
			"it at /signin. Whoever runs the service makes keys with the command."}
	keyTooNarrow = &kind{"key-too-narrow", http.StatusForbidden, "The key does not open this",
		"A key may read, or write as well, or make keys as well. Ask whoever runs the service for one that may do what you want."}
	tooMany = &kind{"too-many-requests", http.StatusTooManyRequests, "Too many requests",
		"Each key, and each address without one, may make so many requests a second. Wait the seconds in the Retry-After header."}
	crossSite = &kind{"cross-site", http.StatusForbidden, "Another website sent this",
		"A browser says that what came was sent by a page of another website, which may not change anything here. Open the service's own page. " +
			"Scripts outside a browser are not concerned."}
	internal = &kind{"internal", http.StatusInternalServerError, "The service made a mistake",
		"This is a fault of the service, not of the request. The details are in its log, under the request's id, which is in the " +
			"answer's instance: tell it to whoever runs the service."}
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
	p := newProblem(invalidRequest, "%d things in the document must be mended", len(fields))
	if len(fields) == 1 {
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
		Title:    p.kind.Title,
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

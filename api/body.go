package api

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"sync"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/yield/assess"
)

// buffers are for bodies on their way in and out. Those that grew large are left to the garbage collector.
var buffers = sync.Pool{New: func() any { return bytes.NewBuffer(make([]byte, 0, 16<<10)) }}

const largestKeptBuffer = 256 << 10

func newBuffer() *bytes.Buffer {
	b := buffers.Get().(*bytes.Buffer)
	b.Reset()
	return b
}

func freeBuffer(b *bytes.Buffer) {
	if b.Cap() <= largestKeptBuffer {
		buffers.Put(b)
	}
}

// requestDocument is a request document that came as a body.
type requestDocument struct {
	openapi.EstimateRequest
	domain  assess.Request
	records document.Refs
	text    *bytes.Buffer // as it came
	syntax  document.Syntax
}

// readDocument reads and decodes a body. The document must be freed.
func (s *service) readDocument(ctx context.Context, body io.Reader, contentType string) (*requestDocument, error) {
	d := new(requestDocument)
	var err error
	if d.text, d.syntax, err = s.readText(body, contentType); err != nil {
		return nil, err
	}
	far, fault := document.DecodeFar(d.text.Bytes(), d.syntax)
	if fault != nil {
		defer d.free()
		return nil, d.located(s.besideUnread(ctx, fault, far))
	}
	d.EstimateRequest = far
	whole, kept, err := s.withCurve(ctx, d.EstimateRequest)
	if err != nil {
		defer d.free()
		return nil, d.located(besideMissingCurve(err, whole))
	}
	d.domain, d.records = document.ToRequest(whole)
	d.domain.Turbine.Kept = kept
	if d.namesFile() {
		defer d.free()
		return nil, d.located(noFile(d))
	}
	return d, nil
}

// besideMissingCurve adds whatever else is wrong with a request whose curve is not there, which needs some curve to be seen.
func besideMissingCurve(err error, r openapi.EstimateRequest) error {
	var missing *document.Error
	if !errors.As(err, &missing) {
		return err
	}
	r.Turbine = withSomeCurve(r.Turbine)
	domain, _ := document.ToRequest(r)
	var invalid *assess.InvalidError
	if errors.As(assess.Check(domain), &invalid) {
		missing.Fields = append(missing.Fields, fieldErrors(invalid)...)
	}
	return missing
}

// withSomeCurve is a turbine with a curve in which nothing is wrong, and a rotor where none is given, so that the rest can be looked at.
func withSomeCurve(t openapi.TurbineInput) openapi.TurbineInput {
	diameter := 0.2 // which no tower is too low for
	if t.RotorDiameterM == nil {
		t.RotorDiameterM = &diameter
	}
	t.Curve, t.TestLog, t.Design = nil, nil, nil
	t.PowerCurve = &openapi.PowerCurve{Points: [][]float64{{3, 0}, {10, 10}}}
	return t
}

// besideUnread adds to what cannot be read of a document whatever is wrong with the rest, so that all is told at once.
func (s *service) besideUnread(ctx context.Context, fault *document.Error, far openapi.EstimateRequest) error {
	if fault.Malformed {
		return fault
	}
	whole, _, err := s.withCurve(ctx, far)
	var missing *document.Error
	switch {
	case errors.As(err, &missing):
		fault.Besides(missing.Fields)
		whole.Turbine = withSomeCurve(whole.Turbine)
	case err != nil:
		return err
	}
	if whole.Turbine.PowerCurve == nil && fault.Within("turbine") {
		whole.Turbine = withSomeCurve(whole.Turbine) // nothing could be worked out
	}
	if fault.Within("money.currency") {
		whole.Money.Currency = nil
	}
	domain, _ := document.ToRequest(whole)
	var invalid *assess.InvalidError
	if errors.As(assess.Check(domain), &invalid) {
		fault.Besides(fieldErrors(invalid))
	}
	fault.Fields, _ = document.Told(fault.Fields)
	return fault
}

// readText reads the body of a document. The buffer must be freed.
func (s *service) readText(body io.Reader, contentType string) (*bytes.Buffer, document.Syntax, error) {
	syntax, ok := document.SyntaxOf(contentType)
	if !ok {
		p := newProblem(unsupportedMedia, "a document is application/json or application/yaml")
		return nil, syntax, p.at("header.Content-Type", "must be application/json or application/yaml, not %s", printable(contentType))
	}
	text := newBuffer()
	// net/http ends a body at its Content-Length, so one byte more than the limit tells a longer one.
	n, err := text.ReadFrom(io.LimitReader(body, s.MaxBodyBytes+1))
	switch {
	case err != nil:
		freeBuffer(text)
		return nil, syntax, uploadError(err)
	case n > s.MaxBodyBytes:
		freeBuffer(text)
		return nil, syntax, newProblem(tooLarge, "the document is longer than %d bytes, the most that is taken", s.MaxBodyBytes)
	}
	return text, syntax, nil
}

// namesFile reports whether a document names a file, which a service does not open.
func (d *requestDocument) namesFile() bool {
	return d.namesLoad() || d.namesClimatology() || slices.ContainsFunc(d.records.All(), func(r *document.RecordRef) bool { return r.File != "" })
}

func (d *requestDocument) namesLoad() bool { return d.Household != nil && d.Household.LoadFile != nil }

func (d *requestDocument) namesClimatology() bool {
	return d.Solar != nil && d.Solar.ClimatologyFile != nil
}

// noFile says that the service sees no files, beside whatever else is wrong with the request.
func noFile(d *requestDocument) error {
	var faults []document.FieldError
	for _, ref := range d.records.All() {
		if ref.File != "" {
			faults = append(faults, document.FieldError{Location: ref.At + ".file",
				Detail: "the service cannot see your files; upload it to /v1/records and give the id you get as " + ref.At + ".id"})
		}
	}
	if d.namesLoad() {
		faults = append(faults, document.FieldError{Location: "household.load_file",
			Detail: "the service cannot see your files; send what is in it as household.load_csv"})
	}
	if d.namesClimatology() {
		faults = append(faults, document.FieldError{Location: "solar.climatology_file",
			Detail: "the service cannot see your files; send its months as solar.monthly_irradiation_kwh_m2"})
	}
	var invalid *assess.InvalidError
	if err := assess.Check(d.domain); errors.As(err, &invalid) {
		faults = append(faults, fieldErrors(invalid)...)
	} else if err != nil {
		return err
	}
	return &document.Error{Fields: faults}
}

func (d *requestDocument) free() { freeBuffer(d.text) }

// located gives faults found without the text their line and column in it.
func (d *requestDocument) located(err error) error {
	var invalid *assess.InvalidError
	var doc *document.Error
	switch {
	case errors.As(err, &invalid):
		return &document.Error{Fields: document.Locate(d.text.Bytes(), d.syntax, fieldErrors(invalid))}
	case errors.As(err, &doc):
		return &document.Error{Fields: document.Locate(d.text.Bytes(), d.syntax, doc.Fields), Malformed: doc.Malformed}
	}
	return err
}

// uploadError is what became of a body that could not be read to its end.
func uploadError(err error) error {
	var tooLong *http.MaxBytesError
	if errors.As(err, &tooLong) {
		return err
	}
	if errors.Is(err, io.ErrUnexpectedEOF) {
		p := newProblem(malformedBody, "the body ended before its announced length")
		return p.at("body", "was cut short on its way; send it again")
	}
	return fmt.Errorf("reading the body: %w", err)
}

// written is an answer that is already JSON in a buffer, which it gives back once it is sent.
type written struct {
	buf  *bytes.Buffer
	etag string // quoted; empty for none
}

// send writes the answer with a status.
func (a written) send(w http.ResponseWriter, status int) error {
	defer freeBuffer(a.buf)
	return sendJSON(w, status, a.buf.Bytes(), a.etag)
}

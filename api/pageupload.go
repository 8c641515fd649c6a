package api

import (
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"path"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"mastworth/api/page"
	"mastworth/resource/ingest"
	"mastworth/storage"
)

// mostFieldBytes is how long all of a form's fields before its file may be.
const mostFieldBytes = 64 << 10

// addFile takes a file from the page's form. Its fields come before the file, which is read as it arrives.
func (s *service) addFile(c *gin.Context) error {
	if c.Request.ContentLength > s.MaxUploadBytes+mostFieldBytes {
		return s.uploadTooLarge()
	}
	c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, s.MaxUploadBytes+mostFieldBytes)
	values, f, err := readUploadForm(c.Request)
	var rec storage.Record
	if err == nil {
		rec, err = s.keepFile(c, values, f)
	}
	if err == nil {
		return seeOther(c, "/records/"+rec.ID)
	}
	faults, ok := uploadFaults(s.uploadReadError(err))
	if !ok {
		return s.uploadReadError(err)
	}
	// A browser shows no answer that comes before it has sent everything.
	_, _ = io.Copy(io.Discard, c.Request.Body) //nolint:errcheck // it is to be thrown away
	p, err := s.recordsPage(c.Request.Context(), "", unitsOf(c))
	if err != nil {
		return err
	}
	p.Upload, p.Fetch = page.NewUploadForm(ingest.Formats(), values, faults), page.NewFetchForm(url.Values{}, nil)
	return s.showWith(c, http.StatusUnprocessableEntity, "records", recordsFrame(c, p))
}

// keepFile reads and stores the file the way the form's fields ask.
func (s *service) keepFile(c *gin.Context, values url.Values, f *upload) (storage.Record, error) {
	o, name, err := uploadOptions(values.Encode())
	if err != nil {
		return storage.Record{}, err
	}
	if name == "" {
		name = f.name
	}
	ctx := c.Request.Context()
	done, err := s.begin(ctx)
	if err != nil {
		return storage.Record{}, err
	}
	defer done()
	return s.importRecord(ctx, f, name, o)
}

// readUploadForm reads the fields that were filled in, up to the file.
func readUploadForm(r *http.Request) (url.Values, *upload, error) {
	values := url.Values{}
	form, err := r.MultipartReader()
	if err != nil {
		return values, nil, newProblem(malformedBody, "the form cannot be read: %s", err).at("header.Content-Type", "%s", err)
	}
	left := int64(mostFieldBytes)
	for {
		part, err := nextPart(form)
		switch {
		case errors.Is(err, io.EOF):
			return values, nil, noFileChosen()
		case err != nil:
			return values, nil, formError(err)
		}
		name := part.FormName()
		if name == "file" {
			file := path.Base(strings.ReplaceAll(part.FileName(), `\`, "/"))
			if part.FileName() == "" {
				return values, nil, noFileChosen()
			}
			return values, &upload{Reader: whole{part}, name: file, parts: form}, nil
		}
		if left, err = readField(values, name, part, left); err != nil {
			return values, nil, err
		}
	}
}

func noFileChosen() error {
	return newProblem(malformedBody, "there is no file in the form").at("body.file", "%s", page.Text("records.no_file"))
}

// readField takes up a field's value, or its lines.
func readField(values url.Values, name string, part *multipart.Part, left int64) (int64, error) {
	text, err := io.ReadAll(io.LimitReader(part, left+1))
	if err != nil {
		return 0, formError(err)
	}
	if left -= int64(len(text)); left < 0 {
		return 0, newProblem(tooLarge, "the form's fields are longer than %d bytes", mostFieldBytes).at("body", "has fields that are too long")
	}
	lines := []string{string(text)}
	if page.UploadLines[name] {
		lines = strings.Split(string(text), "\n")
	}
	for _, l := range lines {
		if l = strings.TrimSpace(l); l != "" {
			values.Add(name, l)
		}
	}
	return left, nil
}

// uploadFaults are what is wrong with the form or its file, by field; false where it is nothing a form can say.
func uploadFaults(err error) (map[string]string, bool) {
	var p *problem
	if !errors.As(err, &p) || p.kind != malformedBody && p.kind != invalidParameters && p.kind != unreadableRecord {
		return nil, false
	}
	out := map[string]string{}
	known := map[string]bool{"name": true}
	for _, name := range page.UploadOptions {
		known[name] = true
	}
	for _, e := range p.errors {
		field, isOption := strings.CutPrefix(e.Location, "query.")
		words := e.Detail
		switch {
		case strings.HasPrefix(e.Location, "body"):
			field = "file"
			if e.Line != nil {
				words = page.Text("record.line", *e.Line) + ": " + words
			}
		case !isOption || !known[field]:
			field, words = "", strconv.Quote(e.Location)+" "+words
		}
		if out[field] != "" {
			words = out[field] + "; " + words
		}
		out[field] = words
	}
	if len(out) == 0 {
		out[""] = p.detail
	}
	return out, true
}

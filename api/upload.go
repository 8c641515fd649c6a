package api

import (
	"context"
	"errors"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"os"
	"path"
	"strings"

	"github.com/gin-gonic/gin"

	"mastworth/storage"
)

// uploadTypes are the content types that are taken for a record's file. The content itself decides how it is read.
var uploadTypes = map[string]bool{
	"text/csv": true, "application/csv": true, "text/plain": true, "text/tab-separated-values": true, "application/json": true,
	"application/gzip": true, "application/zip": true, parquetType: true,
	"application/octet-stream": true, "application/vnd.ms-excel": true, // what some systems call every .csv
}

// uploadRecord takes a file, reads it as it comes, and stores all of it or nothing.
func (s *service) uploadRecord(c *gin.Context) {
	rec, err := s.upload(c)
	if err != nil {
		s.refuse(c, err)
		return
	}
	out, err := wireRecord(&rec)
	if err != nil {
		s.refuse(c, err)
		return
	}
	if err := (answer{body: out, location: "/v1/records/" + rec.ID}).send(c.Writer, http.StatusCreated); err != nil {
		s.unanswered(c, err)
	}
}

func (s *service) upload(c *gin.Context) (storage.Record, error) {
	o, name, err := uploadOptions(c.Request.URL.RawQuery)
	if err != nil {
		return storage.Record{}, err
	}
	if c.Request.ContentLength > s.MaxUploadBytes {
		return storage.Record{}, s.uploadTooLarge()
	}
	ctx := requestContext(c)
	done, err := s.begin(ctx)
	if err != nil {
		return storage.Record{}, err
	}
	defer done()
	c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, s.MaxUploadBytes)
	f, err := openUpload(c.Request)
	if err != nil {
		return storage.Record{}, s.uploadReadError(err)
	}
	if name == "" {
		name = f.name
	}
	o.SizeHint = f.size
	return s.importRecord(ctx, f, name, o)
}

func (s *service) uploadTooLarge() error {
	return newProblem(tooLarge, "the file is longer than %d bytes, the most that is taken", s.MaxUploadBytes).
		at("body", "must be at most %d bytes long: cut it into pieces, or average it to longer steps", s.MaxUploadBytes)
}

// upload is a file on its way in.
type upload struct {
	io.Reader
	name  string
	size  int64             // 0 where it is not told
	parts *multipart.Reader // of a form, to see that nothing follows the file
}

// openUpload finds the file in a request.
func openUpload(r *http.Request) (*upload, error) {
	media := r.Header.Get("Content-Type")
	if media == "" {
		media = "application/octet-stream"
	}
	kind, _, err := mime.ParseMediaType(media)
	switch {
	case err == nil && kind == "multipart/form-data":
		return openForm(r)
	case err != nil || !uploadTypes[kind]:
		return nil, newProblem(unsupportedMedia, "a record's file is text/csv, text/plain, application/octet-stream or a form's part").
			at("header.Content-Type", "is %s, which is not taken; for a table of measurements send text/csv", printable(media))
	}
	return &upload{Reader: whole{r.Body}, size: max(0, r.ContentLength)}, nil
}

func openForm(r *http.Request) (*upload, error) {
	form, err := r.MultipartReader()
	if err != nil {
		return nil, newProblem(malformedBody, "the form cannot be read: %s", err).at("header.Content-Type", "%s", err)
	}
	part, err := nextPart(form)
	switch {
	case errors.Is(err, io.EOF):
		return nil, newProblem(malformedBody, "the form is empty").at("body.file", "is missing; send the file as the part called file")
	case err != nil:
		return nil, formError(err)
	case part.FormName() != "file":
		return nil, newProblem(malformedBody, "the form has a part this operation does not know").
			at("body."+printable(part.FormName()), "is not known; send the file as the part called file, and how to read it as query parameters")
	}
	return &upload{Reader: whole{part}, name: path.Base(strings.ReplaceAll(part.FileName(), `\`, "/")), parts: form}, nil
}

// nextPart is a form's next part, or io.EOF where the form is closed. One that is cut off before that is no form, though the library
// has it end with the same error, wrapped.
func nextPart(form *multipart.Reader) (*multipart.Part, error) {
	part, err := form.NextPart()
	if errors.Is(err, io.EOF) && err != io.EOF { //nolint:errorlint // see above
		err = errCut
	}
	return part, err
}

// end makes sure that nothing follows the file.
func (u *upload) end() error {
	if u.parts == nil {
		return nil
	}
	part, err := nextPart(u.parts)
	switch {
	case errors.Is(err, io.EOF):
		return nil
	case err != nil:
		return formError(err)
	}
	return newProblem(malformedBody, "the form has more than a file").
		at("body."+printable(part.FormName()), "is not known; one form takes one file, and how to read it goes into query parameters")
}

// formError is what became of a form whose parts could not be read to the end: the form's fault, unless it is too long or too slow.
func formError(err error) error {
	for _, known := range []error{os.ErrDeadlineExceeded, context.Canceled, context.DeadlineExceeded} {
		if errors.Is(err, known) {
			return err
		}
	}
	if errors.As(err, new(*http.MaxBytesError)) {
		return err
	}
	return newProblem(malformedBody, "the form cannot be read: %s", printable(err.Error())).at("body", "is no whole form; send it again")
}

// errCut says that the connection ended before the file did.
var errCut = errors.New("the file ended before its announced length")

// whole tells a body that was cut off from one that ended, which some readers take for the same.
type whole struct{ r io.Reader }

func (w whole) Read(p []byte) (int, error) {
	n, err := w.r.Read(p)
	if errors.Is(err, io.ErrUnexpectedEOF) {
		err = errCut
	}
	return n, err
}

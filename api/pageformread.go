package api

import (
	"context"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"path"
	"strings"

	"github.com/gin-gonic/gin"

	"mastworth/api/page"
	"mastworth/resource/ingest"
	"mastworth/storage"
)

// guideForm is what the guided page sent.
type guideForm struct {
	values     url.Values
	draft      []byte // a file to be opened
	record     string // id of the one made of a file that was sent along
	recordName string
	ignored    bool              // whether there was a file that nothing asked for
	faults     map[string]string // of the files, by their names
}

// readGuideForm reads a post of the page, with or without files. A file of measurements is stored as it arrives.
func (s *service) readGuideForm(c *gin.Context) (*guideForm, error) {
	sent := &guideForm{values: url.Values{}, faults: map[string]string{}}
	if c.ContentType() == formType {
		var err error
		sent.values, err = s.readForm(c)
		return sent, err
	}
	c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, s.MaxUploadBytes+3*s.MaxBodyBytes)
	parts, err := c.Request.MultipartReader()
	if err != nil {
		return nil, newProblem(unsupportedMedia, "this takes a page's form").
			at("header.Content-Type", "must be multipart/form-data or application/x-www-form-urlencoded, not %s", printable(c.ContentType()))
	}
	left := 2 * s.MaxBodyBytes // what is carried along may be as long as a document, escaped or typed anew
	for {
		part, err := nextPart(parts)
		switch {
		case errors.Is(err, io.EOF):
			return sent, nil
		case err != nil:
			return nil, formError(err)
		}
		switch name := part.FormName(); {
		case name == "wind.file":
			err = s.takeGuideFile(c, sent, part)
		case name == "draft":
			err = s.takeDraft(sent, part)
		default:
			left, err = readValue(sent.values, name, part, left)
		}
		if err != nil {
			return nil, err
		}
	}
}

// readValue takes up a field as it was typed.
func readValue(values url.Values, name string, part *multipart.Part, left int64) (int64, error) {
	text, err := io.ReadAll(io.LimitReader(part, left+1))
	if err != nil {
		return 0, formError(err)
	}
	if left -= int64(len(text) + len(name)); left < 0 {
		return 0, newProblem(tooLarge, "the form's fields are longer than a document may be").at("body", "has fields that are too long")
	}
	values.Add(name, strings.ToValidUTF8(string(text), "\uFFFD"))
	return left, nil
}

// takeDraft keeps a file that may be opened.
func (s *service) takeDraft(sent *guideForm, part *multipart.Part) error {
	text, err := io.ReadAll(io.LimitReader(part, s.MaxBodyBytes+1))
	if err != nil {
		return formError(err)
	}
	if int64(len(text)) > s.MaxBodyBytes {
		sent.faults["draft"] = page.Text("form.draft_too_long", s.MaxBodyBytes)
		return nil
	}
	sent.draft = text
	return nil
}

// takeGuideFile makes a record of a file, if the wind is to come from one.
func (s *service) takeGuideFile(c *gin.Context, sent *guideForm, part *multipart.Part) error {
	if part.FileName() == "" {
		return nil
	}
	if sent.values.Get("by.wind") != "file" {
		sent.ignored = true
		return nil
	}
	name := path.Base(strings.ReplaceAll(part.FileName(), `\`, "/"))
	ctx := c.Request.Context()
	done, err := s.begin(ctx)
	if err != nil {
		return err
	}
	rec, err := s.importRecord(ctx, &upload{Reader: whole{part}, name: name}, name, ingest.Options{})
	done()
	if err == nil {
		rec, err = s.keptOnce(ctx, rec)
	}
	if err == nil {
		summary, err := wireRecordSummary(&rec)
		sent.record, sent.recordName = rec.ID, page.RecordTitle(&summary)
		return err
	}
	faults, ok := uploadFaults(s.uploadReadError(err))
	if !ok {
		return err
	}
	for _, words := range faults {
		sent.faults["wind.file"] = page.Units{}.Words(words)
	}
	return nil
}

// keptOnce gives up a record that was just made of a file where the same file is there already: a page that is sent twice, with
// another button or after a fault, brings its file along each time.
func (s *service) keptOnce(ctx context.Context, rec storage.Record) (storage.Record, error) {
	listed, err := s.Store.Records(ctx, storage.Page{Limit: choicesListed})
	if err != nil {
		return rec, stored(err)
	}
	for i := range listed {
		before := &listed[i]
		if before.ID == rec.ID || before.Name != rec.Name || before.ContentHash != rec.ContentHash {
			continue
		}
		if err := s.Store.DeleteRecord(ctx, rec.ID); err != nil {
			return rec, stored(err)
		}
		s.records.drop(rec.ID)
		return *before, nil
	}
	return rec, nil
}

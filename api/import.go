package api

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"net/http"
	"slices"
	"strings"
	"sync"
	"unicode"

	"mastworth/api/document"
	"mastworth/resource"
	"mastworth/resource/ingest"
	"mastworth/storage"
)

// importRecord reads a file and stores what it holds, with its report and statistics, in one transaction.
func (s *service) importRecord(ctx context.Context, f *upload, name string, o ingest.Options) (storage.Record, error) {
	_, end := s.span(ctx, "read a file")
	series, report, err := ingest.Read(f, o)
	end(err)
	if err == nil {
		// The reader may have stopped before the end, at which a cut or a further part would show.
		if _, err = io.Copy(io.Discard, f); err == nil {
			err = f.end()
		}
	}
	if err != nil {
		return storage.Record{}, s.uploadReadError(err)
	}
	if err := uncut(&report); err != nil {
		return storage.Record{}, err
	}
	if err := ctx.Err(); err != nil {
		return storage.Record{}, err
	}
	return s.keepRecord(ctx, name, series, &report)
}

// keepRecord stores a series that was just read, with its report and statistics, in one transaction.
func (s *service) keepRecord(ctx context.Context, name string, series *resource.Series, report *ingest.Report) (kept storage.Record, err error) {
	ctx, end := s.span(ctx, "keep a record")
	defer func() { end(err) }()
	asRead := unscreened(series)
	rec, err := s.newRecord(name, asRead, report)
	if err != nil {
		return storage.Record{}, err
	}
	// Screening and statistics go on beside the writing: they read the same values and share nothing else.
	statistics := sync.OnceValues(ahead(func() ([]byte, error) { return statisticsOf(series) }))
	hash := sha256.New()
	hash.Write(rec.Meta) // the same samples by another clock are another record
	rec, err = s.Store.CreateRecord(ctx, rec.ID, hashed(storage.EncodeBlocks(asRead), hash), func() (storage.Record, error) {
		rec.ContentHash = hex.EncodeToString(hash.Sum(nil))
		var err error
		rec.Statistics, err = statistics()
		return rec, err
	})
	if _, errStatistics := statistics(); err == nil { // the work is over before its turn is
		err = errStatistics
	}
	if err != nil {
		return rec, stored(err)
	}
	s.records.put(rec.ID, series)
	s.metrics.rows.AddInt64(rec.Rows)
	return rec, nil
}

// ahead starts f at once and returns a function that waits for what it gives; that may be called once.
func ahead[T any](f func() (T, error)) func() (T, error) {
	var (
		v    T
		err  error
		done = make(chan struct{})
	)
	go func() {
		defer close(done)
		// The request's own recovery does not reach this goroutine.
		defer func() {
			if p := recover(); p != nil {
				err = fmt.Errorf("a record's statistics panicked: %v", p)
			}
		}()
		v, err = f()
	}()
	return func() (T, error) {
		<-done
		return v, err
	}
}

// statisticsOf screens a series and describes it, as JSON.
func statisticsOf(series *resource.Series) ([]byte, error) {
	found := resource.Screen(series)
	statistics, err := document.FromStatistics(series, found)
	if err != nil {
		return nil, err
	}
	return json.Marshal(statistics)
}

// unscreened shares a series' values but not its flags: a record is kept as it was read, and screened anew whenever it is
// loaded, by the rules of the day.
func unscreened(s *resource.Series) *resource.Series {
	out := *s
	out.Channels = slices.Clone(s.Channels)
	for i := range out.Channels {
		out.Channels[i].Flags = slices.Clone(out.Channels[i].Flags)
	}
	return &out
}

// hashed passes blocks on and hashes their content.
func hashed(blocks iter.Seq2[storage.Block, error], h io.Writer) iter.Seq2[storage.Block, error] {
	return func(emit func(storage.Block, error) bool) {
		for b, err := range blocks {
			if err == nil {
				_, err = h.Write(b.Data)
			}
			if !emit(b, err) {
				return
			}
		}
	}
}

// newRecord describes a series that was just read.
func (s *service) newRecord(name string, series *resource.Series, report *ingest.Report) (storage.Record, error) {
	rec := storage.Record{
		ID: s.NewID(), Name: shortName(name), SourceFormat: series.SourceFormat, CreatedAt: s.now(), Rows: int64(series.Len()),
		FirstUnix: series.Times[0], LastUnix: series.Times[series.Len()-1],
	}
	var errMeta, errReport error
	rec.Meta, errMeta = storage.EncodeMeta(series)
	rec.Report, errReport = json.Marshal(document.FromReport(report))
	return rec, errors.Join(errMeta, errReport)
}

// shortName keeps a file's name within what a name may be.
func shortName(name string) string {
	if name == "." || name == "/" {
		return ""
	}
	name = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(name, ""))
	if runes := []rune(name); len(runes) > maxNameLength {
		return string(runes[:maxNameLength])
	}
	return name
}

// uncut refuses a file whose last row breaks off: it was most likely cut short on its way here, and what is missing is not
// known.
func uncut(r *ingest.Report) error {
	cut, is := r.CutRow()
	if !is {
		return nil
	}
	p := newProblem(unreadableRecord, "the file ends in the middle of a row")
	p.add("body", "ends in the middle of a row; send the whole file, or take the broken row out if the logger left it so")
	if cut.Line > 0 {
		p.errors[0].Line = &cut.Line
	}
	if cut.Column > 0 {
		p.errors[0].Column = &cut.Column
	}
	return p
}

// uploadReadError is what became of a file that could not be read.
func (s *service) uploadReadError(err error) error {
	var (
		tooLong *http.MaxBytesError
		read    *ingest.ReadError
	)
	switch {
	case errors.As(err, new(*problem)):
		return err
	case errors.As(err, &tooLong):
		return s.uploadTooLarge()
	case errors.Is(err, errCut), errors.Is(err, io.ErrUnexpectedEOF):
		return newProblem(malformedBody, "the file ended before its announced length").at("body", "was cut short on its way; send it again")
	case errors.As(err, &read):
		p := newProblem(unreadableRecord, "%s", read.Reason).at("body", "%s", readDetail(read))
		if read.Line > 0 {
			p.errors[0].Line = &read.Line
		}
		if read.Column > 0 {
			p.errors[0].Column = &read.Column
		}
		return p
	}
	p := newProblem(invalidParameters, "the file cannot be read the way the query asks")
	for _, e := range document.OptionErrors(err) {
		if e.Option == "" {
			return fmt.Errorf("reading an upload: %w", err)
		}
		p.add("query."+e.Option, "%s", e.Reason)
	}
	return p
}

func readDetail(e *ingest.ReadError) string {
	if e.Remedy == "" {
		return e.Reason
	}
	return e.Reason + "; " + e.Remedy
}

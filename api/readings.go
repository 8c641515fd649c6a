package api

import (
	"context"
	"errors"
	"mime"
	"net/http"
	"slices"
	"strconv"
	"time"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/storage"
	"mastworth/yield/harvest"
)

func (a answer) VisitListReadingsResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusOK)
}
func (a answer) VisitAddReadingsResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusOK)
}

// ListReadings lists a site's readings, the latest first.
func (s *service) ListReadings(ctx context.Context, r openapi.ListReadingsRequestObject) (openapi.ListReadingsResponseObject, error) {
	ctx = requestContext(ctx)
	if _, err := s.site(ctx, r.ID); err != nil {
		return nil, err
	}
	p := newListPage(r.Params.Limit, r.Params.After)
	out, err := s.readingList(ctx, r.ID, p)
	return answer{body: out}, err
}

// readingList is a page of a site's readings. After one that is gone it has none.
func (s *service) readingList(ctx context.Context, siteID string, p listPage) (openapi.ReadingList, error) {
	out := openapi.ReadingList{Readings: []openapi.Reading{}}
	all, err := s.Store.Readings(ctx, siteID)
	if err != nil {
		return out, stored(err)
	}
	slices.Reverse(all)
	if p.after != "" {
		at := slices.IndexFunc(all, func(r storage.Reading) bool { return r.ID == p.after })
		if at < 0 {
			return out, nil
		}
		all = all[at+1:]
	}
	for i := range all {
		if i == p.limit {
			out.Next = &all[i-1].ID
			break
		}
		out.Readings = append(out.Readings, wireReading(&all[i]))
	}
	return out, nil
}

func wireReading(r *storage.Reading) openapi.Reading {
	out := openapi.Reading{ID: r.ID, Time: document.Time(r.AtUnix), CreatedAt: r.CreatedAt.UTC()}
	if r.FromUnix != 0 {
		from := document.Time(r.FromUnix)
		out.From = &from
	}
	if v := r.KWh; r.Meter {
		out.MeterKWh = &v
	} else {
		out.EnergyKWh = &v
	}
	return out
}

// AddReadings adds readings, as a document or a table.
func (s *service) AddReadings(ctx context.Context, r openapi.AddReadingsRequestObject) (openapi.AddReadingsResponseObject, error) {
	ctx = requestContext(ctx)
	site, err := s.site(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	offset, err := s.siteOffset(&site)
	if err != nil {
		return nil, err
	}
	if r.Params.UTCOffset != nil {
		offset = offsetSeconds(*r.Params.UTCOffset)
	}
	// A table is a document too, as far as its length goes.
	table, media := isTable(r.ContentType), r.ContentType
	if table {
		media = "application/yaml"
	}
	text, syntax, err := s.readText(r.Body, media)
	if err != nil {
		return nil, readingsMedia(err)
	}
	defer freeBuffer(text)
	var (
		all      []harvest.Reading
		warnings []resource.Warning
	)
	if table {
		all, warnings, err = harvest.ReadCSV(text.Bytes(), offset)
	} else {
		all, err = document.DecodeReadings(text.Bytes(), syntax, offset)
	}
	if err != nil {
		return nil, tableProblem(err)
	}
	out, err := s.addReadings(ctx, &site, all, warnings)
	return answer{body: out}, err
}

func isTable(contentType string) bool {
	kind, _, err := mime.ParseMediaType(contentType)
	return err == nil && kind == csvType
}

// readingsMedia says what readings may come as.
func readingsMedia(err error) error {
	var p *problem
	if errors.As(err, &p) && p.kind == unsupportedMedia {
		return newProblem(unsupportedMedia, "readings are application/json, application/yaml or text/csv").
			at("header.Content-Type", "must be application/json, application/yaml or text/csv")
	}
	return err
}

// tableProblem turns a table's faults into what is answered.
func tableProblem(err error) error {
	var faults harvest.Faults
	if !errors.As(err, &faults) {
		return err
	}
	p := newProblem(invalidRequest, "%d things in the table must be mended", len(faults))
	if len(faults) == 1 {
		p.detail = "one thing in the table must be mended"
	}
	for _, f := range faults {
		e := openapi.ProblemError{Location: "body", Detail: f.Detail}
		if f.Column != "" {
			e.Detail = "column " + strconv.Quote(f.Column) + ": " + f.Detail
		}
		if f.Line > 0 {
			line, column := f.Line, 1
			e.Line, e.Column = &line, &column
		}
		p.errors = append(p.errors, e)
	}
	return p
}

// mostReadings is how many a site may have: five years by the hour.
const mostReadings = 50_000

// addReadings keeps what is new. What lies in the future is refused: it cannot have been read.
func (s *service) addReadings(ctx context.Context, site *storage.Site, all []harvest.Reading, warnings []resource.Warning) (openapi.ReadingsAdded, error) {
	var out openapi.ReadingsAdded
	now := s.now()
	rows := make([]storage.Reading, len(all))
	early := 0
	for i, r := range all {
		if at := document.Time(r.AtUnix); at.After(now.Add(24 * time.Hour)) { // a clock may be off, and a day's energy ends with it
			return out, newProblem(invalidRequest, "a reading lies in the future").
				at("body", "%s lies in the future, so nothing can have been read then; check the year and the order of day and month", at.Format(time.DateOnly))
		}
		if r.AtUnix < site.CreatedAt.Unix() {
			early++
		}
		rows[i] = storage.Reading{ID: s.NewID(), FromUnix: r.FromUnix, AtUnix: r.AtUnix, Meter: r.Meter, KWh: r.KWh, CreatedAt: now}
	}
	there, err := s.Store.Readings(ctx, site.ID)
	if err != nil {
		return out, stored(err)
	}
	if len(there)+len(rows) > mostReadings {
		return out, newProblem(invalidRequest, "the site has too many readings").
			at("body", "with these %d the site has more than %d readings; a reading a day is plenty", len(rows), mostReadings)
	}
	out.Added, err = s.Store.AddReadings(ctx, site.ID, rows)
	switch {
	case errors.Is(err, storage.ErrNotFound):
		return out, notFound("there is no site %q", site.ID)
	case err != nil:
		return out, stored(err)
	}
	out.AlreadyThere, out.Warnings = len(rows)-out.Added, openapi.Warnings{}
	for _, w := range warnings {
		out.Warnings = append(out.Warnings, openapi.Warning(w))
	}
	if early > 0 {
		out.Warnings = append(out.Warnings, openapi.Warning{Code: "before_site", Detail: strconv.Itoa(early) + " readings are of before the site was saved here: they are held " +
			"against the estimate as it is now; if the machine or the mast was another one then, delete them"})
	}
	return out, nil
}

// DeleteReading deletes a reading.
func (s *service) DeleteReading(ctx context.Context, r openapi.DeleteReadingRequestObject) (openapi.DeleteReadingResponseObject, error) {
	ctx = requestContext(ctx)
	if wrong := checkID(r.ReadingID); wrong != "" {
		return nil, newProblem(invalidParameters, "a part of the address is wrong").at("path.reading_id", "%s", wrong)
	}
	if _, err := s.site(ctx, r.ID); err != nil {
		return nil, err
	}
	err := s.Store.DeleteReading(ctx, r.ID, r.ReadingID)
	switch {
	case errors.Is(err, storage.ErrNotFound):
		return nil, notFound("the site has no reading %q", r.ReadingID)
	case err != nil:
		return nil, stored(err)
	}
	return openapi.DeleteReading204Response{}, nil
}

// offsetSeconds reads an offset that has been checked.
func offsetSeconds(text string) int64 {
	t, err := time.Parse("Z07:00", text)
	if err != nil {
		panic("api: an offset that was not checked")
	}
	_, offset := t.Zone()
	return int64(offset)
}

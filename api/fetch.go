package api

import (
	"context"
	"errors"
	"fmt"
	"net/http"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource/fetch"
)

func (a answer) VisitFetchRecordResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusCreated)
}
func (a answer) VisitListSourcesResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusOK)
}

// FetchRecord brings a public record for a place and keeps it.
func (s *service) FetchRecord(ctx context.Context, r openapi.FetchRecordRequestObject) (openapi.FetchRecordResponseObject, error) {
	ctx = requestContext(ctx)
	text, syntax, err := s.readText(r.Body, r.ContentType)
	if err != nil {
		return nil, err
	}
	defer freeBuffer(text)
	in, err := document.DecodeFetch(text.Bytes(), syntax)
	if err != nil {
		return nil, err
	}
	if s.Fetch == nil {
		return nil, newProblem(fetchOff, "this service does not call out for public data")
	}
	place, years, source := document.ToFetch(in)
	fetching, end := s.span(ctx, "fetch public data")
	series, report, fetched, err := s.Fetch.Fetch(fetching, place, years, source)
	end(err)
	if err != nil {
		return nil, fetchError(err)
	}
	// What to mind about the source goes with the record, so that every estimate over it says so.
	for _, w := range fetched.Warnings {
		report.Assumptions = append(report.Assumptions, w.Detail)
	}
	if fetched.Licence != "" {
		report.Assumptions = append(report.Assumptions, "the data come under these terms: "+fetched.Licence)
	}
	name := fmt.Sprintf("%s %s", fetched.Source.Archive, years)
	if in.Name != nil {
		name = *in.Name
	}
	done, err := s.begin(ctx)
	if err != nil {
		return nil, err
	}
	defer done()
	rec, err := s.keepRecord(ctx, name, series, &report)
	if err != nil {
		return nil, err
	}
	out, err := wireRecord(&rec)
	return answer{body: out, location: "/v1/records/" + rec.ID}, err
}

// ListSources lists what there is for a place.
func (s *service) ListSources(ctx context.Context, r openapi.ListSourcesRequestObject) (openapi.ListSourcesResponseObject, error) {
	if s.Fetch == nil {
		return nil, newProblem(fetchOff, "this service does not call out for public data")
	}
	ctx = requestContext(ctx)
	all, warnings, err := s.Fetch.Available(ctx, fetch.Place{Lat: r.Params.Latitude, Lon: r.Params.Longitude})
	if err != nil {
		return nil, fetchError(err)
	}
	return answer{body: document.FromChoices(all, warnings)}, nil
}

// fetchError tells what was asked for wrongly from what a service did.
func fetchError(err error) error {
	var e *fetch.Error
	if !errors.As(err, &e) {
		return err
	}
	place := ""
	switch {
	case errors.Is(err, fetch.ErrPlace):
		place = "latitude"
	case errors.Is(err, fetch.ErrYears):
		place = "from_year"
	case errors.Is(err, fetch.ErrNoStation):
		place = "station"
	case errors.Is(err, fetch.ErrSource), errors.Is(err, fetch.ErrNoData):
		place = "source"
	}
	detail := e.Reason
	if e.Remedy != "" {
		detail += "; " + e.Remedy
	}
	if place != "" {
		return &document.Error{Fields: []document.FieldError{{Location: place, Detail: detail}}}
	}
	return newProblem(fetchFailed, "%s", e.Reason).at("body.source", "%s", detail)
}

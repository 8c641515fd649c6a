package api

import (
	"context"
	"net/http"

	"mastworth/api/chart"
	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource"
)

func (a answer) VisitReadCoverageResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusOK)
}
func (a answer) VisitReadShearResponse(w http.ResponseWriter) error { return a.send(w, http.StatusOK) }

func (n notModified) VisitReadCoverageResponse(w http.ResponseWriter) error { return n.send(w) }
func (n notModified) VisitReadShearResponse(w http.ResponseWriter) error    { return n.send(w) }

// ReadCoverage answers how much of each month a speed channel of a record covers.
func (s *service) ReadCoverage(ctx context.Context, r openapi.ReadCoverageRequestObject) (openapi.ReadCoverageResponseObject, error) {
	ctx = requestContext(ctx)
	rec, err := s.record(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	name := orEmpty(r.Params.Channel)
	etag := hashTag("coverage", document.Methods, rec.ContentHash, name)
	if matches(r.Params.IfNoneMatch, etag) {
		return notModified{etag}, nil
	}
	series, done, err := s.heavySeries(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	defer done()
	channel := speedChannel(series, name)
	switch {
	case channel < 0:
		return nil, newProblem(invalidParameters, "the record has no such speed channel").
			at("query.channel", "must be one of %s", document.SpeedChannelWords(series))
	case series.Kind == resource.TypicalYear:
		return nil, newProblem(invalidRequest, "this record has no coverage").at("path.id", "is a typical year, whose stamps are nobody's calendar")
	}
	found := coverageOf(series, channel)
	return answer{body: document.CoverageOf(series, channel, found.FirstYear, found.Shares), etag: etag}, nil
}

// ReadShear answers the shear between two heights of a record, and the two against each other.
func (s *service) ReadShear(ctx context.Context, r openapi.ReadShearRequestObject) (openapi.ReadShearResponseObject, error) {
	ctx = requestContext(ctx)
	rec, err := s.record(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	etag := hashTag("shear", document.Methods, rec.ContentHash)
	if matches(r.Params.IfNoneMatch, etag) {
		return notModified{etag}, nil
	}
	series, done, err := s.heavySeries(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	defer done()
	table, err := resource.MeasuredShear(series, resource.SectorCount)
	if err != nil {
		return nil, newProblem(invalidRequest, "this record gives no shear").at("path.id", "%s", err)
	}
	pair := chart.HeightPair{LowM: table.LowM, HighM: table.HighM, LowMS: usableSpeeds(series, table.Low), HighMS: usableSpeeds(series, table.High)}
	return answer{body: document.ShearOf(series, &table, document.HeightComparisons(pair.Bins())), etag: etag}, nil
}

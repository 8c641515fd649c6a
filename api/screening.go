package api

import (
	"context"
	"net/http"
	"slices"
	"strings"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource"
)

func (a answer) VisitScreenRecordResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusOK)
}

func (n notModified) VisitScreenRecordResponse(w http.ResponseWriter) error { return n.send(w) }

// ScreenRecord screens a record anew by the rules and limits asked for.
func (s *service) ScreenRecord(ctx context.Context, r openapi.ScreenRecordRequestObject) (openapi.ScreenRecordResponseObject, error) {
	if _, err := document.ScreenOptions(r.Params.LeaveOut, nil); err != nil {
		return nil, newProblem(invalidParameters, "the rules asked for cannot be followed").at("query.leave_out", "%s", err)
	}
	o, err := document.ScreenOptions(r.Params.LeaveOut, r.Params.Limit)
	if err != nil {
		return nil, newProblem(invalidParameters, "the rules asked for cannot be followed").at("query.limit", "%s", err)
	}
	ctx = requestContext(ctx)
	rec, err := s.record(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	asked := slices.Concat(r.Params.LeaveOut, r.Params.Limit)
	slices.Sort(asked)
	etag := hashTag("screening", document.Methods, rec.ContentHash, strings.Join(asked, "\n"))
	if matches(r.Params.IfNoneMatch, etag) {
		return notModified{etag}, nil
	}
	series, done, err := s.heavySeries(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	defer done()
	// The cached series is everybody's: screening writes flags, so it gets its own.
	found, err := resource.ScreenWith(series.WithOwnFlags(), o)
	if err != nil {
		return nil, err
	}
	return answer{body: document.FromScreening(o, found), etag: etag}, nil
}

package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/storage"
	"mastworth/yield/assess"
)

// VisitCreateEstimateResponse sends the estimate.
func (a written) VisitCreateEstimateResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusOK)
}

// CreateEstimate answers a request document. Nothing is kept.
func (s *service) CreateEstimate(ctx context.Context, r openapi.CreateEstimateRequestObject) (openapi.CreateEstimateResponseObject, error) {
	ctx = requestContext(ctx)
	d, err := s.readDocument(ctx, r.Body, r.ContentType)
	if err != nil {
		return nil, err
	}
	defer d.free()
	buf, err := s.estimate(ctx, &d.domain, d.records)
	if err != nil {
		return nil, d.located(err)
	}
	return written{buf: buf}, nil
}

// estimate runs a request and writes its answer.
func (s *service) estimate(ctx context.Context, r *assess.Request, refs document.Refs) (*bytes.Buffer, error) {
	loaded := s.stage(ctx, stageLoad)
	if len(refs.All()) > 0 {
		done, err := s.load(ctx, r, refs)
		if err != nil {
			return nil, err
		}
		defer done()
	} else if isHeavy(r) {
		done, err := s.begin(ctx)
		if err != nil {
			return nil, err
		}
		defer done()
	}
	loaded()
	r.Stop = func() bool { return ctx.Err() != nil }
	worked := s.stage(ctx, stageWork)
	e, err := assess.Run(*r)
	worked()
	switch {
	case errors.Is(err, assess.ErrStopped):
		return nil, ctx.Err()
	case err != nil:
		return nil, err
	}
	defer s.stage(ctx, stageWrite)()
	buf := newBuffer()
	_, err = buf.Write(document.AppendAnswer(buf.AvailableBuffer(), &e, refs, s.Version))
	return buf, err
}

// isHeavy reports whether a request without a record is work of more than some ten milliseconds: a wood of obstacles at many
// heights, many draws, or a machine that is worked out first.
func isHeavy(r *assess.Request) bool {
	const obstacleHeights, drawnHeights = 1000, 20_000
	heights := r.HeightsAsked()
	return len(r.Site.Obstacles)*heights > obstacleHeights || r.Uncertainty.Draws*heights > drawnHeights || r.Turbine.Design != nil
}

// load puts the records a request names into it. The request's other faults come first: they cost nothing to find. The work
// on the records is heavy and has begun when it returns; the caller ends it.
func (s *service) load(ctx context.Context, r *assess.Request, refs document.Refs) (done func(), err error) {
	if err := assess.Check(*r); err != nil {
		return nil, err
	}
	all, into := refs.All(), refs.Records(r)
	for i, ref := range all {
		rec, err := s.Store.Record(ctx, ref.ID)
		if err != nil {
			return nil, recordMissing(err, ref)
		}
		var report openapi.ImportReport
		if err := json.Unmarshal(rec.Report, &report); err != nil {
			return nil, fmt.Errorf("the stored report of record %s: %w", rec.ID, err)
		}
		into[i].Notes = document.ImportWarnings(&report)
		if into[i].UnitDoubts, err = document.StoredUnitDoubts(rec.Statistics); err != nil {
			return nil, err
		}
	}
	if done, err = s.begin(ctx); err != nil {
		return nil, err
	}
	for i, ref := range all {
		series, found, err := s.screened(ctx, ref.ID, ref.Screening)
		if err != nil {
			done()
			return nil, recordMissing(err, ref)
		}
		if into[i].Series = series; !ref.Screening.Usual() {
			into[i].UnitDoubts = document.UnitDoubts(found)
		}
	}
	return done, nil
}

// recordMissing says which field names a record that does not exist.
func recordMissing(err error, ref *document.RecordRef) error {
	if !errors.Is(err, storage.ErrNotFound) {
		return stored(err)
	}
	return &document.Error{Fields: []document.FieldError{{Location: ref.At + ".id",
		Detail: fmt.Sprintf("there is no record %q; GET /v1/records lists them", ref.ID)}}}
}

// screened is a stored record, screened as asked, and what was found. By the usual rules it comes from the cache, and what was found is in the
// statistics that are stored with it; otherwise it shares the cached
// values and has flags of its own.
func (s *service) screened(ctx context.Context, id string, o resource.ScreenOptions) (*resource.Series, []resource.Finding, error) {
	series, err := s.series(ctx, id)
	if err != nil || o.Usual() {
		return series, nil, err
	}
	own := series.WithOwnFlags()
	found, err := resource.ScreenWith(own, o)
	return own, found, err
}

// series is a stored record, decoded and screened, from the cache where it is there. Requests that want the same record at
// once read it once.
func (s *service) series(ctx context.Context, id string) (*resource.Series, error) {
	have := s.records.get(id)
	s.metrics.lookedUp(have != nil)
	if have != nil {
		return have, nil
	}
	return share(ctx, &s.shared, "series "+id, nil, func(ctx context.Context) (*resource.Series, error) {
		rec, err := s.Store.Record(ctx, id)
		if err != nil {
			return nil, err
		}
		series, err := storage.DecodeBlocks(rec.Meta, s.Store.Blocks(ctx, id))
		if err != nil {
			return nil, err
		}
		resource.Screen(series)
		s.records.put(id, series)
		return series, nil
	})
}

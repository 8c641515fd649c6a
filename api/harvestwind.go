package api

import (
	"context"
	"encoding/json"
	"fmt"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/storage"
	"mastworth/yield/assess"
)

// windOfTime puts the record of a comparison into it, if there is one. The work on it is heavy and has begun when it returns; the caller
// ends it.
func (s *service) windOfTime(ctx context.Context, a *harvestAsked, in *document.HarvestInput) (done func(), err error) {
	if a.record == nil {
		return func() {}, nil
	}
	in.RecordRef, in.RecordName = a.record.ID, a.record.Name
	if a.record.ID == a.site.RecordID {
		return s.ownWind(ctx, a, in)
	}
	request, err := siteRequest(&a.site)
	if err != nil {
		return nil, err
	}
	_, refs := document.ToRequest(request)
	var rules resource.ScreenOptions
	for _, ref := range refs.All() {
		if ref.ID == a.record.ID {
			rules = ref.Screening
			break
		}
	}
	if done, err = s.begin(ctx); err != nil {
		return nil, err
	}
	if in.Record, _, err = s.screened(ctx, a.record.ID, rules); err != nil {
		done()
		return nil, stored(err)
	}
	return done, nil
}

// ownWind is the record that the site's estimate is made of, moved to the hub as the estimate moves it.
func (s *service) ownWind(ctx context.Context, a *harvestAsked, in *document.HarvestInput) (done func(), err error) {
	domain, refs, err := s.siteQuestion(ctx, &a.site)
	if err != nil {
		return nil, err
	}
	if done, err = s.load(ctx, &domain, refs); err != nil {
		return nil, err
	}
	in.Record = domain.Wind.Record.Series
	in.Powers = func(hubM float64) ([]float64, error) { return assess.OwnPowers(domain, hubM) }
	return done, nil
}

// siteRequest is a site's request as it is stored.
func siteRequest(site *storage.Site) (openapi.EstimateRequest, error) {
	var in openapi.EstimateRequest
	if err := json.Unmarshal(site.Request, &in); err != nil {
		return in, fmt.Errorf("the stored request of site %s: %w", site.ID, err)
	}
	return in, nil
}

// siteOffset is the clock of a site's readings that have none of their own.
func (s *service) siteOffset(site *storage.Site) (int64, error) {
	in, err := siteRequest(site)
	return document.ClockAt(in.Site.Longitude), err
}

package api

import (
	"context"
	"encoding/json"
	"fmt"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/storage"
)

// harvestWind is the record of a comparison, screened as the site's request asks where it is the site's own.
func (s *service) harvestWind(ctx context.Context, a *harvestAsked, in *document.HarvestInput) (*resource.Series, error) {
	request, err := siteRequest(&a.site)
	if err != nil {
		return nil, err
	}
	_, refs := document.ToRequest(request)
	var rules resource.ScreenOptions
	for _, ref := range refs.All() {
		if ref.ID == a.record.ID {
			rules, in.HeightM = ref.Screening, ref.HeightM
			break
		}
	}
	done, err := s.begin(ctx)
	if err != nil {
		return nil, err
	}
	defer done()
	series, err := s.screened(ctx, a.record.ID, rules)
	return series, stored(err)
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

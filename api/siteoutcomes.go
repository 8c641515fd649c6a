package api

import (
	"context"
	"encoding/json"
	"fmt"

	"mastworth/openapi"
	"mastworth/storage"
)

// outcomes are what the kept estimates of sites say in short, by the site's id. None is worked out for it.
func (s *service) outcomes(ctx context.Context, sites []storage.Site) (map[string]*openapi.SiteOutcome, error) {
	ids := make([]string, len(sites))
	for i := range sites {
		ids[i] = sites[i].ID
	}
	kept, err := s.Store.Outcomes(ctx, ids)
	if err != nil {
		return nil, stored(err)
	}
	out := make(map[string]*openapi.SiteOutcome, len(kept))
	for i := range kept {
		var d digest
		if err := json.Unmarshal(kept[i].Board, &d); err != nil {
			return nil, fmt.Errorf("the kept account of site %s: %w", kept[i].SiteID, err)
		}
		out[kept[i].SiteID] = &openapi.SiteOutcome{Verdict: openapi.SiteOutcomeVerdict(d.Verdict), Chance: d.Chance, HubHeightM: d.HubHeightM, NetKWh: d.NetKWh,
			CostPerKWh: d.PerKWh, SolarPerKWh: d.SolarPerKWh, Currency: d.Currency, ComputedAt: kept[i].ComputedAt.UTC(), Current: d.Methods == s.methods()}
	}
	return out, nil
}

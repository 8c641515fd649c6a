package api

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strconv"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/storage"
	"mastworth/yield/harvest"
)

func (a answer) VisitReadHarvestResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusOK)
}
func (n notModified) VisitReadHarvestResponse(w http.ResponseWriter) error { return n.send(w) }

// ReadHarvest holds a site's readings against its estimate.
func (s *service) ReadHarvest(ctx context.Context, r openapi.ReadHarvestRequestObject) (openapi.ReadHarvestResponseObject, error) {
	ctx = requestContext(ctx)
	asked, err := s.askHarvest(ctx, r.ID, r.Params.HubHeightM, r.Params.Record)
	if err != nil {
		return nil, err
	}
	if matches(r.Params.IfNoneMatch, asked.etag) {
		return notModified{asked.etag}, nil
	}
	out, err := s.harvest(ctx, asked)
	return answer{body: out, etag: asked.etag}, err
}

// harvestAsked is a comparison that is wanted, with all that names it.
type harvestAsked struct {
	site     storage.Site
	key      string // of the estimate
	etag     string
	hubM     float64 // NaN: the best
	readings []harvest.Reading
	record   *storage.Record // nil: none
}

// askHarvest finds out what a comparison is made of, without making it.
func (s *service) askHarvest(ctx context.Context, id string, hubM *float64, recordID *string) (*harvestAsked, error) {
	a := &harvestAsked{hubM: math.NaN()}
	var err error
	if a.site, err = s.site(ctx, id); err != nil {
		return nil, err
	}
	if a.key, err = s.estimateKey(ctx, &a.site); err != nil {
		return nil, err
	}
	rows, err := s.Store.Readings(ctx, id)
	if err != nil {
		return nil, stored(err)
	}
	parts := []string{"harvest", document.Methods, a.key}
	for i := range rows {
		r := &rows[i]
		a.readings = append(a.readings, harvest.Reading{FromUnix: r.FromUnix, AtUnix: r.AtUnix, Meter: r.Meter, KWh: r.KWh})
		parts = append(parts, r.ID)
	}
	if hubM != nil {
		a.hubM = *hubM
		parts = append(parts, "at "+strconv.FormatFloat(a.hubM, 'g', -1, 64))
	}
	if a.record, err = s.recordOfHarvest(ctx, a, recordID); err != nil {
		return nil, err
	}
	if a.record != nil {
		parts = append(parts, "by "+a.record.ID, a.record.ContentHash)
	}
	a.etag = hashTag(parts...)
	return a, nil
}

// recordOfHarvest is the record that tells how windy the time was: the one asked for, or of the site's own the one that covers most.
func (s *service) recordOfHarvest(ctx context.Context, a *harvestAsked, asked *string) (*storage.Record, error) {
	if asked != nil {
		rec, err := s.Store.Record(ctx, *asked)
		if errors.Is(err, storage.ErrNotFound) {
			return nil, notFound("there is no record %q", *asked).at("query.record", "is not the id of a record; GET /v1/records lists them")
		}
		return &rec, stored(err)
	}
	if len(a.readings) == 0 {
		return nil, nil
	}
	first, last := a.readings[0].AtUnix, a.readings[len(a.readings)-1].AtUnix
	if from := a.readings[0].FromUnix; from != 0 {
		first = min(first, from)
	}
	var best *storage.Record
	most := int64(0)
	for _, id := range []string{a.site.RecordID, a.site.ReferenceID} {
		if id == "" {
			continue
		}
		rec, err := s.Store.Record(ctx, id)
		if err != nil {
			return nil, stored(err)
		}
		if both := min(last, rec.LastUnix) - max(first, rec.FirstUnix); both > most {
			best, most = &rec, both
		}
	}
	return best, nil
}

// harvestCacheBytes is how much memory comparisons at hand may take.
const harvestCacheBytes = 4 << 20

// harvestBytes is about how much memory a comparison takes.
func harvestBytes(h *openapi.Harvest) int64 { return int64(2048 + 160*(len(h.Periods)+len(h.Months))) }

// harvest is a comparison that was asked for, the one made before if it is at hand. It is shared and must not be changed.
func (s *service) harvest(ctx context.Context, a *harvestAsked) (*openapi.Harvest, error) {
	if have := s.harvests.get(a.etag); have != nil {
		return have, nil
	}
	return share(ctx, &s.shared, "harvest "+a.etag, nil, func(ctx context.Context) (*openapi.Harvest, error) {
		out, err := s.compare(ctx, a)
		if err != nil {
			return nil, err
		}
		s.harvests.put(a.etag, &out)
		return &out, nil
	})
}

// compare makes a comparison.
func (s *service) compare(ctx context.Context, a *harvestAsked) (openapi.Harvest, error) {
	body, err := s.keptOrNew(ctx, &a.site, a.key)
	if err != nil {
		return openapi.Harvest{}, err
	}
	var e openapi.Estimate
	if err := json.Unmarshal(body, &e); err != nil {
		return openapi.Harvest{}, fmt.Errorf("the kept estimate of site %s: %w", a.site.ID, err)
	}
	in := document.HarvestInput{Readings: a.readings, HubHeightM: a.hubM}
	if in.UTCOffsetS, err = s.siteOffset(&a.site); err != nil {
		return openapi.Harvest{}, err
	}
	if in.Turbine, err = s.wholeTurbine(ctx, &a.site); err != nil {
		return openapi.Harvest{}, err
	}
	done, err := s.windOfTime(ctx, a, &in)
	if err != nil {
		return openapi.Harvest{}, err
	}
	defer done()
	out, err := document.HarvestOf(&e, &in)
	var none *document.NoSuchHeightError
	if errors.As(err, &none) {
		return out, newProblem(invalidParameters, "the estimate has no mast of that height").at("query.hub_height_m", "%s", none)
	}
	return out, err
}

// wholeTurbine is a site's turbine with its kept curve in place; nil for a site without one.
func (s *service) wholeTurbine(ctx context.Context, site *storage.Site) (*openapi.TurbineInput, error) {
	if site.CurveID == "" {
		return nil, nil
	}
	request, err := siteRequest(site)
	if err != nil {
		return nil, err
	}
	whole, _, err := s.withCurve(ctx, request)
	return &whole.Turbine, err
}

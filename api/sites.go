package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/storage"
	"mastworth/yield/assess"
)

// answer is a JSON answer to be written with an ETag and, for what is new, a Location.
type answer struct {
	body     any
	etag     string
	location string
}

func (a answer) send(w http.ResponseWriter, status int) error {
	buf := newBuffer()
	defer freeBuffer(buf)
	if err := document.WriteJSON(buf, a.body); err != nil {
		return err
	}
	if a.location != "" {
		w.Header().Set("Location", a.location)
	}
	return sendJSON(w, status, buf.Bytes(), a.etag)
}

func (a answer) VisitCreateSiteResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusCreated)
}
func (a answer) VisitReadSiteResponse(w http.ResponseWriter) error { return a.send(w, http.StatusOK) }
func (a answer) VisitReplaceSiteResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusOK)
}
func (a answer) VisitListSitesResponse(w http.ResponseWriter) error { return a.send(w, http.StatusOK) }

func (n notModified) VisitReadSiteResponse(w http.ResponseWriter) error { return n.send(w) }

// versionTag is the ETag of a saved site.
func versionTag(version int64) string { return `"` + strconv.FormatInt(version, 10) + `"` }

// ListSites lists saved sites, newest first.
func (s *service) ListSites(ctx context.Context, r openapi.ListSitesRequestObject) (openapi.ListSitesResponseObject, error) {
	ctx = requestContext(ctx)
	page := newListPage(r.Params.Limit, r.Params.After)
	all, err := s.Store.Sites(ctx, page.wanted())
	if err != nil {
		return nil, stored(err)
	}
	outcomes, err := s.outcomes(ctx, all)
	if err != nil {
		return nil, err
	}
	out := openapi.SiteList{Sites: make([]openapi.SiteSummary, 0, len(all))}
	for i, site := range all {
		if i == page.limit {
			out.Next = &out.Sites[i-1].ID
			break
		}
		out.Sites = append(out.Sites, wireSiteSummary(site, outcomes[site.ID]))
	}
	return answer{body: out}, nil
}

// CreateSite saves a request that could be estimated.
func (s *service) CreateSite(ctx context.Context, r openapi.CreateSiteRequestObject) (openapi.CreateSiteResponseObject, error) {
	ctx = requestContext(ctx)
	d, err := s.readDocument(ctx, r.Body, r.ContentType)
	if err != nil {
		return nil, err
	}
	defer d.free()
	site, err := s.newSite(d)
	if err != nil {
		return nil, err
	}
	site.ID = s.NewID()
	site.CreatedAt = s.now()
	site.UpdatedAt = site.CreatedAt
	if site, err = s.Store.CreateSite(ctx, site); err != nil {
		return nil, s.siteError(ctx, d, err)
	}
	out, err := wireSite(site)
	return answer{body: out, etag: versionTag(site.Version), location: "/v1/sites/" + site.ID}, err
}

// newSite is a site with the request that came, checked as far as it can be without its record.
func (s *service) newSite(d *requestDocument) (storage.Site, error) {
	if err := assess.Check(d.domain); err != nil {
		return storage.Site{}, d.located(err)
	}
	var buf bytes.Buffer
	if err := document.WriteJSON(&buf, d.EstimateRequest); err != nil {
		return storage.Site{}, fmt.Errorf("writing the request: %w", err)
	}
	site := storage.Site{Name: d.domain.Site.Name, Request: bytes.TrimSpace(buf.Bytes())}
	if ref := d.records.Wind; ref != nil {
		site.RecordID = ref.ID
	}
	if ref := d.records.Reference; ref != nil {
		site.ReferenceID = ref.ID
	}
	if ref := d.records.Log; ref != nil && d.Turbine.TestLog != nil {
		site.LogID = ref.ID
	}
	if c := d.Turbine.Curve; c != nil {
		site.CurveID = c.ID
	}
	return site, nil
}

// siteError is what saving a site says: it is not found when one of its records is not.
func (s *service) siteError(ctx context.Context, d *requestDocument, err error) error {
	if !errors.Is(err, storage.ErrNotFound) {
		return stored(err)
	}
	for _, ref := range d.records.All() {
		if _, missing := s.Store.Record(ctx, ref.ID); errors.Is(missing, storage.ErrNotFound) {
			return d.located(recordMissing(missing, ref))
		}
	}
	return stored(err)
}

// ReadSite answers a saved site.
func (s *service) ReadSite(ctx context.Context, r openapi.ReadSiteRequestObject) (openapi.ReadSiteResponseObject, error) {
	ctx = requestContext(ctx)
	site, err := s.site(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	etag := versionTag(site.Version)
	if matches(r.Params.IfNoneMatch, etag) {
		return notModified{etag}, nil
	}
	out, err := wireSite(site)
	return answer{body: out, etag: etag}, err
}

func (s *service) site(ctx context.Context, id string) (storage.Site, error) {
	site, err := s.Store.Site(ctx, id)
	return site, siteMissing(id, err)
}

// siteMissing says what the store's error means for a site that was asked for.
func siteMissing(id string, err error) error {
	if errors.Is(err, storage.ErrNotFound) {
		return notFound("there is no site %q", id)
	}
	return stored(err)
}

// ReplaceSite replaces a saved request, if it still is the version that If-Match names.
func (s *service) ReplaceSite(ctx context.Context, r openapi.ReplaceSiteRequestObject) (openapi.ReplaceSiteResponseObject, error) {
	ctx = requestContext(ctx)
	d, err := s.readDocument(ctx, r.Body, r.ContentType)
	if err != nil {
		return nil, err
	}
	defer d.free()
	site, err := s.newSite(d)
	if err != nil {
		return nil, err
	}
	before, err := s.site(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	if err := unchanged(r.Params.IfMatch, before.Version); err != nil {
		return nil, err
	}
	site.ID, site.CreatedAt, site.UpdatedAt = r.ID, before.CreatedAt, s.now()
	if r.Params.IfMatch != nil && *r.Params.IfMatch != "*" {
		site.Version = before.Version // so that the store sees a change since then
	}
	if site, err = s.Store.UpdateSite(ctx, site); err != nil {
		return nil, s.siteError(ctx, d, err)
	}
	out, err := wireSite(site)
	return answer{body: out, etag: versionTag(site.Version)}, err
}

// unchanged holds a condition against a version.
func unchanged(ifMatch *string, version int64) error {
	if ifMatch == nil || matches(ifMatch, versionTag(version)) {
		return nil
	}
	return newProblem(changedMeanwhile, "the site is at version %d, which is not what If-Match names", version).
		at("header.If-Match", "must be %s, the ETag of the site as it is now", versionTag(version))
}

// DeleteSite deletes a saved site. The store has no conditional deletion, so an If-Match is held against the version just
// before: a change in between goes unnoticed.
func (s *service) DeleteSite(ctx context.Context, r openapi.DeleteSiteRequestObject) (openapi.DeleteSiteResponseObject, error) {
	ctx = requestContext(ctx)
	site, err := s.site(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	if err := unchanged(r.Params.IfMatch, site.Version); err != nil {
		return nil, err
	}
	if err := s.Store.DeleteSite(ctx, r.ID); err != nil {
		if errors.Is(err, storage.ErrNotFound) {
			return nil, notFound("there is no site %q", r.ID)
		}
		return nil, stored(err)
	}
	return openapi.DeleteSite204Response{}, nil
}

func wireSite(s storage.Site) (openapi.Site, error) {
	out := openapi.Site{ID: s.ID, Name: s.Name, RecordID: optional(s.RecordID), ReferenceID: optional(s.ReferenceID),
		CurveID: optional(s.CurveID), Club: openapi.Club{Public: s.Club.Public, ShownAs: s.Club.ShownAs, ShowCosts: s.Club.ShowCosts}, Version: s.Version,
		CreatedAt: s.CreatedAt.UTC(), UpdatedAt: s.UpdatedAt.UTC()}
	if err := json.Unmarshal(s.Request, &out.Request); err != nil {
		return out, fmt.Errorf("the stored request of site %s: %w", s.ID, err)
	}
	return out, nil
}

func wireSiteSummary(s storage.Site, outcome *openapi.SiteOutcome) openapi.SiteSummary {
	return openapi.SiteSummary{ID: s.ID, Name: s.Name, RecordID: optional(s.RecordID), ReferenceID: optional(s.ReferenceID),
		CurveID: optional(s.CurveID), Public: s.Club.Public, Version: s.Version,
		CreatedAt: s.CreatedAt.UTC(), UpdatedAt: s.UpdatedAt.UTC(), Outcome: outcome}
}

// optional is nil for an empty text.
func optional(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

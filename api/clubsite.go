package api

import (
	"context"
	"errors"
	"net/http"
	"time"
	"unicode"
	"unicode/utf8"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/storage"
	"mastworth/yield/assess"
)

// failedFor is how long a public site that could not be worked out is not tried again: everybody may ask for it. A change of it is tried at once.
const failedFor = time.Minute

const mostFailed = 10_000

// shownSite is a public site with its digest, which is worked out where there is none that holds. Why it cannot be is for the log
// alone: it may tell of the request. The digest is nil then, or an earlier one.
func (s *service) shownSite(ctx context.Context, id string) (storage.BoardEntry, *digest, error) {
	e, d, err := s.publicEntry(ctx, id)
	if err != nil || d != nil && d.Methods == s.methods() {
		return e, d, err
	}
	tried := hashTag(e.ID, versionTag(e.Version))
	if s.now().Before(s.failed.get(tried)) {
		return e, d, nil
	}
	if err := s.workOut(ctx, id); isMissing(err) {
		return e, nil, err // it was deleted meanwhile
	} else if err != nil {
		s.Logger.WarnContext(ctx, "a public site could not be worked out", "site", id, "error", err)
		if ctx.Err() == nil && !passing(err) {
			s.failed.put(tried, s.now().Add(failedFor))
		}
		return e, d, nil
	}
	return s.publicEntry(ctx, id)
}

// passing reports whether an error is of the moment, and not of what was asked.
func passing(err error) bool {
	var p *problem
	return errors.As(err, &p) && p.kind.Status >= http.StatusInternalServerError
}

func (s *service) publicEntry(ctx context.Context, id string) (storage.BoardEntry, *digest, error) {
	e, err := s.Store.BoardEntry(ctx, id)
	switch {
	case errors.Is(err, storage.ErrNotFound):
		return e, nil, notFound("there is no public site %q", id)
	case err != nil:
		return e, nil, stored(err)
	}
	d, err := digestIn(&e)
	return e, d, err
}

// workOut sees to it that a site's estimate is kept.
func (s *service) workOut(ctx context.Context, id string) error {
	site, err := s.site(ctx, id)
	if err != nil {
		return err
	}
	key, err := s.estimateKey(ctx, &site)
	if err != nil {
		return err
	}
	_, err = s.keptOrNew(ctx, &site, key)
	return err
}

// publicSite is what a public site shows.
func (s *service) publicSite(e *storage.BoardEntry, d *digest, to clubLinks) openapi.PublicSite {
	out := openapi.PublicSite{Site: s.boardSite(e, d, to), Heights: []openapi.PublicHeight{}}
	for _, c := range assess.Cautions() {
		out.Cautions = append(out.Cautions, openapi.Caution{Code: c.Code, Text: c.Text})
	}
	if d == nil {
		return out
	}
	out.RotorDiameterM, out.WindMonthlyKWh, out.SolarMonthlyKWh = d.RotorM, d.WindMonths, d.SolarMonths
	for _, h := range d.Heights {
		// Costs at all heights would tell what each tower costs.
		if !e.ShowCosts && (d.HubHeightM == nil || h.HubHeightM != *d.HubHeightM) {
			h.CostPerKWh = nil
		}
		out.Heights = append(out.Heights, h)
	}
	if e.ShowCosts {
		out.SolarKW, out.Capital = d.SolarKW, d.Capital
	}
	return out
}

// entryTag names what a public site shows, in one of its forms. Whoever has it is told so without any of it being made.
func (s *service) entryTag(form string, e *storage.BoardEntry, more ...string) string {
	return hashTag(append([]string{form, s.methods(), s.looks, s.clubSettings(), e.ID, e.Name, versionTag(e.Version), e.ChangedAt.String(),
		e.ComputedAt.String(), string(e.Board)}, more...)...)
}

// ReadPublicSite answers what a public site shows.
func (s *service) ReadPublicSite(ctx context.Context, r openapi.ReadPublicSiteRequestObject) (openapi.ReadPublicSiteResponseObject, error) {
	ctx = requestContext(ctx)
	e, d, err := s.shownSite(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	etag := s.entryTag("site", &e)
	if matches(r.Params.IfNoneMatch, etag) {
		return publicAnswer{answer{etag: etag}, true}, nil
	}
	return publicAnswer{answer{body: s.publicSite(&e, d, s.links()), etag: etag}, false}, nil
}

func (a answer) VisitShowSiteResponse(w http.ResponseWriter) error { return a.send(w, http.StatusOK) }

// ShowSite sets what a site shows to everybody.
func (s *service) ShowSite(ctx context.Context, r openapi.ShowSiteRequestObject) (openapi.ShowSiteResponseObject, error) {
	ctx = requestContext(ctx)
	text, syntax, err := s.readText(r.Body, r.ContentType)
	if err != nil {
		return nil, err
	}
	defer freeBuffer(text)
	in, err := document.DecodeClub(text.Bytes(), syntax)
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
	var version int64
	if r.Params.IfMatch != nil && *r.Params.IfMatch != "*" {
		version = before.Version
	}
	site, err := s.showSite(ctx, r.ID, version, in)
	if err != nil {
		return nil, err
	}
	out, err := wireSite(site)
	return answer{body: out, etag: versionTag(site.Version)}, err
}

// showSite sets what a site shows, and works it out if it is public now, so that the board has its numbers at once. That may fail and
// is made up for when the site is looked at.
func (s *service) showSite(ctx context.Context, id string, version int64, in openapi.ClubInput) (storage.Site, error) {
	c := storage.Club{Public: in.Public, ShownAs: plainName(orEmpty(in.ShownAs)), ShowCosts: in.ShowCosts != nil && *in.ShowCosts, ChangedAt: s.now()}
	site, err := s.Store.SetClub(ctx, id, version, c)
	switch {
	case errors.Is(err, storage.ErrNotFound):
		return site, notFound("there is no site %q", id)
	case err != nil:
		return site, stored(err)
	}
	if c.Public {
		if err := s.workOut(ctx, id); err != nil && !isMissing(err) && ctx.Err() == nil {
			s.Logger.WarnContext(ctx, "a public site could not be worked out", "site", id, "error", err)
		}
	}
	return site, nil
}

// plainName takes out what no name has: control characters and broken UTF-8.
func plainName(name string) string {
	out := make([]rune, 0, len(name))
	for _, r := range name {
		if !unicode.IsControl(r) && r != utf8.RuneError {
			out = append(out, r)
		}
	}
	return string(out)
}

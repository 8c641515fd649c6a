package api

import (
	"bytes"
	"context"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"mastworth/api/page"
	"mastworth/api/page/form"
	"mastworth/storage"
)

// saveGuide saves what was typed and goes on to what comes out of it; with faults it shows the page again.
func (s *service) saveGuide(c *gin.Context, v *form.View) error {
	ctx := requestContext(c)
	v.SettleCurrency()
	if v.Chosen("wind") == "file" && len(v.FaultsOf("wind.file")) == 0 {
		v.Blame("wind.file", page.Text("form.wind.no_file"))
	}
	if v.Chosen("wind") == "fetch" {
		if err := s.fetchIfSound(c, v); err != nil {
			return err
		}
		if !v.Sound() {
			return s.showGuide(c, http.StatusUnprocessableEntity, v)
		}
	}
	typed, err := v.Document()
	if err != nil {
		return err
	}
	site, err := s.saveDocument(ctx, c.Param("id"), v.Version, typed.JSON, v.Sound())
	if err == nil && v.Sound() {
		// A record that has no wind in it, say, shows only now.
		if err = s.workOut(ctx, site.ID); err == nil || !isAboutRequest(err) {
			return seeOther(c, "/sites/"+site.ID)
		}
		v.Action, v.SiteID, v.Version = "/sites/"+site.ID+"/edit", site.ID, strconv.FormatInt(site.Version, 10)
		v.Notices = append(v.Notices, page.Text("form.saved_anyway"))
	}
	if err != nil {
		if err := s.blame(ctx, v, typed, err); err != nil {
			return err
		}
	}
	return s.showGuide(c, http.StatusUnprocessableEntity, v)
}

// fetchIfSound fetches what the form asks for, which may take minutes: only where nothing else is wrong.
func (s *service) fetchIfSound(c *gin.Context, v *form.View) error {
	ctx := requestContext(c)
	typed, err := v.Document()
	if err != nil {
		return err
	}
	if _, err := s.saveDocument(ctx, c.Param("id"), v.Version, typed.JSON, false); err != nil {
		if err := s.blame(ctx, v, typed, err); err != nil {
			return err
		}
	}
	if !v.Sound() {
		return nil
	}
	return s.fetchFor(c, v)
}

// isAboutRequest reports whether an error says what is wrong with the request.
func isAboutRequest(err error) bool {
	p, known := problemOf(err)
	return known && p.kind == invalidRequest
}

// saveDocument saves a request as a new site, or in place of the one with the id. Only where keep is true is it saved, else checked alone.
func (s *service) saveDocument(ctx context.Context, id, version string, text []byte, keep bool) (storage.Site, error) {
	d, err := s.readDocument(ctx, bytes.NewReader(text), "application/json")
	if err != nil {
		return storage.Site{}, err
	}
	defer d.free()
	site, err := s.newSite(d)
	if err != nil || !keep {
		return site, err
	}
	if id == "" {
		site.ID, site.CreatedAt = s.NewID(), s.now()
		site.UpdatedAt = site.CreatedAt
		if site, err = s.Store.CreateSite(ctx, site); err != nil {
			return site, s.siteError(ctx, d, err)
		}
		return site, nil
	}
	before, err := s.site(ctx, id)
	if err != nil {
		return site, err
	}
	site.ID, site.CreatedAt, site.UpdatedAt = id, before.CreatedAt, s.now()
	if site.Version, err = strconv.ParseInt(version, 10, 64); err != nil || site.Version != before.Version {
		return before, newProblem(changedMeanwhile, "the site is at version %d by now", before.Version)
	}
	if site, err = s.Store.UpdateSite(ctx, site); err != nil {
		return site, s.siteError(ctx, d, err)
	}
	return site, nil
}

// blame lays what is wrong at the fields it is about; an error that is not about what was typed is given back.
func (s *service) blame(ctx context.Context, v *form.View, typed *form.Document, err error) error {
	p, known := problemOf(err)
	switch {
	case known && p.kind == changedMeanwhile:
		v.Blame("", page.Text("form.changed"))
		now, err := s.site(ctx, v.SiteID)
		v.Version = strconv.FormatInt(now.Version, 10)
		return err
	case !known || p.kind != invalidRequest:
		return err
	}
	faults := make([]form.Fault, len(p.errors))
	for i, e := range p.errors {
		faults[i] = form.Fault{Place: withoutRoot(e.Location), Detail: e.Detail}
	}
	v.Accuse(typed, faults)
	return nil
}

// withoutRoot is a place within the document, without the word for the document.
func withoutRoot(location string) string {
	for _, root := range []string{"body", "request"} {
		if rest, ok := strings.CutPrefix(location, root); ok {
			return strings.TrimPrefix(rest, ".")
		}
	}
	return location
}

package api

import (
	"context"
	"errors"
	"net/http"
	"net/url"

	"github.com/gin-gonic/gin"

	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/storage"
)

// readRecord shows a record.
func (s *service) readRecord(c *gin.Context) error { return s.showRecord(c, http.StatusOK, "") }

// showRecord writes a record's page; fault is what was wrong with the wish to delete it.
func (s *service) showRecord(c *gin.Context, status int, fault string) error {
	ctx := c.Request.Context()
	rec, err := s.record(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	wire, err := wireRecord(&rec)
	if err != nil {
		return err
	}
	channel, err := shownChannel(&wire, c.Query("channel"))
	if err != nil {
		return err
	}
	u := unitsOf(c)
	patience := digestPatience
	if c.Query("whole") == "true" {
		patience = 0
	}
	digest, err := s.digest(ctx, &rec, channel, u, patience)
	var p *problem
	if err != nil && !(patience > 0 && errors.As(err, &p) && p.kind == busy) { // too busy is as good as too late
		return err
	}
	var pictures *page.RecordPictures
	if digest != nil {
		pictures = &digest.pictures
		if digest.statistics != nil {
			wire.Statistics = *digest.statistics
		}
	}
	shown, err := page.NewRecord(&wire, channel, pictures, u)
	if err != nil {
		return err
	}
	shown.Whole = wholeRecord(rec.ID, channel, u)
	if shown.Sites, err = s.sitesWith(ctx, u, func(site *storage.Site) bool {
		return site.RecordID == rec.ID || site.ReferenceID == rec.ID || site.LogID == rec.ID
	}); err != nil {
		return err
	}
	shown.MayDelete, shown.Fault = len(shown.Sites) == 0, fault
	f := &page.Frame{Title: shown.Name, Here: "records", JSON: "/v1/records/" + rec.ID, Page: &shown, More: recordTwins(&wire, channel, pictures)}
	if digest == nil {
		f.Scripts = []string{"record.js"}
	}
	offerUnits(c, f)
	return s.showWith(c, status, "record", f)
}

// wholeRecord is the address of a record's page that waits for all of it.
func wholeRecord(id, channel string, u page.Units) string {
	query := url.Values{"whole": {"true"}}
	if channel != "" {
		query.Set("channel", channel)
	}
	if u.Feet {
		query.Set(unitsQuery, u.Word())
	}
	return "/records/" + id + "?" + query.Encode()
}

// recordTwins are the addresses of what a record's page shows beyond the record's own, as far as there is any.
func recordTwins(r *openapi.Record, channel string, p *page.RecordPictures) []string {
	base := "/v1/records/" + r.ID
	out := []string{base + "/screening"}
	query := "?" + url.Values{"channel": {channel}}.Encode()
	if p == nil {
		return out
	}
	if p.Climate != nil {
		out = append(out, base+"/climate"+query)
	}
	if p.Coverage != nil {
		out = append(out, base+"/coverage"+query)
	}
	if p.Shear != nil {
		out = append(out, base+"/shear")
	}
	return out
}

// sitesLooked is among how many sites, the newest first, a page looks for those that use something.
const sitesLooked = 500

// sitesWith are the sites that use something.
func (s *service) sitesWith(ctx context.Context, u page.Units, uses func(*storage.Site) bool) ([]page.Link, error) {
	sites, err := s.Store.Sites(ctx, storage.Page{Limit: sitesLooked})
	if err != nil {
		return nil, stored(err)
	}
	var out []page.Link
	for i := range sites {
		if !uses(&sites[i]) {
			continue
		}
		name := sites[i].Name
		if name == "" {
			name = page.Text("club.no_name")
		}
		out = append(out, page.Link{Words: name, To: "/sites/" + sites[i].ID + u.Query()})
	}
	return out, nil
}

// removeRecord deletes a record, if whoever asks is sure.
func (s *service) removeRecord(c *gin.Context) error {
	form, err := s.readForm(c)
	if err != nil {
		return err
	}
	if form.Get("delete") != "yes" {
		return s.showRecord(c, http.StatusUnprocessableEntity, page.Text("record.delete_unsure"))
	}
	_, err = s.DeleteRecord(c.Request.Context(), openapi.DeleteRecordRequestObject{ID: c.Param("id")})
	var p *problem
	if errors.As(err, &p) && p.kind == recordInUse {
		return s.showRecord(c, http.StatusConflict, page.Text("record.delete_used"))
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/records")
}

package api

import (
	"encoding/xml"
	"net/url"
	"time"

	"github.com/gin-gonic/gin"

	"mastworth/api/page"
	"mastworth/openapi"
)

// mostInFeed is how many results a feed tells.
const mostInFeed = 50

type (
	feed struct {
		XMLName xml.Name    `xml:"http://www.w3.org/2005/Atom feed"`
		Title   string      `xml:"title"`
		ID      string      `xml:"id"`
		Updated string      `xml:"updated"`
		Author  feedAuthor  `xml:"author"`
		Links   []feedLink  `xml:"link"`
		Entries []feedEntry `xml:"entry"`
	}
	feedAuthor struct {
		Name string `xml:"name"`
	}
	feedLink struct {
		Rel  string `xml:"rel,attr"`
		Type string `xml:"type,attr,omitempty"`
		Href string `xml:"href,attr"`
	}
	feedEntry struct {
		Title     string   `xml:"title"`
		ID        string   `xml:"id"`
		Updated   string   `xml:"updated"`
		Published string   `xml:"published"`
		Link      feedLink `xml:"link"`
		Summary   string   `xml:"summary"`
	}
)

// feedOf writes an Atom feed (RFC 4287) of sites with results, the latest first. Its ids are tag URIs (RFC 4151): authority, which
// must stay the same for good, is the host of the club's address.
func feedOf(b *openapi.Board, created map[string]time.Time, authority, self, html string) ([]byte, error) {
	title := page.Text("feed.title")
	author := page.Text("app.name")
	if b.Name != "" {
		title, author = b.Name+": "+title, b.Name
	}
	f := feed{Title: title, ID: "tag:" + authority + ",2026:club", Updated: time.Unix(0, 0).UTC().Format(time.RFC3339), Author: feedAuthor{author},
		Links: []feedLink{{"self", "application/atom+xml", self}, {"alternate", "text/html", html}}}
	for i := range b.Sites {
		s := &b.Sites[i]
		if s.State == openapi.BoardSiteStateNone || len(f.Entries) == mostInFeed {
			continue
		}
		if len(f.Entries) == 0 {
			f.Updated = s.UpdatedAt.UTC().Format(time.RFC3339)
		}
		row := page.NewClubRow(s, page.Units{})
		made := created[s.ID].UTC()
		f.Entries = append(f.Entries, feedEntry{Title: row.Name + ": " + row.Verdict, ID: "tag:" + authority + "," + made.Format("2006-01-02") + ":" + s.ID,
			Updated: s.UpdatedAt.UTC().Format(time.RFC3339), Published: made.Format(time.RFC3339), Link: feedLink{"alternate", "text/html", s.PageURL},
			Summary: row.Summary()})
	}
	out, err := xml.MarshalIndent(&f, "", "  ")
	if err != nil {
		return nil, err
	}
	return append([]byte(xml.Header), append(out, '\n')...), nil
}

// authority is the host of an address, for tag URIs.
func authority(address string) string {
	if u, err := url.Parse(address); err == nil && u.Hostname() != "" {
		return u.Hostname()
	}
	return "localhost"
}

// readFeed answers the feed.
func (s *service) readFeed(c *gin.Context) error {
	ctx := c.Request.Context()
	base := s.address(c)
	q := boardQuery{sort: "updated"}
	stamp, err := s.Store.BoardStamp(ctx)
	if err != nil {
		return stored(err)
	}
	etag := hashTag(q.tag(s, "feed", stamp), base)
	if s.hasAlready(c, etag) {
		return nil
	}
	all, err := s.boardAt(ctx, stamp)
	if err != nil {
		return err
	}
	b := s.boardFrom(q, all)
	for i := range b.Sites {
		b.Sites[i].PageURL = base + "/club/sites/" + b.Sites[i].ID
	}
	body, err := feedOf(&b, all.made, authority(base), base+"/club/feed.atom", base+"/club")
	if err != nil {
		return err
	}
	s.sendShared(c, "application/atom+xml", etag, body)
	return nil
}

package api

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"mastworth/api/chart"
	"mastworth/api/document"
	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/storage"
)

const htmlType = "text/html; charset=utf-8"

// sitesOnPage is how many sites the board's page lists; 100 weigh some 60 kB.
const sitesOnPage = 100

func (s *service) clubRoutes(e *gin.Engine) {
	e.GET("/club", s.paged(s.readClub))
	e.GET("/club/feed.atom", s.paged(s.readFeed))
	e.GET("/club/sites/:id", s.paged(s.readClubSite))
	e.GET("/club/sites/:id/embed", s.paged(s.readEmbed))
	e.GET("/club/sites/:id/charts/:file", s.paged(s.readClubChart))
	e.GET("/sites/:id/card.svg", s.paged(s.readCard))
	e.GET("/sites/:id/club", s.paged(s.readShowing))
	e.POST("/sites/:id/club", s.paged(s.changeShowing))
	e.GET("/oembed", s.paged(s.readOEmbed))
}

// showShared writes a page that everybody may have and keep for a while.
func (s *service) showShared(c *gin.Context, name, etag string, f *page.Frame) error {
	buf := newBuffer()
	defer freeBuffer(buf)
	f.Version = s.Version
	if err := s.pages.Render(buf, name, f); err != nil {
		return err
	}
	c.Writer.Header()["Content-Security-Policy"] = pagePolicy
	if f.Embed {
		c.Writer.Header()["Content-Security-Policy"] = framePolicy(s.Club.Frames)
	}
	s.sendShared(c, htmlType, etag, buf.Bytes())
	return nil
}

// readClub shows the board.
func (s *service) readClub(c *gin.Context) error {
	ctx := c.Request.Context()
	q := boardQuery{sort: cmp.Or(c.Query("sort"), "updated"), verdict: c.Query("verdict"), after: c.Query("after"), limit: sitesOnPage}
	// asked is the query once more, with pairs of names and values.
	asked := func(more ...string) url.Values {
		v := url.Values{"sort": {q.sort}}
		for i, more := 0, append(more, "verdict", q.verdict); i < len(more); i += 2 {
			if more[i+1] != "" {
				v.Set(more[i], more[i+1])
			}
		}
		return v
	}
	stamp, err := s.Store.BoardStamp(ctx)
	if err != nil {
		return stored(err)
	}
	u := unitsOf(c)
	etag := q.tag(s, "board page "+u.Word(), stamp)
	if s.hasAlready(c, etag) {
		return nil
	}
	b, err := s.boardDocument(ctx, q, stamp)
	if err != nil {
		return err
	}
	f := clubFrame(&b, u)
	p := f.Page.(page.Club)
	p.Choose(q.sort, q.verdict)
	p.Feed, p.All = "/club/feed.atom", "/v1/club/board"
	if b.Next != nil {
		p.More = "/club?" + asked("after", *b.Next, "units", c.Query(unitsQuery)).Encode()
	}
	f.Page, f.JSON = p, "/v1/club/board?"+asked().Encode()
	offerUnits(c, f)
	return s.showShared(c, "club", etag, f)
}

func clubFrame(b *openapi.Board, u page.Units) *page.Frame {
	p := page.NewClub(b, u)
	return &page.Frame{Title: p.Name, Here: "club", Page: p}
}

// readClubSite shows what a public site shows.
func (s *service) readClubSite(c *gin.Context) error {
	e, d, err := s.shownSite(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	base := s.address(c)
	u := unitsOf(c)
	etag := s.entryTag("page", &e, base, u.Word())
	if s.hasAlready(c, etag) {
		return nil
	}
	site := s.publicSite(&e, d, s.links())
	p, err := page.NewPublicSite(&site, u, "/club/sites/"+e.ID+"/charts/")
	if err != nil {
		return err
	}
	p.Board = "/club"
	if base != "" {
		p.OEmbed = base + "/oembed?" + url.Values{"url": {base + "/club/sites/" + e.ID}, "format": {"json"}}.Encode()
		p.Snippets = s.snippets(base, e.ID, p.Row.Name, u)
		p.NoFrames = len(s.Club.Frames) == 0
	}
	f := &page.Frame{Title: p.Row.Name, Here: "club", JSON: "/v1/club/sites/" + e.ID, Page: p}
	offerUnits(c, f)
	return s.showShared(c, "clubsite", etag, f)
}

// readEmbed shows it in short, for a frame.
func (s *service) readEmbed(c *gin.Context) error {
	e, d, err := s.shownSite(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	u, _ := page.UnitsOf(c.Query(unitsQuery)) // a frame on another website has no cookie of ours
	etag := s.entryTag("embed", &e, u.Word())
	if s.hasAlready(c, etag) {
		return nil
	}
	site := s.publicSite(&e, d, s.links())
	site.Heights = nil // no charts need be drawn
	p, err := page.NewPublicSite(&site, u, "")
	if err != nil {
		return err
	}
	p.Shorten()
	p.Page = "/club/sites/" + e.ID + u.Query()
	return s.showShared(c, "clubembed", etag, &page.Frame{Title: p.Row.Name, Embed: true, Page: p})
}

// readClubChart answers one of a public site's charts as a file.
func (s *service) readClubChart(c *gin.Context) error {
	e, d, err := s.shownSite(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	u := unitsOf(c)
	site := s.publicSite(&e, d, s.links())
	all := page.PublicCharts(&site, u)
	names := make([]string, len(all))
	for i := range all {
		names[i] = all[i].Name
	}
	name, format, ok := splitChartFile(c.Param("file"))
	at := slices.Index(names, name)
	if !ok || at < 0 {
		return noSuchChart(names...)
	}
	return s.sendChartKept(c, shared, s.entryTag("chart", &e, u.Word(), name), format, func() (chart.Chart, error) { return all[at], nil })
}

// cardPolicy lets a card's own style be.
var cardPolicy = []string{"default-src 'none'; style-src " + page.CardStyleHash + "; frame-ancestors 'none'"}

// readCard draws a public site's card.
func (s *service) readCard(c *gin.Context) error {
	e, d, err := s.shownSite(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	etag := s.entryTag("card", &e)
	if s.hasAlready(c, etag) {
		return nil
	}
	site := s.boardSite(&e, d, s.links())
	c.Writer.Header()["Content-Security-Policy"] = cardPolicy
	s.sendShared(c, "image/svg+xml", etag, page.Card(&site, s.Club.Name))
	return nil
}

// readShowing shows the form that says whether a site is shown.
func (s *service) readShowing(c *gin.Context) error {
	site, err := s.site(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	wire, err := wireSite(site)
	if err != nil {
		return err
	}
	return s.show(c, "showing", showingFrame(page.ShowingOf(&wire)))
}

func showingFrame(p page.Showing) *page.Frame {
	return &page.Frame{Title: page.Text("showing.title"), Here: "sites", JSON: "/v1/sites/" + p.SiteID, Page: p}
}

// yes is what a ticked box sends.
const yes = "yes"

// changeShowing takes the form.
func (s *service) changeShowing(c *gin.Context) error {
	ctx := c.Request.Context()
	form, err := s.readForm(c)
	if err != nil {
		return err
	}
	if len(form) == 0 { // a browser sends the name at least; nothing would hide the site
		return newProblem(malformedBody, "the form is empty").at("body", "is empty; send public, shown_as and show_costs")
	}
	name, costs := form.Get("shown_as"), form.Get("show_costs") == yes
	in := openapi.ClubInput{Public: form.Get("public") == yes, ShownAs: &name, ShowCosts: &costs}
	for _, box := range []string{"public", "show_costs"} {
		if v := form.Get(box); v != "" && v != yes {
			return newProblem(malformedBody, "the form has a box that is neither ticked nor not").at("body."+box, "must be %s, or be left out", yes)
		}
	}
	site, err := s.site(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	if n := utf8.RuneCountInString(name); n > document.MaxShownAs {
		p := page.Showing{SiteID: site.ID, Name: site.Name, Public: in.Public, ShownAs: name, ShowCosts: costs, Link: "/club/sites/" + site.ID,
			Fault: page.Text("showing.too_long", n, document.MaxShownAs)}
		return s.showWith(c, http.StatusUnprocessableEntity, "showing", showingFrame(p))
	}
	if (storage.Club{Public: in.Public, ShownAs: plainName(name), ShowCosts: costs, ChangedAt: site.Club.ChangedAt}) != site.Club {
		if _, err := s.showSite(ctx, site.ID, 0, in); err != nil {
			return err
		}
	}
	return seeOther(c, "/sites/"+site.ID+"/club")
}

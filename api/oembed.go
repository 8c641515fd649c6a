package api

import (
	"html"
	"net/url"
	"regexp"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"mastworth/api/document"
	"mastworth/api/page"
	"mastworth/openapi"
)

// The size of a frame that nobody asked to be smaller, and the least in which all of a site's short page can be read, px.
const (
	frameWidth, frameHeight           = 480, 440
	leastFrameWidth, leastFrameHeight = 400, 440
)

var publicPath = regexp.MustCompile(`^/club/sites/([A-Za-z0-9_-]{1,64})(/embed)?$`)

// frameHTML is a frame with a public site in short, in the units of the page it is copied from.
func frameHTML(base, id, name string, u page.Units, width, height int) string {
	return `<iframe src="` + html.EscapeString(base+"/club/sites/"+id+"/embed"+u.Query()) + `" width="` + strconv.Itoa(width) + `" height="` + strconv.Itoa(height) +
		`" title="` + html.EscapeString(page.Text("club.frame_title", name)) + `" loading="lazy"></iframe>`
}

// cardHTML is a picture with a public site's chief numbers, in SI whatever the units of the page that it leads to.
func cardHTML(base, id, name string, u page.Units, width, height int) string {
	return `<a href="` + html.EscapeString(base+"/club/sites/"+id+u.Query()) + `"><img src="` + html.EscapeString(base+"/sites/"+id+"/card.svg") + `" width="` +
		strconv.Itoa(width) + `" height="` + strconv.Itoa(height) + `" alt="` + html.EscapeString(page.Text("club.frame_title", name)) + `"></a>`
}

// snippets are what a webmaster may copy: a frame where any website may show one.
func (s *service) snippets(base, id, name string, u page.Units) []page.Snippet {
	var out []page.Snippet
	if len(s.Club.Frames) > 0 {
		out = append(out, page.Snippet{ID: "copy-frame", Words: page.Text("club.copy_frame"), Text: frameHTML(base, id, name, u, frameWidth, frameHeight)})
	}
	return append(out, page.Snippet{ID: "copy-card", Words: page.Text("club.copy_card"), Text: cardHTML(base, id, name, u, page.CardWidth, page.CardHeight)},
		page.Snippet{ID: "copy-json", Words: page.Text("club.copy_json"), Text: base + "/v1/club/sites/" + id})
}

// embedding is what another website is to show, and its size: a frame where it may and all of it fits, else the card, as large as fits.
func (s *service) embedding(base, id, name, maxWidth, maxHeight string) (body string, width, height int) {
	width, height = atMost(frameWidth, maxWidth), atMost(frameHeight, maxHeight)
	if len(s.Club.Frames) > 0 && width >= leastFrameWidth && height >= leastFrameHeight {
		return frameHTML(base, id, name, page.Units{}, width, height), width, height
	}
	width = max(1, min(atMost(page.CardWidth, maxWidth), atMost(page.CardHeight, maxHeight)*page.CardWidth/page.CardHeight))
	height = max(1, width*page.CardHeight/page.CardWidth)
	return cardHTML(base, id, name, page.Units{}, width, height), width, height
}

// readOEmbed says how to embed a public site's page (oEmbed 1.0).
func (s *service) readOEmbed(c *gin.Context) error {
	if c.Query("url") == "" {
		return newProblem(invalidParameters, "a parameter is missing").at("query.url", "must be the address of a public site's page")
	}
	if c.Query("format") == "xml" {
		return newProblem(notOffered, "this is answered as JSON alone").at("query.format", "must be json")
	}
	base := s.address(c)
	id, ok := siteAt(c.Query("url"), base)
	if !ok {
		return notFound("there is no public site's page at this address").at("query.url", "is no address of a public site's page here")
	}
	e, d, err := s.publicEntry(c.Request.Context(), id)
	if err != nil {
		return err
	}
	etag := s.entryTag("oembed", &e, base, c.Query("maxwidth"), c.Query("maxheight"))
	if s.hasAlready(c, etag) {
		return nil
	}
	name := page.NewClubRow(ptr(s.boardSite(&e, d, s.links())), page.Units{}).Name
	provider := s.Club.Name
	if provider == "" {
		provider = page.Text("app.name")
	}
	html, width, height := s.embedding(base, id, name, c.Query("maxwidth"), c.Query("maxheight"))
	out := openapi.Embedding{Version: "1.0", Type: "rich", Title: name, ProviderName: provider, ProviderURL: base + "/club",
		CacheAge: int(sharedFor.Seconds()), HTML: html, Width: width, Height: height}
	body, err := document.EncodeJSON(out)
	if err != nil {
		return err
	}
	s.sendShared(c, "application/json", etag, body)
	return nil
}

func ptr[T any](v T) *T { return &v }

// siteAt is the id in the address of a public site's page of the service at base.
func siteAt(address, base string) (id string, ok bool) {
	u, err := url.Parse(address)
	here, errHere := url.Parse(base)
	if err != nil || errHere != nil || base == "" || u.Scheme != "http" && u.Scheme != "https" || !strings.EqualFold(u.Host, here.Host) {
		return "", false
	}
	m := publicPath.FindStringSubmatch(u.Path)
	if m == nil {
		return "", false
	}
	return m[1], true
}

// atMost is a size, or a smaller one that was asked for.
func atMost(usual int, asked string) int {
	if n, err := strconv.Atoi(asked); err == nil && n > 0 {
		return min(usual, n)
	}
	return usual
}

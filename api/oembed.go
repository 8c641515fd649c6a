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

// The size of a frame that nobody asked to be smaller, px.
const (
	frameWidth  = 480
	frameHeight = 440
)

var publicPath = regexp.MustCompile(`^/club/sites/([A-Za-z0-9_-]{1,64})(/embed)?$`)

// frameHTML is a frame with a public site in short.
func frameHTML(base, id, name string, width, height int) string {
	return `<iframe src="` + html.EscapeString(base+"/club/sites/"+id+"/embed") + `" width="` + strconv.Itoa(width) + `" height="` + strconv.Itoa(height) +
		`" title="` + html.EscapeString(page.Text("club.frame_title", name)) + `" loading="lazy"></iframe>`
}

// snippets are what a webmaster may copy.
func snippets(base, id, name string) []page.Snippet {
	card := `<a href="` + base + `/club/sites/` + id + `"><img src="` + base + `/sites/` + id + `/card.svg" width="` + strconv.Itoa(page.CardWidth) +
		`" height="` + strconv.Itoa(page.CardHeight) + `" alt="` + html.EscapeString(page.Text("club.frame_title", name)) + `"></a>`
	return []page.Snippet{
		{ID: "copy-frame", Words: page.Text("club.copy_frame"), Text: frameHTML(base, id, name, frameWidth, frameHeight)},
		{ID: "copy-card", Words: page.Text("club.copy_card"), Text: card},
		{ID: "copy-json", Words: page.Text("club.copy_json"), Text: base + "/v1/club/sites/" + id},
	}
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
	width, height := atMost(frameWidth, c.Query("maxwidth")), atMost(frameHeight, c.Query("maxheight"))
	etag := s.entryTag("oembed", &e, base, strconv.Itoa(width), strconv.Itoa(height))
	if s.hasAlready(c, etag) {
		return nil
	}
	name := page.NewClubRow(ptr(s.boardSite(&e, d, s.links())), page.Units{}).Name
	provider := s.Club.Name
	if provider == "" {
		provider = page.Text("app.name")
	}
	out := openapi.Embedding{Version: "1.0", Type: "rich", Title: name, ProviderName: provider, ProviderURL: base + "/club",
		CacheAge: int(sharedFor.Seconds()), HTML: frameHTML(base, id, name, width, height), Width: width, Height: height}
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

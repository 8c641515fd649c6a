package api

import (
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"mastworth/api/page"
	"mastworth/openapi"
)

// Policies of content. Pages take style, script and pictures from the service itself alone, and send forms nowhere else.
var (
	pagePolicy = []string{"default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; " +
		"base-uri 'none'; frame-ancestors 'none'"}
	forEver = []string{"public, max-age=31536000, immutable"}
)

// show writes a page.
func (s *service) show(c *gin.Context, name string, f *page.Frame) error {
	return s.showWith(c, http.StatusOK, name, f)
}

// showWith is show with another status.
func (s *service) showWith(c *gin.Context, status int, name string, f *page.Frame) error {
	buf := newBuffer()
	defer freeBuffer(buf)
	f.Version = s.Version
	if err := s.pages.Render(buf, name, f); err != nil {
		return err
	}
	s.sendPage(c, status, buf.Bytes())
	return nil
}

// packedFrom is how long a page is that is worth packing, bytes.
const packedFrom = 4 << 10

// sendPage writes a page, packed to whoever takes that: pages are a fifth of their length then, and many a builder's line is slow.
func (s *service) sendPage(c *gin.Context, status int, body []byte) {
	h := c.Writer.Header()
	addVary(h, "Accept-Encoding")
	if len(body) >= packedFrom && takesGzip(c.GetHeader("Accept-Encoding")) {
		buf := newBuffer()
		defer freeBuffer(buf)
		pack(buf, body)
		body = buf.Bytes()
		h.Set("Content-Encoding", "gzip")
		if tag := h.Get("ETag"); tag != "" { // a strong one would stand for other bytes
			h.Set("ETag", "W/"+tag)
		}
	}
	s.sendAsIs(c, status, body)
}

func addVary(h http.Header, name string) {
	if !strings.Contains(strings.Join(h.Values("Vary"), ","), name) {
		h.Add("Vary", name)
	}
}

// sendAsIs writes a page as it travels.
func (s *service) sendAsIs(c *gin.Context, status int, body []byte) {
	h := c.Writer.Header()
	h["Content-Security-Policy"] = pagePolicy
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Content-Length", strconv.Itoa(len(body)))
	c.Writer.WriteHeader(status)
	if _, err := c.Writer.Write(body); err != nil {
		s.unanswered(c, err)
	}
}

// forPages is set on requests of pages.
const forPages = "mastworth/page"

// refusal is a problem on a page, and where a browser goes to mend it; or nothing.
type refusal struct {
	*openapi.Problem
	Mend string
}

// whereToMend is the form of a saved site that cannot be worked out as it is.
func whereToMend(c *gin.Context, p *openapi.Problem) string {
	if p.Status != http.StatusUnprocessableEntity || c.Request.Method != http.MethodGet || !strings.HasPrefix(c.FullPath(), "/sites/:id") {
		return ""
	}
	return "/sites/" + c.Param("id") + "/edit"
}

// refusedAsPage answers a problem by a page, if a browser asked for one: what is refused before a page's own handler runs is, too.
func (s *service) refusedAsPage(c *gin.Context, p *openapi.Problem) bool {
	if !strings.Contains(c.GetHeader("Accept"), "text/html") || !c.GetBool(forPages) && strings.HasPrefix(c.FullPath(), "/v1/") {
		return false
	}
	buf := newBuffer()
	defer freeBuffer(buf)
	if err := s.pages.Render(buf, "refused", &page.Frame{Title: p.Title, Version: s.Version, Page: refusal{p, whereToMend(c, p)}}); err != nil {
		s.Logger.ErrorContext(c, "a problem has no page", "id", requestID(c), "error", err)
		return false
	}
	s.sendPage(c, p.Status, buf.Bytes())
	return true
}

// paged makes a handler of a function that shows a page or fails.
func (s *service) paged(handle func(c *gin.Context) error) gin.HandlerFunc {
	return func(c *gin.Context) {
		c.Set(forPages, true)
		if err := handle(c); err != nil {
			s.refuse(c, err)
		}
	}
}

// pageRoutes are the pages. Each is in the contract too, so that nobody is surprised by an address.
func (s *service) pageRoutes(e *gin.Engine) {
	e.GET("/", s.paged(s.readIndex))
	e.GET("/assets/:hash/:file", s.readAsset)
	e.GET("/signin", s.paged(s.readSignIn))
	e.POST("/signin", s.paged(s.signIn))
	e.POST("/signout", s.paged(s.signOut))
	e.POST("/units", s.paged(s.chooseUnits))
	s.siteRoutes(e)
	e.GET("/new/document", s.paged(s.readNew))
	e.POST("/new/document", s.paged(s.createFromPage))
	s.formRoutes(e)
	e.GET("/problems", s.paged(s.listProblems))
	e.GET("/problems/:slug", s.paged(s.readProblem))
	e.GET("/method", s.paged(s.readMethodPage))
	e.GET("/contract", s.paged(s.readContractPage))
	s.clubRoutes(e)
	s.recordRoutes(e)
	s.harvestRoutes(e)
}

func (s *service) readIndex(c *gin.Context) error {
	return s.show(c, "index", &page.Frame{Title: page.Text("index.title")})
}

func (s *service) readAsset(c *gin.Context) {
	a, ok := s.pages.Asset(c.Request.URL.Path)
	if !ok {
		s.refuse(c, notFound("there is no such file; pages link to the ones there are").
			at("path.hash", "is not, with this name, the address of a file").at("path.file", "is not, with this hash, the name of a file"))
		return
	}
	h := c.Writer.Header()
	h["Cache-Control"] = forEver
	h.Set("Content-Type", a.Type)
	h.Set("Content-Length", strconv.Itoa(len(a.Body)))
	c.Writer.WriteHeader(http.StatusOK)
	if _, err := c.Writer.Write(a.Body); err != nil {
		s.unanswered(c, err)
	}
}

func (s *service) listProblems(c *gin.Context) error {
	return s.show(c, "problems", &page.Frame{Title: page.Text("problems.title"), JSON: "/v1/problems", Page: kinds})
}

func (s *service) readProblem(c *gin.Context) error {
	for _, k := range kinds {
		if k.Slug == c.Param("slug") {
			return s.show(c, "problem", &page.Frame{Title: k.Title(), JSON: "/v1/problems", Page: k})
		}
	}
	return notFound("there is no such kind of problem; /problems lists them").at("path.slug", "is not a kind of problem")
}

// acrossSites refuses what another website makes a browser send here: forms need no leave by CORS.
var acrossSites = http.NewCrossOriginProtection()

func (s *service) sameSite(c *gin.Context) {
	if err := acrossSites.Check(c.Request); err != nil {
		s.refuse(c, newProblem(crossSite, "a page of another website sent this; open the service's own page, or send it without a browser"))
		c.Abort()
		return
	}
	c.Next()
}

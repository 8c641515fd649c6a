package api

import (
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"
)

//go:embed pages
var pageFiles embed.FS

// pages are the HTML pages, parsed at start: a broken one ends the program there, not a request.
type pages struct {
	index, problems, problem *template.Template
	policy                   []string // the content security policy that lets their style through
}

func newPages() *pages {
	style, err := pageFiles.ReadFile("pages/style.css")
	if err != nil {
		panic("api: the pages have no style")
	}
	frame := template.Must(template.New("frame.html").
		Funcs(template.FuncMap{"style": func() template.CSS { return template.CSS(style) }}). //nolint:gosec // our own file
		ParseFS(pageFiles, "pages/frame.html"))
	parse := func(name string) *template.Template {
		return template.Must(template.Must(frame.Clone()).ParseFS(pageFiles, "pages/"+name))
	}
	hash := sha256.Sum256(style)
	return &pages{
		index:    parse("index.html"),
		problems: parse("problems.html"),
		problem:  parse("problem.html"),
		policy: []string{fmt.Sprintf("default-src 'none'; style-src 'sha256-%s'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
			base64.StdEncoding.EncodeToString(hash[:]))},
	}
}

// show writes a page.
func (s *service) show(c *gin.Context, t *template.Template, data any) {
	buf := newBuffer()
	defer freeBuffer(buf)
	if err := t.ExecuteTemplate(buf, "frame", data); err != nil {
		s.refuse(c, fmt.Errorf("page: %w", err))
		return
	}
	h := c.Writer.Header()
	h["Content-Security-Policy"] = s.pages.policy
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Content-Length", strconv.Itoa(buf.Len()))
	c.Writer.WriteHeader(http.StatusOK)
	if _, err := c.Writer.Write(buf.Bytes()); err != nil {
		s.unanswered(c, err)
	}
}

func (s *service) readIndex(c *gin.Context) {
	s.show(c, s.pages.index, map[string]any{"Title": "Is it worth a mast?", "Version": s.Version})
}

func (s *service) listProblems(c *gin.Context) {
	s.show(c, s.pages.problems, map[string]any{"Title": "Problems", "Kinds": kinds})
}

func (s *service) readProblem(c *gin.Context) {
	for _, k := range kinds {
		if k.Slug == c.Param("slug") {
			s.show(c, s.pages.problem, map[string]any{"Title": k.Title, "Kind": k})
			return
		}
	}
	s.refuse(c, notFound("there is no such kind of problem; /problems lists them").at("path.slug", "is not a kind of problem"))
}

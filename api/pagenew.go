package api

import (
	_ "embed" // for the example
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"mastworth/api/page"
	"mastworth/openapi"
)

// exampleDocument is an invented request to begin with.
//
//go:embed example.yaml
var exampleDocument string

// newDocument is what the page shows on which a request document is written.
type newDocument struct {
	Text   string
	Faults []openapi.ProblemError
}

func (s *service) readNew(c *gin.Context) error {
	return s.showNew(c, http.StatusOK, newDocument{Text: exampleDocument})
}

func (s *service) showNew(c *gin.Context, status int, p newDocument) error {
	return s.showWith(c, status, "new", &page.Frame{Title: page.Text("new.title"), Here: "new", Page: p})
}

// createFromPage saves the document that was written or opened and goes on to its estimate; with faults it shows it again.
func (s *service) createFromPage(c *gin.Context) error {
	if c.ContentType() != "multipart/form-data" {
		return newProblem(unsupportedMedia, "this takes a page's form").
			at("header.Content-Type", "must be multipart/form-data, not %s", printable(c.ContentType()))
	}
	c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, s.MaxBodyBytes+(64<<10))
	if err := c.Request.ParseMultipartForm(s.MaxBodyBytes); err != nil {
		return formError(err)
	}
	text := c.Request.PostFormValue("document")
	ctx := requestContext(c)
	d, err := s.readDocument(ctx, strings.NewReader(text), "application/yaml")
	if err != nil {
		return s.newFaults(c, text, err)
	}
	defer d.free()
	site, err := s.newSite(d)
	if err != nil {
		return s.newFaults(c, text, err)
	}
	site.ID, site.CreatedAt = s.NewID(), s.now()
	site.UpdatedAt = site.CreatedAt
	if site, err = s.Store.CreateSite(ctx, site); err != nil {
		return s.newFaults(c, text, s.siteError(ctx, d, err))
	}
	c.Redirect(http.StatusSeeOther, "/sites/"+site.ID)
	return nil
}

// newFaults shows a document again with what is wrong with it, if that is the document's fault.
func (s *service) newFaults(c *gin.Context, text string, err error) error {
	p, known := problemOf(err)
	if !known || len(p.errors) == 0 {
		return err
	}
	shown := newDocument{Text: text}
	for _, e := range p.errors {
		e.Location = strings.TrimPrefix(strings.TrimPrefix(e.Location, "body"), ".")
		shown.Faults = append(shown.Faults, e)
	}
	return s.showNew(c, http.StatusUnprocessableEntity, shown)
}

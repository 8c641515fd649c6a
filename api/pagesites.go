package api

import (
	"cmp"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"sync"

	"github.com/gin-gonic/gin"
	"github.com/goccy/go-yaml"

	"mastworth/api/chart"
	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/storage"
)

func (s *service) siteRoutes(e *gin.Engine) {
	there := routesOf(e)
	e.GET("/sites", s.paged(s.listSitePages))
	e.GET("/sites/:id", s.paged(func(c *gin.Context) error { return s.showResult(c, "result", there) }))
	e.POST("/sites/:id", s.paged(func(c *gin.Context) error { return s.removeSite(c, there) }))
	e.GET("/sites/:id/report", s.paged(func(c *gin.Context) error { return s.showResult(c, "report", there) }))
	e.GET("/sites/:id/request.yaml", s.paged(s.readRequestYAML))
	e.GET("/sites/:id/charts/:file", s.paged(s.readResultChart))
}

// routesOf tells whether a page is there, once all of them are: a result links to other pages about its site.
func routesOf(e *gin.Engine) func(route string) bool {
	all := sync.OnceValue(func() map[string]bool {
		there := map[string]bool{}
		for _, r := range e.Routes() {
			there[r.Path] = true
		}
		return there
	})
	return func(route string) bool { return all()[route] }
}

const sitesListed = 50

// listSitePages lists saved sites, newest first.
func (s *service) listSitePages(c *gin.Context) error {
	all, err := s.Store.Sites(requestContext(c), storage.Page{After: c.Query("after"), Limit: sitesListed + 1})
	if err != nil {
		return stored(err)
	}
	outcomes, err := s.outcomes(requestContext(c), all)
	if err != nil {
		return err
	}
	u := unitsOf(c)
	p := page.Sites{Query: u.Query()}
	for i := range all {
		if i == sitesListed {
			if p.More = "/sites?after=" + all[i-1].ID; u.Feet {
				p.More += "&" + unitsQuery + "=" + u.Word()
			}
			break
		}
		var in openapi.EstimateRequest
		known := &in
		if json.Unmarshal(all[i].Request, &in) != nil {
			known = nil // its own page says what is wrong
		}
		p.Rows = append(p.Rows, page.NewSiteRow(all[i].ID, all[i].Name, all[i].UpdatedAt, known, outcomes[all[i].ID], u))
	}
	f := &page.Frame{Title: page.Text("sites.title"), Here: "sites", JSON: "/v1/sites", Page: p}
	offerUnits(c, f)
	return s.show(c, "sites", f)
}

// keyedSite is a saved site with the key of its estimate, which is not worked out for it.
func (s *service) keyedSite(c *gin.Context) (site storage.Site, key string, err error) {
	ctx := requestContext(c)
	if site, err = s.site(ctx, c.Param("id")); err != nil {
		return site, "", err
	}
	key, err = s.estimateKey(ctx, &site)
	return site, key, err
}

// shownEstimate is a site's estimate as it is kept, or as it is worked out now. A kept curve's points are put into its place.
func (s *service) shownEstimate(c *gin.Context, site *storage.Site, key string) (*openapi.Estimate, error) {
	ctx := requestContext(c)
	body, err := s.keptOrNew(ctx, site, key)
	if err != nil {
		return nil, err
	}
	e := new(openapi.Estimate)
	if err := json.Unmarshal(body, e); err != nil {
		return nil, fmt.Errorf("the kept estimate of site %s: %w", site.ID, err)
	}
	if curve := e.Request.Turbine.Curve; curve != nil {
		filled, _, err := s.withCurve(ctx, e.Request)
		if err != nil {
			return nil, err
		}
		filled.Turbine.Curve = curve
		e.Request = filled
	}
	return e, nil
}

// showResult shows a site's estimate on a page, or as the report. Whoever has the same already is told so without any work.
func (s *service) showResult(c *gin.Context, name string, there func(route string) bool) error {
	site, key, err := s.keyedSite(c)
	if err != nil {
		return err
	}
	tag := hashTag(name, unitsOf(c).Word(), s.looks, key, versionTag(site.Version), site.Name, site.UpdatedAt.String(), site.Club.ChangedAt.String())
	if given := c.GetHeader("If-None-Match"); given != "" && matches(&given, tag) {
		return notModified{tag}.send(c.Writer)
	}
	shown, err := s.resultOf(c, &site, key, there)
	if err != nil {
		return err
	}
	tagged(c.Writer.Header(), tag)
	if name == "report" {
		shown.Report, shown.Adjust, shown.Showing = true, nil, nil
		return s.show(c, name, &page.Frame{Title: page.Text("report.title") + ": " + shown.Name, JSON: "/v1/sites/" + site.ID + "/estimate", Embed: true, Page: shown})
	}
	return s.show(c, name, resultFrame(c, shown))
}

func resultFrame(c *gin.Context, shown *page.Result) *page.Frame {
	f := &page.Frame{Title: shown.Name, Here: "sites", JSON: "/v1/sites/" + shown.ID + "/estimate", Scripts: []string{"result.js"}, Page: shown}
	offerUnits(c, f)
	return f
}

func (s *service) resultOf(c *gin.Context, site *storage.Site, key string, there func(route string) bool) (*page.Result, error) {
	e, err := s.shownEstimate(c, site, key)
	if err != nil {
		return nil, err
	}
	wire, err := wireSite(*site)
	if err != nil {
		return nil, err
	}
	showing, u := page.ShowingOf(&wire), unitsOf(c)
	of := page.ResultSite{ID: site.ID, Name: site.Name, Updated: site.UpdatedAt, CurveID: site.CurveID, RecordID: site.RecordID, Showing: &showing}
	if there("/sites/:id/edit") {
		of.Edit = "/sites/" + site.ID + "/edit" + u.Query()
	}
	if there("/sites/:id/harvest") {
		of.Harvest = "/sites/" + site.ID + "/harvest" + u.Query()
	}
	return page.NewResult(of, e, u)
}

// removeSite deletes a site, if whoever asks is sure.
func (s *service) removeSite(c *gin.Context, there func(route string) bool) error {
	form, err := s.readForm(c)
	if err != nil {
		return err
	}
	if form.Get("delete") != "yes" {
		site, key, err := s.keyedSite(c)
		if err != nil {
			return err
		}
		shown, err := s.resultOf(c, &site, key, there)
		if err != nil {
			return err
		}
		shown.Fault = page.Text("record.delete_unsure")
		return s.showWith(c, http.StatusUnprocessableEntity, "result", resultFrame(c, shown))
	}
	if _, err := s.DeleteSite(c.Request.Context(), openapi.DeleteSiteRequestObject{ID: c.Param("id")}); err != nil {
		return err
	}
	return seeOther(c, "/sites")
}

// readRequestYAML is the saved request as a file to be opened again.
func (s *service) readRequestYAML(c *gin.Context) error {
	site, err := s.site(requestContext(c), c.Param("id"))
	if err != nil {
		return err
	}
	text, err := yaml.JSONToYAML(site.Request)
	if err != nil {
		return fmt.Errorf("the stored request of site %s: %w", site.ID, err)
	}
	h := c.Writer.Header()
	tagged(h, hashTag("request", string(text)))
	h.Set("Content-Type", "application/yaml")
	h.Set("Content-Disposition", `attachment; filename="`+site.ID+`.yaml"`)
	c.Writer.WriteHeader(http.StatusOK)
	if _, err := c.Writer.Write(text); err != nil {
		s.unanswered(c, err)
	}
	return nil
}

// readResultChart is a chart of a site's estimate as a file.
func (s *service) readResultChart(c *gin.Context) error {
	name, format, ok := splitChartFile(c.Param("file"))
	if !ok || !slices.Contains(page.ResultChartNames(), name) {
		return noSuchChart(page.ResultChartNames()...)
	}
	site, key, err := s.keyedSite(c)
	if err != nil {
		return err
	}
	return s.sendChart(c, hashTag(key, name, unitsOf(c).Word()), format, func() (chart.Chart, error) {
		e, err := s.shownEstimate(c, &site, key)
		if err != nil {
			return chart.Chart{}, err
		}
		drawn, ok := page.ResultChart(e, unitsOf(c), name)
		if !ok {
			return drawn, notFound("the estimate of %s has nothing to draw for %s", cmp.Or(site.Name, site.ID), name)
		}
		return drawn, nil
	})
}

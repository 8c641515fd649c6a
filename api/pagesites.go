package api

import (
	"encoding/json"
	"fmt"
	"slices"

	"github.com/gin-gonic/gin"

	"mastworth/api/chart"
	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/storage"
)

func (s *service) siteRoutes(e *gin.Engine) {
	e.GET("/sites", s.paged(s.listSitePages))
	e.GET("/sites/:id", s.paged(s.readResult))
	e.GET("/sites/:id/report", s.paged(s.readReport))
	e.GET("/sites/:id/charts/:file", s.paged(s.readResultChart))
}

const sitesListed = 50

// listSitePages lists saved sites, newest first.
func (s *service) listSitePages(c *gin.Context) error {
	after := c.Query("after")
	all, err := s.Store.Sites(requestContext(c), storage.Page{After: after, Limit: sitesListed + 1})
	if err != nil {
		return stored(err)
	}
	var p page.Sites
	for i, site := range all {
		if i == sitesListed {
			p.More = "/sites?after=" + all[i-1].ID
			break
		}
		p.Rows = append(p.Rows, page.NewSiteRow(site.ID, site.Name, site.UpdatedAt))
	}
	return s.show(c, "sites", &page.Frame{Title: page.Text("sites.title"), Here: "sites", JSON: "/v1/sites", Page: p})
}

// shownEstimate is a site with its estimate as it is kept, or as it is worked out now.
func (s *service) shownEstimate(c *gin.Context) (site storage.Site, e openapi.Estimate, tag string, err error) {
	ctx := requestContext(c)
	if site, err = s.site(ctx, c.Param("id")); err != nil {
		return site, e, "", err
	}
	if tag, err = s.estimateKey(ctx, &site); err != nil {
		return site, e, tag, err
	}
	body, err := s.keptOrNew(ctx, &site, tag)
	if err != nil {
		return site, e, tag, err
	}
	if err := json.Unmarshal(body, &e); err != nil {
		return site, e, tag, fmt.Errorf("the kept estimate of site %s: %w", site.ID, err)
	}
	return site, e, tag, nil
}

func (s *service) readResult(c *gin.Context) error { return s.showResult(c, "result") }
func (s *service) readReport(c *gin.Context) error { return s.showResult(c, "report") }

func (s *service) showResult(c *gin.Context, name string) error {
	site, e, _, err := s.shownEstimate(c)
	if err != nil {
		return err
	}
	shown, err := page.NewResult(site.ID, site.Name, site.UpdatedAt, &e)
	if err != nil {
		return err
	}
	shown.Report = name == "report"
	f := &page.Frame{Title: shown.Name, Here: "sites", JSON: "/v1/sites/" + site.ID + "/estimate", Page: shown}
	if shown.Report {
		f.Title = page.Text("report.title") + ": " + shown.Name
	}
	return s.show(c, name, f)
}

// readResultChart is a chart of a site's estimate as a file.
func (s *service) readResultChart(c *gin.Context) error {
	name, format, ok := splitChartFile(c.Param("file"))
	if !ok || !slices.Contains(page.ResultChartNames(), name) {
		return noSuchChart(page.ResultChartNames()...)
	}
	_, e, tag, err := s.shownEstimate(c)
	if err != nil {
		return err
	}
	return s.sendChart(c, hashTag(tag, name), format, func() (chart.Chart, error) {
		drawn, ok := page.ResultChart(&e, name)
		if !ok {
			return drawn, notFound("the estimate has nothing to draw for %s", name)
		}
		return drawn, nil
	})
}

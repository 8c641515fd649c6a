package api

import (
	"context"
	"errors"
	"math"
	"net/http"
	"net/url"

	"github.com/gin-gonic/gin"

	"mastworth/api/chart"
	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/storage"
)

// readCurves lists the curves that are kept.
func (s *service) readCurves(c *gin.Context) error {
	limit := recordsOnPage
	r := openapi.ListCurvesRequestObject{Params: openapi.ListCurvesParams{Limit: &limit}}
	if after := c.Query("after"); after != "" {
		r.Params.After = &after
	}
	got, err := s.ListCurves(c.Request.Context(), r)
	if err != nil {
		return err
	}
	list := got.(answer).body.(openapi.CurveList)
	p := page.Curves{Rows: page.NewCurveRows(list.Curves, unitsOf(c))}
	if list.Next != nil {
		p.More = "/curves?" + url.Values{"after": {*list.Next}}.Encode()
	}
	f := &page.Frame{Title: page.Text("curves.title"), Here: "records", JSON: "/v1/curves", Page: p}
	offerUnits(c, f)
	return s.show(c, "curves", f)
}

// readCurve shows a curve.
func (s *service) readCurve(c *gin.Context) error { return s.showCurve(c, http.StatusOK, "") }

func (s *service) showCurve(c *gin.Context, status int, fault string) error {
	ctx := c.Request.Context()
	kept, wire, err := s.keptCurve(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	u := unitsOf(c)
	p, err := page.NewCurve(&wire, kept.Source, curvePoints(&wire, kept.DiameterM), u)
	if err != nil {
		return err
	}
	if p.Sites, err = s.sitesWith(ctx, u, func(site *storage.Site) bool { return site.CurveID == kept.ID }); err != nil {
		return err
	}
	p.MayDelete, p.Fault = len(p.Sites) == 0, fault
	f := &page.Frame{Title: p.Name, Here: "records", JSON: "/v1/curves/" + kept.ID, Page: &p}
	offerUnits(c, f)
	return s.showWith(c, status, "curve", f)
}

func (s *service) keptCurve(ctx context.Context, id string) (storage.Curve, openapi.Curve, error) {
	kept, err := s.curve(ctx, id)
	if err != nil {
		return kept, openapi.Curve{}, err
	}
	wire, err := wireCurve(&kept)
	return kept, wire, err
}

// standardDensity is the air a curve stands for where it does not say, kg/m³ (IEC 61400-12-1: sea level at 15 °C).
const standardDensity = 1.225

// curvePoints are a curve's points with their electrical power coefficients, P / (½ρAv³) (IEC 61400-12-1), by the air the curve stands for
// and a rotor's diameter, m; NaN where that is not known or the air stands still.
func curvePoints(c *openapi.Curve, diameterM float64) []page.CurvePoint {
	density := standardDensity
	if t := c.Turbine.PowerCurve; t != nil && t.AirDensityKgM3 != nil {
		density = *t.AirDensityKgM3
	}
	area := math.Pi / 4 * diameterM * diameterM
	out := make([]page.CurvePoint, len(c.Machine.Curve))
	for i, p := range c.Machine.Curve {
		out[i] = page.CurvePoint{WindMS: p[0], PowerW: p[1], Cp: math.NaN()}
		if through := density / 2 * area * p[0] * p[0] * p[0]; through > 0 {
			out[i].Cp = p[1] / through
		}
	}
	return out
}

// curveChart is the chart of a curve.
const curveChart = "power-curves"

// readCurveChart answers it as a file.
func (s *service) readCurveChart(c *gin.Context) error {
	name, format, ok := splitChartFile(c.Param("file"))
	if !ok || name != curveChart {
		return noSuchChart(curveChart)
	}
	kept, wire, err := s.keptCurve(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	u := unitsOf(c)
	return s.sendChart(c, hashTag("curve chart", kept.ID, kept.ContentHash, u.Word()), format, func() (chart.Chart, error) { return page.CurveChart(&wire, u), nil })
}

// removeCurve deletes a curve, if whoever asks is sure.
func (s *service) removeCurve(c *gin.Context) error {
	form, err := s.readForm(c)
	if err != nil {
		return err
	}
	if form.Get("delete") != "yes" {
		return s.showCurve(c, http.StatusUnprocessableEntity, page.Text("record.delete_unsure"))
	}
	_, err = s.DeleteCurve(c.Request.Context(), openapi.DeleteCurveRequestObject{ID: c.Param("id")})
	var p *problem
	if errors.As(err, &p) && p.kind == curveInUse {
		return s.showCurve(c, http.StatusConflict, page.Text("curves.delete_used"))
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/curves")
}

package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"mastworth/api/document"
	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/resource/ingest"
)

// recordsOnPage is how many records or curves a page lists.
const recordsOnPage = 50

func (s *service) recordRoutes(e *gin.Engine) {
	e.GET("/records", s.paged(s.readRecords))
	e.POST("/records", s.paged(s.addRecord))
	e.GET("/records/:id", s.paged(s.readRecord))
	e.POST("/records/:id", s.paged(s.removeRecord))
	e.GET("/records/:id/charts/:file", s.paged(s.readRecordChart))
	e.GET("/curves", s.paged(s.readCurves))
	e.GET("/curves/:id", s.paged(s.readCurve))
	e.POST("/curves/:id", s.paged(s.removeCurve))
	e.GET("/curves/:id/charts/:file", s.paged(s.readCurveChart))
	e.GET("/balance", s.paged(s.readBalance))
}

// readRecords lists the records and shows the forms that bring more.
func (s *service) readRecords(c *gin.Context) error {
	p, err := s.recordsPage(c.Request.Context(), c.Query("after"), unitsOf(c))
	if err != nil {
		return err
	}
	q := c.Request.URL.Query()
	p.Upload = page.NewUploadForm(ingest.Formats(), url.Values{}, nil)
	p.Fetch = page.NewFetchForm(q, nil)
	latitude, longitude := q.Get("latitude"), q.Get("longitude")
	p.Place = page.PlaceForm{Latitude: latitude, Longitude: longitude}
	if p.MayFetch && latitude != "" && longitude != "" && q.Get("source") == "" {
		if err := s.askSources(c.Request.Context(), &p, latitude, longitude, unitsOf(c)); err != nil {
			return err
		}
	}
	return s.show(c, "records", recordsFrame(c, p))
}

func recordsFrame(c *gin.Context, p page.Records) *page.Frame {
	f := &page.Frame{Title: page.Text("records.title"), Here: "records", JSON: "/v1/records", Page: p}
	offerUnits(c, f)
	return f
}

// recordsPage is the page with its list and empty forms.
func (s *service) recordsPage(ctx context.Context, after string, u page.Units) (page.Records, error) {
	p := page.Records{MayFetch: s.Fetch != nil, CurvesAt: "/curves", BalanceAt: "/balance"}
	limit := recordsOnPage
	r := openapi.ListRecordsRequestObject{Params: openapi.ListRecordsParams{Limit: &limit}}
	if after != "" {
		r.Params.After = &after
	}
	got, err := s.ListRecords(ctx, r)
	if err != nil {
		return p, err
	}
	list := got.(answer).body.(openapi.RecordList)
	p.Rows = page.NewRecordRows(list.Records, u)
	if list.Next != nil {
		p.More = "/records?" + url.Values{"after": {*list.Next}}.Encode()
	}
	return p, nil
}

// askSources lists what there is for a place, whose numbers the parameters' check has seen.
func (s *service) askSources(ctx context.Context, p *page.Records, latitude, longitude string, u page.Units) error {
	lat, errLat := strconv.ParseFloat(latitude, 64)
	lon, errLon := strconv.ParseFloat(longitude, 64)
	if err := errors.Join(errLat, errLon); err != nil {
		return newProblem(invalidParameters, "the place cannot be read: %s", err)
	}
	got, err := s.ListSources(ctx, openapi.ListSourcesRequestObject{Params: openapi.ListSourcesParams{Latitude: lat, Longitude: lon}})
	if err != nil {
		return err
	}
	list := got.(answer).body.(openapi.SourceList)
	p.Asked = true
	p.Sources, p.Cautions = page.NewSourceRows(&list, latitude, longitude, u)
	return nil
}

// addRecord takes either form of that page: a file, or what to fetch.
func (s *service) addRecord(c *gin.Context) error {
	switch kind := c.ContentType(); kind {
	case "multipart/form-data":
		return s.addFile(c)
	case formType:
		return s.addFetched(c)
	default:
		return newProblem(unsupportedMedia, "this takes a page's form").
			at("header.Content-Type", "must be multipart/form-data or application/x-www-form-urlencoded, not %s", printable(kind))
	}
}

const formType = "application/x-www-form-urlencoded"

// readForm reads a form that is no file's.
func (s *service) readForm(c *gin.Context) (url.Values, error) {
	if c.ContentType() != formType {
		return nil, newProblem(unsupportedMedia, "this takes a page's form").
			at("header.Content-Type", "must be application/x-www-form-urlencoded, not %s", printable(c.ContentType()))
	}
	c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, s.MaxBodyBytes)
	if err := c.Request.ParseForm(); err != nil {
		var tooLong *http.MaxBytesError
		if errors.As(err, &tooLong) {
			return nil, err
		}
		return nil, newProblem(malformedBody, "the form cannot be read").at("body", "is no form")
	}
	return c.Request.PostForm, nil
}

// seeOther sends a browser on after a form has done its work.
func seeOther(c *gin.Context, address string) error {
	c.Writer.Header().Set("Location", address)
	c.Writer.WriteHeader(http.StatusSeeOther)
	c.Writer.WriteHeaderNow()
	return nil
}

// addFetched brings a public record.
func (s *service) addFetched(c *gin.Context) error {
	if s.Fetch == nil {
		return newProblem(fetchOff, "this service does not call out for public data")
	}
	form, err := s.readForm(c)
	if err != nil {
		return err
	}
	body, err := json.Marshal(fetchDocument(form))
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	got, err := s.FetchRecord(ctx, openapi.FetchRecordRequestObject{ContentType: "application/json", Body: bytes.NewReader(body)})
	if err == nil {
		return seeOther(c, strings.TrimPrefix(got.(answer).location, "/v1"))
	}
	faults, ok := fetchFaults(err)
	if !ok {
		return err
	}
	p, err := s.recordsPage(ctx, "", unitsOf(c))
	if err != nil {
		return err
	}
	p.Upload, p.Fetch = page.NewUploadForm(ingest.Formats(), url.Values{}, nil), page.NewFetchForm(form, faults)
	p.Place = page.PlaceForm{Latitude: form.Get("latitude"), Longitude: form.Get("longitude")}
	return s.showWith(c, http.StatusUnprocessableEntity, "records", recordsFrame(c, p))
}

// fetchDocument is the form as the document the contract has for it. What should be a number and is none stays a text, for the
// document's own check to find.
func fetchDocument(form url.Values) map[string]any {
	out := map[string]any{}
	for _, name := range []string{"latitude", "longitude", "from_year", "to_year"} {
		text := strings.TrimSpace(form.Get(name))
		if n, err := strconv.ParseFloat(text, 64); err == nil && n-n == 0 {
			out[name] = n
		} else if text != "" {
			out[name] = text
		}
	}
	for _, name := range []string{"source", "station", "name"} {
		if text := strings.TrimSpace(form.Get(name)); text != "" {
			out[name] = text
		}
	}
	return out
}

// fetchFaults are what is wrong with that form, by field; false where the error is of another kind.
func fetchFaults(err error) (map[string]string, bool) {
	var doc *document.Error
	var p *problem
	switch {
	case errors.As(err, &doc) && !doc.Malformed:
		return faultsByField(doc.Fields), true
	case errors.As(err, &p) && p.kind == fetchFailed:
		words := p.detail
		for _, e := range p.errors {
			words = e.Detail
		}
		return map[string]string{"": words}, true
	}
	return nil, false
}

// faultsByField are a document's faults by the name of their field.
func faultsByField(fields []document.FieldError) map[string]string {
	out := map[string]string{}
	for _, f := range fields {
		if out[f.Location] != "" {
			out[f.Location] += "; "
		}
		out[f.Location] += f.Detail
	}
	return out
}

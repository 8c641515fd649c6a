package api

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/storage"
	"mastworth/yield/assess"
)

func (a answer) VisitCreateCurveResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusCreated)
}
func (a answer) VisitListCurvesResponse(w http.ResponseWriter) error { return a.send(w, http.StatusOK) }
func (a answer) VisitReadCurveResponse(w http.ResponseWriter) error  { return a.send(w, http.StatusOK) }

func (n notModified) VisitReadCurveResponse(w http.ResponseWriter) error { return n.send(w) }

// CreateCurve works a turbine's curve out and keeps it.
func (s *service) CreateCurve(ctx context.Context, r openapi.CreateCurveRequestObject) (openapi.CreateCurveResponseObject, error) {
	ctx = requestContext(ctx)
	text, syntax, err := s.readText(r.Body, r.ContentType)
	if err != nil {
		return nil, err
	}
	defer freeBuffer(text)
	in, err := document.DecodeTurbine(text.Bytes(), syntax)
	if err != nil {
		return nil, err
	}
	curve, body, err := s.makeCurve(ctx, in)
	if err != nil {
		return nil, locatedInTurbine(text.Bytes(), syntax, err)
	}
	if err := s.Store.CreateCurve(ctx, curve); err != nil {
		return nil, stored(err)
	}
	return answer{body: body, etag: curveTag(&curve), location: "/v1/curves/" + curve.ID}, nil
}

// makeCurve is a curve ready to be kept, and as it is answered.
func (s *service) makeCurve(ctx context.Context, in openapi.TurbineInput) (storage.Curve, openapi.Curve, error) {
	turbine, refs := document.ToTurbine(in)
	done, err := s.beginCurve(ctx, &turbine, refs)
	if err != nil {
		return storage.Curve{}, openapi.Curve{}, err
	}
	defer done()
	complete, made, warnings, err := assess.CurveOf(turbine)
	if err != nil {
		return storage.Curve{}, openapi.Curve{}, err
	}
	source := "power_curve"
	switch {
	case in.Design != nil:
		source = "design"
	case in.TestLog != nil:
		source, refs = "test_log", document.Refs{} // what is kept is the curve it gave, so that the log may go
	}
	out := openapi.Curve{ID: s.NewID(), Name: complete.Name, CreatedAt: s.now().UTC(), Turbine: document.FromTurbine(&complete, refs), TestLog: in.TestLog,
		Machine: document.FromMachine(made, complete.CurvePoints), Warnings: make(openapi.Warnings, len(warnings))}
	for i, w := range warnings {
		out.Warnings[i] = openapi.Warning(w)
	}
	peak := 0.0
	for _, p := range complete.CurvePoints {
		peak = max(peak, p.PowerW)
	}
	curve := storage.Curve{ID: out.ID, Name: out.Name, Source: source, CreatedAt: out.CreatedAt, DiameterM: complete.RotorDiameterM, PeakW: peak}
	if curve.Turbine, err = json.Marshal(out.Turbine); err != nil {
		return curve, out, fmt.Errorf("writing the turbine: %w", err)
	}
	kept := keptMachine{Machine: out.Machine, Warnings: out.Warnings, TestLog: in.TestLog}
	for _, p := range made.Provenance() {
		kept.Provenance = append(kept.Provenance, openapi.Provenance(p))
	}
	if curve.Machine, err = json.Marshal(kept); err != nil {
		return curve, out, fmt.Errorf("writing the curve: %w", err)
	}
	sum := sha256.Sum256(append(append([]byte{}, curve.Turbine...), curve.Machine...))
	curve.ContentHash = hex.EncodeToString(sum[:])
	return curve, out, nil
}

// beginCurve waits for a turn where a curve is work, a design's or a log's, and puts the record that is the log into the turbine.
// The caller ends the work that has begun.
func (s *service) beginCurve(ctx context.Context, t *assess.Turbine, refs document.Refs) (done func(), err error) {
	switch {
	case t.Design != nil:
		return s.begin(ctx)
	case refs.Log == nil:
		return func() {}, nil
	}
	if refs.Log.File != "" {
		return nil, &document.Error{Fields: []document.FieldError{{Location: refs.Log.At + ".file",
			Detail: "the service cannot see your files; upload it to /v1/records and give the id you get as " + refs.Log.At + ".id"}}}
	}
	if done, err = s.begin(ctx); err != nil {
		return nil, err
	}
	if t.TestLog.Record.Series, _, err = s.screened(ctx, refs.Log.ID, refs.Log.Screening); err != nil {
		done()
		return nil, recordMissing(err, refs.Log)
	}
	return done, nil
}

// locatedInTurbine places faults of a turbine that is a document by itself.
func locatedInTurbine(text []byte, syntax document.Syntax, err error) error {
	var invalid *assess.InvalidError
	var doc *document.Error
	var fields []document.FieldError
	switch {
	case errors.As(err, &invalid):
		fields = fieldErrors(invalid)
	case errors.As(err, &doc):
		fields = doc.Fields
	default:
		return err
	}
	for i := range fields {
		fields[i].Location = strings.TrimPrefix(strings.TrimPrefix(fields[i].Location, "turbine"), ".")
	}
	return &document.Error{Fields: document.Locate(text, syntax, fields)}
}

func curveTag(c *storage.Curve) string { return hashTag("curve", c.ID, c.ContentHash) }

// ListCurves lists kept curves, newest first.
func (s *service) ListCurves(ctx context.Context, r openapi.ListCurvesRequestObject) (openapi.ListCurvesResponseObject, error) {
	ctx = requestContext(ctx)
	page := newListPage(r.Params.Limit, r.Params.After)
	all, err := s.Store.Curves(ctx, page.wanted())
	if err != nil {
		return nil, stored(err)
	}
	out := openapi.CurveList{Curves: make([]openapi.CurveSummary, 0, len(all))}
	for i := range all {
		if i == page.limit {
			out.Next = &out.Curves[i-1].ID
			break
		}
		c := &all[i]
		out.Curves = append(out.Curves, openapi.CurveSummary{ID: c.ID, Name: c.Name, CreatedAt: c.CreatedAt.UTC(),
			Source: openapi.CurveSummarySource(c.Source), RotorDiameterM: document.OrNull(c.DiameterM), PeakW: document.OrNull(c.PeakW)})
	}
	return answer{body: out}, nil
}

// ReadCurve answers a kept curve, as JSON or CSV.
func (s *service) ReadCurve(ctx context.Context, r openapi.ReadCurveRequestObject) (openapi.ReadCurveResponseObject, error) {
	media, err := curveFormat(ctx, r.Params.Format)
	if err != nil {
		return nil, err
	}
	ctx = requestContext(ctx)
	c, err := s.curve(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	etag := hashTag("curve", media, c.ID, c.ContentHash)
	if media != csvType {
		etag = curveTag(&c)
	}
	if matches(r.Params.IfNoneMatch, etag) {
		return notModified{etag}, nil
	}
	out, err := wireCurve(&c)
	if err != nil {
		return nil, err
	}
	if media == csvType {
		return curveCSV{points: out.Machine.Curve, etag: etag, name: c.ID + ".csv"}, nil
	}
	return answer{body: out, etag: etag}, nil
}

func (s *service) curve(ctx context.Context, id string) (storage.Curve, error) {
	c, err := s.Store.Curve(ctx, id)
	if errors.Is(err, storage.ErrNotFound) {
		return c, notFound("there is no curve %q", id)
	}
	return c, stored(err)
}

func wireCurve(c *storage.Curve) (openapi.Curve, error) {
	out := openapi.Curve{ID: c.ID, Name: c.Name, CreatedAt: c.CreatedAt.UTC()}
	var kept keptMachine
	if err := errors.Join(json.Unmarshal(c.Turbine, &out.Turbine), json.Unmarshal(c.Machine, &kept)); err != nil {
		return out, fmt.Errorf("the stored curve %s: %w", c.ID, err)
	}
	out.Machine, out.Warnings, out.TestLog = kept.Machine, kept.Warnings, kept.TestLog
	return out, nil
}

// curveFormat is JSON or CSV: by parameter, else by the Accept header, else JSON.
func curveFormat(ctx context.Context, asked *openapi.ReadCurveParamsFormat) (string, error) {
	const jsonMedia = "application/json"
	if asked != nil {
		if *asked == openapi.ReadCurveParamsFormatCsv {
			return csvType, nil
		}
		return jsonMedia, nil
	}
	accept := ""
	if c, ok := ctx.(*gin.Context); ok {
		accept = strings.Join(c.Request.Header["Accept"], ",")
	}
	if media := accepted(accept, jsonMedia, csvType); media != "" {
		return media, nil
	}
	return "", newProblem(notAcceptable, "a curve is application/json or text/csv").
		at("header.Accept", "names neither application/json nor text/csv; leave it out or ask by ?format=")
}

// curveCSV is a curve's points for a spreadsheet.
type curveCSV struct {
	points     [][]float64
	etag, name string
}

// VisitReadCurveResponse writes the points.
func (c curveCSV) VisitReadCurveResponse(w http.ResponseWriter) error {
	h := w.Header()
	h.Set("Content-Type", csvType)
	h.Set("Content-Disposition", "attachment; filename="+c.name)
	h.Add("Vary", "Accept")
	tagged(h, c.etag)
	var b strings.Builder
	b.WriteString("wind_speed_m_s,power_w\n")
	for _, p := range c.points {
		b.WriteString(strconv.FormatFloat(p[0], 'g', -1, 64) + "," + strconv.FormatFloat(p[1], 'g', -1, 64) + "\n")
	}
	_, err := w.Write([]byte(b.String()))
	return err
}

// DeleteCurve deletes a curve that no site uses.
func (s *service) DeleteCurve(ctx context.Context, r openapi.DeleteCurveRequestObject) (openapi.DeleteCurveResponseObject, error) {
	ctx = requestContext(ctx)
	err := s.Store.DeleteCurve(ctx, r.ID)
	switch {
	case errors.Is(err, storage.ErrNotFound):
		return nil, notFound("there is no curve %q", r.ID)
	case errors.Is(err, storage.ErrInUse):
		return nil, s.curveUsed(ctx, r.ID)
	case err != nil:
		return nil, stored(err)
	}
	return openapi.DeleteCurve204Response{}, nil
}

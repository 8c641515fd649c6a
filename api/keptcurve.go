package api

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/storage"
	"mastworth/yield/assess"
)

// keptMachine is what is kept beside a curve's turbine. Curves of an earlier version lack the last two.
type keptMachine struct {
	Machine    openapi.Machine       `json:"machine"`
	Warnings   openapi.Warnings      `json:"warnings"`
	Provenance []openapi.Provenance  `json:"provenance,omitempty"`
	TestLog    *openapi.TestLogInput `json:"test_log,omitempty"` // what the curve was made from, as it was asked for
}

// withCurve puts a kept curve into the place of its id, and says what is known of its making; nil where the request names none. The
// name the request gives goes before the curve's.
func (s *service) withCurve(ctx context.Context, in openapi.EstimateRequest) (openapi.EstimateRequest, *assess.KeptCurve, error) {
	if in.Turbine.Curve == nil {
		return in, nil, nil
	}
	c, err := s.Store.Curve(ctx, in.Turbine.Curve.ID)
	if errors.Is(err, storage.ErrNotFound) {
		return in, nil, &document.Error{Fields: []document.FieldError{{Location: "turbine.curve.id",
			Detail: fmt.Sprintf("there is no curve %q; GET /v1/curves lists them", in.Turbine.Curve.ID)}}}
	}
	if err != nil {
		return in, nil, stored(err)
	}
	name := in.Turbine.Name
	in.Turbine = openapi.TurbineInput{}
	var made keptMachine
	if err := errors.Join(json.Unmarshal(c.Turbine, &in.Turbine), json.Unmarshal(c.Machine, &made)); err != nil {
		return in, nil, fmt.Errorf("the stored curve %s: %w", c.ID, err)
	}
	if name != nil {
		in.Turbine.Name = name
	}
	return in, made.curve(&c), nil
}

// curve is what an estimate should know of a curve's making.
func (k *keptMachine) curve(c *storage.Curve) *assess.KeptCurve {
	out := &assess.KeptCurve{ID: c.ID, Origin: assess.Origin(c.Source)}
	for _, w := range k.Warnings {
		out.Warnings = append(out.Warnings, assess.Warning(w))
		out.Sketch = out.Sketch || w.Code == assess.SketchCode
	}
	if out.Origin != assess.FromDesign { // a design is worked out anew, and says itself how
		for _, p := range k.Provenance {
			out.Provenance = append(out.Provenance, assess.Provenance(p))
		}
	}
	return out
}

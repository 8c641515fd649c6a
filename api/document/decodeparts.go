package document

import (
	"reflect"
	"strings"

	"mastworth/openapi"
	"mastworth/yield/assess"
)

var (
	turbinePlan = newPlan(reflect.TypeFor[openapi.TurbineInput]())
	balancePlan = newPlan(reflect.TypeFor[openapi.BalanceInput]())
)

// decodePart reads a document that is no whole request. check looks at what the types cannot see.
func decodePart[T any](data []byte, s Syntax, p *plan, check func(*shape, *T)) (T, error) {
	var out, none T
	t, fault := scan(data, s)
	if fault != nil {
		return none, fault
	}
	defer t.free()
	b := binder{tree: t, path: make([]step, 0, 8)}
	b.bind(&t.nodes[1], p, reflect.ValueOf(&out).Elem())
	faults := b.faults
	if len(faults) == 0 {
		var found shape
		check(&found, &out)
		faults = found
	}
	if len(faults) > 0 {
		return none, &Error{Fields: t.placed(told(faults))}
	}
	return out, nil
}

// DecodeTurbine reads a turbine by itself, as the turbine of a request. Faults are placed within it.
func DecodeTurbine(data []byte, s Syntax) (openapi.TurbineInput, error) {
	return decodePart(data, s, turbinePlan, func(s *shape, in *openapi.TurbineInput) {
		var found shape
		found.turbine(ownPlace, in)
		*s = append(*s, withinTurbine(found)...)
		if in.Curve != nil {
			s.add("curve", "is a curve that is kept already; give power_curve, design or test_log")
		}
		if d := in.Design; d != nil && d.Sweep != nil {
			s.add("design.sweep", "needs a site's wind: put the design into a request document and estimate that")
		}
	})
}

// DecodeMachine reads a turbine wherever it stands in a document: the document itself, under "turbine" alone, or in a whole
// request, the rest of which is not looked at. Faults are placed in the document as it is written; within is where the
// turbine stands, empty for the document itself. A sweep is left in, though it needs a site.
func DecodeMachine(data []byte, s Syntax) (in openapi.TurbineInput, within string, err error) {
	t, fault := scan(data, s)
	if fault != nil {
		return in, "", fault
	}
	defer t.free()
	b := binder{tree: t, path: make([]step, 0, 8)}
	at, within, detail := t.turbine()
	if detail != "" {
		return in, "", &Error{Fields: t.placed([]FieldError{{Detail: detail}})}
	}
	if within != "" {
		b.path = append(b.path, step{name: within})
	}
	b.bind(&t.nodes[at], turbinePlan, reflect.ValueOf(&in).Elem())
	faults := b.faults
	if len(faults) == 0 {
		var found shape
		found.turbine(ownPlace, &in)
		if within == "" {
			found = withinTurbine(found)
		}
		faults = found
	}
	if len(faults) > 0 {
		return openapi.TurbineInput{}, within, &Error{Fields: t.placed(told(faults))}
	}
	return in, within, nil
}

// turbine finds the node of a document's turbine, or says why there is none.
func (t *tree) turbine() (at int32, within, none string) {
	const remedy = "; give the machine under turbine, or design, test_log or power_curve by itself"
	root := &t.nodes[1]
	var names []string
	known := false
	if root.kind == kindObject {
		for child := root.first; child != 0; child = t.nodes[child].next {
			m := &t.nodes[child]
			if m.name == ownPlace {
				return child, ownPlace, ""
			}
			known = known || turbinePlan.field(m.name) >= 0
			names = append(names, shownName(m.name))
		}
	}
	switch {
	case known:
		return 1, "", ""
	case len(names) > 0:
		return 0, "", "no turbine in this document, which holds " + some(names) + remedy
	}
	return 0, "", "no turbine in this document" + remedy
}

// some lists the first few names.
func some(names []string) string {
	const most = 8
	if len(names) > most {
		names = append(names[:most:most], "…")
	}
	return strings.Join(names, ", ")
}

// CheckTurbine is what is wrong with a turbine that was not read from a document; nil for nothing. Places are within it, and
// have no line.
func CheckTurbine(in *openapi.TurbineInput) []FieldError {
	var s shape
	s.turbine(ownPlace, in)
	return withinTurbine(s)
}

// ownPlace is where a request has its turbine.
const ownPlace = "turbine"

// withinTurbine takes the turbine's own place off the places of its faults.
func withinTurbine(in []FieldError) []FieldError {
	out := make([]FieldError, len(in))
	for i, f := range in {
		if len(f.Location) > len(ownPlace) && f.Location[:len(ownPlace)+1] == ownPlace+"." {
			f.Location = f.Location[len(ownPlace)+1:]
		} else if f.Location == ownPlace {
			f.Location = ""
		}
		out[i] = f
	}
	return out
}

// ToTurbine is a turbine by itself in the domain's terms; refs name the log it may need.
func ToTurbine(in openapi.TurbineInput) (assess.Turbine, Refs) {
	var refs Refs
	return toTurbine(&in, &refs), refs
}

// FromTurbine is a turbine on the wire, with every default filled in.
func FromTurbine(t *assess.Turbine, refs Refs) openapi.TurbineInput {
	var n memory
	return echoTurbine(t, &refs, &n)
}

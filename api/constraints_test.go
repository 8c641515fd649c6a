package api

import (
	"encoding/json"
	"maps"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"

	"mastworth/storage"
)

// constraints lists every constraint of a schema, as the violations name them.
func constraints(schema *openapi3.Schema, path string, into map[string]bool) {
	if wrong := beyond(schema); wrong != "" {
		panic(path + " has a constraint that the test cannot break: " + wrong)
	}
	into[path+" nullable"] = true
	if len(schema.OneOf) > 0 && schema.Type == nil {
		into[path+" oneOf"] = true
		for _, s := range schema.OneOf {
			if s.Value.Type.Is("array") || s.Value.Type.Is("object") {
				constraints(s.Value, path, into)
				delete(into, path+" type") // the other is right too
				continue
			}
			alone := map[string]bool{}
			constraints(s.Value, path, alone)
			for name := range alone {
				if what := strings.TrimPrefix(name, path+" "); what != "nullable" && what != "type" && what != "format double" { // another may take it
					into[name] = true
				}
			}
		}
		return
	}
	into[path+" type"] = true
	for keyword, is := range map[string]bool{
		"type integer": schema.Type.Is("integer"), "minimum": schema.Min != nil && !schema.ExclusiveMin.IsTrue(),
		"exclusiveMinimum": schema.Min != nil && schema.ExclusiveMin.IsTrue(), "maximum": schema.Max != nil && !schema.ExclusiveMax.IsTrue(),
		"exclusiveMaximum": schema.Max != nil && schema.ExclusiveMax.IsTrue(), "format " + schema.Format: schema.Format != "", "enum": schema.Enum != nil,
		"pattern": schema.Pattern != "", "minLength": schema.MinLength > 0, "maxLength": schema.MaxLength != nil,
		"minItems": schema.MinItems > 0, "maxItems": schema.MaxItems != nil, "additionalProperties": schema.Type.Is("object") && !open(schema),
		"minProperties": schema.MinProps > 0, "multipleOf": schema.MultipleOf != nil, "uniqueItems": schema.UniqueItems,
	} {
		if is {
			into[path+" "+keyword] = true
		}
	}
	for _, name := range schema.Required {
		into[path+" required "+name] = true
	}
	if len(schema.OneOf) > 0 {
		into[path+" oneOf none"] = true
		for _, one := range schema.OneOf {
			into[path+" oneOf with "+one.Value.Required[0]] = true
		}
	}
	if schema.Not != nil {
		for _, p := range forbidden(schema.Not.Value) {
			into[path+" not "+p[0]+" and "+p[1]] = true
		}
	}
	if schema.Items != nil {
		constraints(schema.Items.Value, path+"[]", into)
	}
	for name, s := range schema.Properties {
		constraints(s.Value, join(path, name), into)
	}
}

// beyond is a constraint that neither constraints nor the violator knows; empty for none.
func beyond(s *openapi3.Schema) string {
	switch {
	case len(s.AllOf) > 0, len(s.AnyOf) > 0, s.Discriminator != nil:
		return "a composition"
	case s.MinProps > 0, s.MaxProps != nil:
		return "a number of properties"
	case s.MultipleOf != nil:
		return "multipleOf"
	case s.Nullable:
		return "nullable"
	case !slices.Contains([]string{"", "double", "int64"}, s.Format):
		return "format " + s.Format
	}
	return ""
}

// forbidden are the pairs of fields that must not stand together.
func forbidden(not *openapi3.Schema) [][]string {
	if len(not.AnyOf) == 0 {
		return [][]string{not.Required}
	}
	var out [][]string
	for _, s := range not.AnyOf {
		out = append(out, s.Value.Required)
	}
	return out
}

// Whoever breaks one constraint of the contract, and only that, is told where: in every operation that takes a document.
func TestEveryConstraintIsEnforced(t *testing.T) {
	oneAtATime(t)
	f := newFixture(t)
	admin := header{"Authorization", "Bearer " + f.key("admin", storage.ScopeAdmin, time.Time{})}
	site := f.savedSite(string(exampleJSON(t, "FittedWind")))
	sound, total := soundBodies(t), 0
	for _, path := range slices.Sorted(maps.Keys(f.spec.Paths.Map())) {
		for method, op := range f.spec.Paths.Value(path).Operations() {
			schema := documentOf(op)
			if schema == nil {
				continue
			}
			docs := sound[schemaName(op)]
			if docs == nil {
				t.Errorf("%s: the test has no sound documents of this kind", op.OperationID)
				continue
			}
			if len(docs) > 1 && schemaName(op) == "EstimateRequest" && op.OperationID != "createEstimate" {
				docs = map[string]any{"": docs["garden"]} // the same reader, of which createEstimate has tried everything
			}
			total += breakEach(t, op.OperationID, schema, docs, func(text []byte) *answered {
				return f.do(method, strings.ReplaceAll(path, "{id}", site), text, header{"Content-Type", "application/json"}, admin)
			})
		}
	}
	t.Logf("%d constraints of bodies broken", total)
}

// breakEach breaks every constraint of a schema that documents, sound ones between them of every field, are held to.
func breakEach(t *testing.T, op string, schema *openapi3.Schema, docs map[string]any, send func([]byte) *answered) int {
	t.Helper()
	all, tried := map[string]bool{}, map[string]bool{}
	constraints(schema, "", all)
	for name, doc := range docs {
		if err := schema.VisitJSON(doc); err != nil {
			t.Fatalf("%s: the sound document %s is not: %v", op, name, err)
		}
		for _, v := range violations(t, schema, doc) {
			text, err := json.Marshal(v.doc)
			if err != nil {
				t.Fatal(err)
			}
			var plain any
			if err := json.Unmarshal(text, &plain); err == nil && schema.VisitJSON(plain) == nil { // a number may be too large even for that
				t.Errorf("%s: %s: breaking %q breaks nothing", op, name, v.constraint)
				continue
			}
			a := send(text)
			if op == "createCurve" && hides[name] && a.status == http.StatusUnprocessableEntity && !a.names(join("body", v.location)) {
				continue // another document shows it
			}
			tried[v.constraint] = true
			checkNamed(t, a, join("body", v.location), op+": "+name+": "+v.constraint)
		}
	}
	for c := range tried {
		delete(all, c)
	}
	if len(all) > 0 && docs[""] == nil {
		t.Errorf("%s: no document breaks these constraints: %q", op, slices.Sorted(maps.Keys(all)))
	}
	return len(tried)
}

// hides are documents whose machine needs more than itself, which createCurve says before it looks at the rest: a site, or a record.
var hides = map[string]bool{"board": true, "test log": true, "kept log": true}

// documentOf is the schema of the document that an operation takes; nil where it takes none.
func documentOf(op *openapi3.Operation) *openapi3.Schema {
	if op.RequestBody == nil || op.RequestBody.Value.Content["application/yaml"] == nil { // a file may be JSON, too
		return nil
	}
	return op.RequestBody.Value.Content["application/json"].Schema.Value
}

func schemaName(op *openapi3.Operation) string {
	ref := op.RequestBody.Value.Content["application/json"].Schema.Ref
	return ref[strings.LastIndexByte(ref, '/')+1:]
}

// soundBodies are documents of every kind that an operation takes, by the name of their schema.
func soundBodies(t *testing.T) map[string]map[string]any {
	t.Helper()
	requests, turbines := soundDocuments(t), map[string]any{}
	for name, doc := range requests {
		turbine := maps.Clone(doc.(map[string]any)["turbine"].(map[string]any))
		turbines[name] = turbine
	}
	alone := maps.Clone(turbines["board"].(map[string]any))
	design := maps.Clone(alone["design"].(map[string]any))
	delete(design, "sweep") // which needs a site
	alone["design"], turbines["board alone"] = design, alone
	return map[string]map[string]any{
		"EstimateRequest": requests,
		"TurbineInput":    turbines,
		"BalanceInput":    {"blades": map[string]any{"masses_g": []any{1200.0, 1210.0, 1190.0}, "centres_m": []any{0.5, 0.51, 0.5}, "rpm": 300.0, "tip_radius_m": 1.2}},
		"ClubInput":       {"shown": map[string]any{"public": true, "shown_as": "Windy Corner", "show_costs": false}},
		"FetchInput": {"station": map[string]any{"latitude": 52.0, "longitude": -1.5, "elevation_m": 90.0, "from_year": 2010.0, "to_year": 2011.0, "source": "isd",
			"station": "033740-99999", "name": "airfield"}},
		"KeyRequest": {"member": map[string]any{"name": "member", "scope": "read", "days": 30.0}},
		"ReadingsInput": {"counter": map[string]any{"readings": []any{map[string]any{"time": "2026-04-01T18:00", "meter_kwh": 12.0}}},
			"energy": map[string]any{"readings": []any{map[string]any{"time": "2026-04-01", "from": "2026-03-01", "energy_kwh": 12.0}}}},
	}
}

// Whoever sends nothing, or something of another kind, to an operation that takes a body is told so.
func TestEveryBodyIsNeeded(t *testing.T) {
	f := newFixture(t)
	admin := header{"Authorization", "Bearer " + f.key("admin", storage.ScopeAdmin, time.Time{})}
	site, tried := f.savedSite(string(exampleJSON(t, "FittedWind"))), 0
	for path, item := range f.spec.Paths.Map() {
		for method, op := range item.Operations() {
			if op.RequestBody == nil {
				continue
			}
			tried++
			target := strings.ReplaceAll(path, "{id}", site)
			for media := range op.RequestBody.Value.Content {
				if a := f.do(method, target, nil, header{"Content-Type", media}, admin); op.RequestBody.Value.Required && (a.status < 400 || a.status > 499) {
					t.Errorf("%s without its %s: %d", op.OperationID, media, a.status)
				}
			}
			a := f.do(method, target, []byte("\xff\xd8\xff"), header{"Content-Type", "image/jpeg"}, admin)
			checkNamed(t, a, "header.Content-Type", op.OperationID+": a picture")
		}
	}
	if tried < 20 {
		t.Errorf("%d operations only", tried)
	}
}

// What the front door answers, before an operation is asked, is in every operation's contract.
func TestEveryOperationTellsOfTheFrontDoor(t *testing.T) {
	for path, item := range loadSpec(t).Paths.Map() {
		for method, op := range item.Operations() {
			open := op.Security != nil && len(*op.Security) == 0
			for _, status := range []int{http.StatusBadRequest, http.StatusUnauthorized, http.StatusForbidden, http.StatusTooManyRequests} {
				if status == http.StatusForbidden && open && method == http.MethodGet {
					continue // no key is too narrow, and no other website changes anything
				}
				if op.Responses.Status(status) == nil {
					t.Errorf("%s %s may answer %d and does not say so", method, path, status)
				}
			}
		}
	}
}

// checkNamed fails unless the answer is a 4xx that names a place.
func checkNamed(t *testing.T, a *answered, location, what string) {
	t.Helper()
	if a.status < 400 || a.status > 499 {
		t.Errorf("%s: answered %d", what, a.status)
		return
	}
	if !a.names(location) {
		t.Errorf("%s: the answer does not name %s: %s", what, location, a.body)
	}
}

// names reports whether a problem says something of a place.
func (a *answered) names(location string) bool {
	a.t.Helper()
	var p struct {
		Errors []struct{ Location, Detail string }
	}
	a.json(&p)
	location = strings.TrimSuffix(location, ".")
	for _, e := range p.Errors {
		if e.Location == location && e.Detail != "" {
			return true
		}
	}
	return false
}

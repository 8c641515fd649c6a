package api

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
)

// violation is a sound document with one constraint of the contract broken.
type violation struct {
	doc        any
	constraint string // schema path and keyword, such as "site.latitude maximum"
	location   string // where the answer must say it is
}

// violator walks a document and its schema together and breaks each constraint in turn.
type violator struct {
	root any
	out  []violation
}

// violations breaks every constraint that bears on a document, one at a time.
func violations(tb testing.TB, schema *openapi3.Schema, doc any) []violation {
	tb.Helper()
	v := &violator{root: doc}
	v.walk(schema, doc, "", "", func(x any) any { return x })
	return v.out
}

// add notes the document with what is at the walker's place replaced.
func (v *violator) add(replace func(any) any, value any, constraint, location string) {
	v.out = append(v.out, violation{doc: replace(value), constraint: constraint, location: location})
}

// walk breaks what schema says of value. at is the place in the document, path the place in the schema, and replace makes
// the whole document with value replaced.
func (v *violator) walk(schema *openapi3.Schema, value any, at, path string, replace func(any) any) {
	broken := func(keyword string, value any) { v.add(replace, value, path+" "+keyword, at) }
	broken("nullable", nil)
	if len(schema.OneOf) > 0 && schema.Type == nil { // a number or a word, a list or a group
		v.walkChoice(schema, value, path, at, replace)
		return
	}
	switch {
	case schema.Type.Is("object"):
		broken("type", []any{})
		v.walkObject(schema, value.(map[string]any), at, path, replace)
	case schema.Type.Is("array"):
		broken("type", map[string]any{})
		v.walkArray(schema, value.([]any), at, path, replace)
	case schema.Type.Is("number"), schema.Type.Is("integer"):
		broken("type", "12")
		broken("format "+schema.Format, json.Number("1e400")) // no number of any width
		if schema.Type.Is("integer") {
			broken("type integer", 1.5)
		}
		v.breakNumber(schema, broken)
	case schema.Type.Is("boolean"):
		broken("type", "true")
	case schema.Type.Is("string"):
		broken("type", 12)
		for keyword, text := range badTexts(schema) {
			broken(keyword, text)
		}
	default:
		panic("a schema of the request that the test cannot break: " + path)
	}
}

func (v *violator) walkChoice(schema *openapi3.Schema, value any, path, at string, replace func(any) any) {
	v.add(replace, true, path+" oneOf", at)
	for _, s := range schema.OneOf {
		if s.Value.Type.Is("array") || s.Value.Type.Is("object") {
			switch value := value.(type) {
			case []any:
				if s.Value.Type.Is("array") {
					v.walkArray(s.Value, value, at, path, replace)
				}
			case map[string]any:
				if s.Value.Type.Is("object") {
					v.walkObject(s.Value, value, at, path, replace)
				}
			}
			continue
		}
		if s.Value.Type.Is("number") {
			v.breakNumber(s.Value, func(keyword string, value any) { v.add(replace, value, path+" "+keyword, at) })
		} else {
			v.add(replace, "no such word", path+" enum", at)
		}
	}
}

func (v *violator) breakNumber(s *openapi3.Schema, broken func(string, any)) {
	step := func(x, to float64) float64 {
		if s.Type.Is("integer") {
			return x + math.Copysign(1, to)
		}
		return math.Nextafter(x, to)
	}
	if s.Min != nil {
		low := *s.Min
		if s.ExclusiveMin.IsTrue() {
			broken("exclusiveMinimum", low)
		} else {
			broken("minimum", step(low, math.Inf(-1)))
		}
	}
	if s.Max != nil {
		if s.ExclusiveMax.IsTrue() {
			broken("exclusiveMaximum", *s.Max)
		} else {
			broken("maximum", step(*s.Max, math.Inf(1)))
		}
	}
}

// badTexts break each constraint of a text.
func badTexts(s *openapi3.Schema) map[string]string {
	bad := map[string]string{}
	if s.Enum != nil {
		bad["enum"] = "no such word"
	}
	if s.Pattern != "" {
		bad["pattern"] = "€"
	}
	if s.MinLength > 0 {
		bad["minLength"] = strings.Repeat("x", int(s.MinLength)-1)
	}
	if s.MaxLength != nil {
		bad["maxLength"] = strings.Repeat("x", int(*s.MaxLength)+1)
	}
	return bad
}

func (v *violator) walkObject(schema *openapi3.Schema, value map[string]any, at, path string, replace func(any) any) {
	with := func(name string, member any) any {
		out := map[string]any{}
		for k, m := range value {
			out[k] = m
		}
		out[name] = member
		return out
	}
	without := func(name string) any {
		out := with(name, nil).(map[string]any)
		delete(out, name)
		return out
	}
	if schema.AdditionalProperties.Has != nil && !*schema.AdditionalProperties.Has {
		v.add(replace, with("no_such_field", 1), path+" additionalProperties", join(at, "no_such_field"))
	}
	for _, name := range schema.Required {
		v.add(replace, without(name), path+" required "+name, join(at, name))
	}
	v.walkRules(schema, value, at, path, replace, with, without)
	for name, member := range value {
		s := schema.Properties[name]
		if s == nil && open(schema) {
			continue
		}
		if s == nil {
			panic("the document has a field the contract has not: " + join(path, name))
		}
		v.walk(s.Value, member, join(at, name), join(path, name), func(x any) any { return replace(with(name, x)) })
	}
}

// walkRules breaks "exactly one of" and "not both".
func (v *violator) walkRules(schema *openapi3.Schema, value map[string]any, at, path string, replace func(any) any,
	with func(string, any) any, without func(string) any) {
	for _, one := range schema.OneOf {
		name := one.Value.Required[0]
		if _, has := value[name]; has {
			v.add(replace, without(name), path+" oneOf none", at)
			continue
		}
		v.add(replace, with(name, minimal(schema.Properties[name].Value)), path+" oneOf with "+name, at)
	}
	if schema.Not == nil {
		return
	}
	pairs := []openapi3.SchemaRef{{Value: schema.Not.Value}}
	if len(schema.Not.Value.AnyOf) > 0 {
		pairs = nil
		for _, s := range schema.Not.Value.AnyOf {
			pairs = append(pairs, *s)
		}
	}
	for _, p := range pairs {
		a, b := p.Value.Required[0], p.Value.Required[1]
		_, hasA := value[a]
		_, hasB := value[b]
		switch {
		case hasA:
			v.add(replace, with(b, minimal(schema.Properties[b].Value)), path+" not "+a+" and "+b, at)
		case hasB:
			v.add(replace, with(a, minimal(schema.Properties[a].Value)), path+" not "+a+" and "+b, at)
		}
	}
}

func (v *violator) walkArray(schema *openapi3.Schema, value []any, at, path string, replace func(any) any) {
	if n := int(schema.MinItems); n > 0 {
		v.add(replace, value[:n-1], path+" minItems", at)
	}
	if schema.MaxItems != nil {
		long := slices.Clone(value)
		for len(long) <= int(*schema.MaxItems) {
			long = append(long, value[len(value)-1])
		}
		v.add(replace, long, path+" maxItems", at)
	}
	if schema.UniqueItems {
		v.add(replace, append(slices.Clone(value), value[0]), path+" uniqueItems", at)
	}
	last := len(value) - 1
	v.walk(schema.Items.Value, value[last], fmt.Sprintf("%s[%d]", at, last), path+"[]", func(x any) any {
		out := slices.Clone(value)
		out[last] = x
		return replace(out)
	})
}

// minimal is a sound value of a schema.
func minimal(s *openapi3.Schema) any {
	switch {
	case s.Type.Is("object"):
		out := map[string]any{}
		for _, name := range s.Required {
			out[name] = minimal(s.Properties[name].Value)
		}
		return out
	case s.Type.Is("array"):
		out := make([]any, s.MinItems)
		for i := range out {
			out[i] = minimal(s.Items.Value)
		}
		return out
	case s.Type.Is("string"):
		if s.Enum != nil {
			return s.Enum[0]
		}
		return "x"
	case s.Type.Is("boolean"):
		return true
	}
	switch {
	case s.Min == nil:
		return 1.0
	case s.ExclusiveMin.IsTrue():
		return *s.Min + 1
	}
	return *s.Min
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// open reports whether an object may have fields the contract does not name.
func open(s *openapi3.Schema) bool {
	return s.AdditionalProperties.Has != nil && *s.AdditionalProperties.Has
}

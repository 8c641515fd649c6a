package contract

import (
	"fmt"
	"strings"
)

// limits are the constraints that are told by name and value.
var limits = [...]string{"minimum", "exclusiveMinimum", "maximum", "exclusiveMaximum", "multipleOf", "minLength", "maxLength", "pattern", "minItems",
	"maxItems", "uniqueItems", "minProperties", "maxProperties"}

// typeOf reads a schema.
func (r *reader) typeOf(n node) Type {
	if !n.is() {
		return Type{}
	}
	if ref := n.text("$ref"); ref != "" {
		r.resolve(n)
		return Type{Ref: ref[strings.LastIndexByte(ref, '/')+1:]}
	}
	n.known(append([]string{"type", "format", "description", "example", "default", "enum", "x-open-enum", "nullable", "deprecated", "items", "properties",
		"required", "additionalProperties", "allOf", "oneOf", "anyOf", "not", "title"}, limits[:]...)...)
	t := Type{Kind: n.text("type"), Format: n.text("format"), Nullable: n.yes("nullable"), Open: n.yes("x-open-enum")}
	if all := n.get("allOf").list(); len(all) == 1 { // a reference that something is said of beside
		t.Ref = r.typeOf(all[0]).Ref
	} else if len(all) > 1 {
		n.stop("allOf of several is not read")
	}
	for _, name := range limits {
		if l := n.get(name); l.is() {
			t.Limits = append(t.Limits, Limit{name, fmt.Sprint(l.value)})
		}
	}
	for _, e := range n.get("enum").list() {
		t.Enum = append(t.Enum, fmt.Sprint(e.value))
	}
	if d := n.get("default"); d.is() {
		t.Default = d.json()
	}
	if items := n.get("items"); items.is() {
		of := r.typeOf(items)
		t.Items = &of
	}
	r.object(&t, n)
	r.choice(&t, n)
	return t
}

// object reads the members of an object.
func (r *reader) object(t *Type, n node) {
	required := n.get("required").words()
	for _, p := range n.get("properties").members() {
		t.Properties = append(t.Properties, Property{Name: p.name, Required: required[p.name], Deprecated: p.value.yes("deprecated"),
			Description: p.value.text("description"), Example: p.value.text("example"), Type: r.typeOf(p.value)})
	}
	switch more := n.get("additionalProperties"); v := more.value.(type) {
	case nil:
	case bool:
		t.Closed = !v
	default:
		of := r.typeOf(more)
		t.Values = &of
	}
}

// choice reads alternatives: types, or sets of members of which one must be there.
func (r *reader) choice(t *Type, n node) {
	for _, kind := range [...]string{"oneOf", "anyOf"} {
		for _, c := range n.get(kind).list() {
			if needed := c.get("required"); needed.is() && !c.get("type").is() {
				var set []string
				for _, w := range needed.list() {
					set = append(set, fmt.Sprint(w.value))
				}
				t.Together = append(t.Together, set)
				continue
			}
			t.Choice = append(t.Choice, r.typeOf(c))
		}
	}
}

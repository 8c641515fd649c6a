package page

import (
	"html/template"
	"strings"

	"mastworth/openapi/contract"
)

// typeOf tells a type in a line: what it is, between which limits, and what is taken where it is left out.
func typeOf(t *contract.Type) template.HTML {
	parts := []string{string(kindOf(t))}
	parts = append(parts, limitsOf(t)...)
	out := strings.Join(parts, ", ")
	if t.Nullable {
		out += " " + string(phrase("contract.or_null"))
	}
	if t.Default != "" {
		out += ", " + string(phrase("contract.default", "<code>"+template.HTMLEscapeString(t.Default)+"</code>"))
	}
	return template.HTML(out) //nolint:gosec // every part is escaped
}

func kindOf(t *contract.Type) template.HTML {
	switch {
	case t.Ref != "":
		name := template.HTMLEscapeString(t.Ref)
		return template.HTML(`<a href=#` + name + `>` + name + `</a>`) //nolint:gosec // escaped
	case len(t.Enum) > 0:
		words := "<code>" + strings.Join(eachEscaped(t.Enum), "</code>, <code>") + "</code>"
		if t.Open {
			return phrase("contract.one_of_open", words)
		}
		if len(t.Enum) == 1 {
			return template.HTML(words) //nolint:gosec // escaped
		}
		return phrase("contract.one_of", words)
	case t.Items != nil:
		return phrase("contract.list_of", string(typeOf(t.Items)))
	case t.Values != nil && len(t.Properties) == 0:
		return phrase("contract.mapping_to", string(typeOf(t.Values)))
	case len(t.Choice) > 0:
		var each []string
		for i := range t.Choice {
			each = append(each, string(typeOf(&t.Choice[i])))
		}
		return template.HTML(strings.Join(each, " "+string(phrase("contract.or"))+" ")) //nolint:gosec // escaped
	case len(t.Properties) > 0:
		var each []string
		for i := range t.Properties {
			p := &t.Properties[i]
			each = append(each, "<code>"+template.HTMLEscapeString(p.Name)+"</code>: "+string(typeOf(&p.Type)))
		}
		return phrase("contract.object_of", strings.Join(each, "; "))
	case t.Kind == "":
		return phrase("contract.anything")
	}
	return phrase("contract.kind." + t.Kind)
}

// tellingFormats are the formats that say more than their type.
var tellingFormats = map[string]bool{"date": true, "date-time": true, "binary": true, "uri": true}

func limitsOf(t *contract.Type) []string {
	given := map[string]string{}
	for _, l := range t.Limits {
		given[l.Name] = template.HTMLEscapeString(l.Value)
	}
	var out []string
	if tellingFormats[t.Format] {
		out = append(out, string(phrase("contract.format", template.HTMLEscapeString(t.Format))))
	}
	least, most := given["minimum"], given["maximum"]
	above, below := given["exclusiveMinimum"] == "true", given["exclusiveMaximum"] == "true"
	switch {
	case least != "" && most != "" && !above && !below:
		out = append(out, string(phrase("contract.from_to", least, most)))
	case least != "" || most != "":
		if least != "" {
			out = append(out, map[bool]string{false: "≥ ", true: "&gt; "}[above]+least)
		}
		if most != "" {
			out = append(out, map[bool]string{false: "≤ ", true: "&lt; "}[below]+most)
		}
	}
	for _, of := range [...]struct{ least, most, words string }{{"minLength", "maxLength", "characters"}, {"minItems", "maxItems", "items"},
		{"minProperties", "maxProperties", "members"}} {
		switch least, most := given[of.least], given[of.most]; {
		case least != "" && most != "":
			out = append(out, string(phrase("contract."+of.words+".from_to", least, most)))
		case least != "":
			out = append(out, string(phrase("contract."+of.words+".least", least)))
		case most != "":
			out = append(out, string(phrase("contract."+of.words+".most", most)))
		}
	}
	if p := given["pattern"]; p != "" {
		out = append(out, string(phrase("contract.pattern", "<code>"+p+"</code>")))
	}
	if given["uniqueItems"] == "true" {
		out = append(out, string(phrase("contract.unique")))
	}
	if m := given["multipleOf"]; m != "" {
		out = append(out, string(phrase("contract.multiple", m)))
	}
	return out
}

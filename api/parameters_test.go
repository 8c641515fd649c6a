package api

import (
	"fmt"
	"maps"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"

	"mastworth/storage"
)

// The same for every parameter in the address, the query and the headers.
func TestEveryParameterIsChecked(t *testing.T) {
	f := newFixture(t)
	admin := header{"Authorization", "Bearer " + f.key("admin", storage.ScopeAdmin, time.Time{})}
	whole := strings.NewReplacer("{id}", "abc", "{slug}", "internal", "{reading_id}", "abc", "{hash}", "aaaa", "{file}", "style.css")
	total := 0
	for path, item := range f.spec.Paths.Map() {
		for method, op := range item.Operations() {
			all := append(slices.Clone(item.Parameters), op.Parameters...)
			for _, ref := range all {
				p := ref.Value
				bad := badParameters(p)
				for _, c := range parameterConstraints(p) {
					if bad[c] == nil {
						t.Errorf("%s: nothing breaks %q of %s", op.OperationID, c, p.Name)
					}
				}
				for what, values := range bad {
					total++
					target, headers := path, []header{admin, {"Content-Type", "text/csv"}}
					query := needed(all, p.Name)
					switch p.In {
					case "path":
						target = strings.ReplaceAll(target, "{"+p.Name+"}", url.PathEscape(values[0]))
					case "header":
						headers = append(headers, header{p.Name, values[0]})
					case "query":
						if len(values) > 0 {
							query[p.Name] = values
						}
					}
					if target = whole.Replace(target); len(query) > 0 {
						target += "?" + query.Encode()
					}
					checkNamed(t, f.do(method, target, nil, headers...), p.In+"."+p.Name, fmt.Sprintf("%s %s: %s %s", method, path, p.Name, what))
				}
			}
			if strings.HasPrefix(path, "/v1/") {
				a := f.do(method, whole.Replace(path)+"?no_such=1", nil, header{"Content-Type", "text/csv"}, admin)
				checkNamed(t, a, "query.no_such", method+" "+path+": an unknown parameter")
			}
		}
	}
	t.Logf("%d constraints of parameters broken", total)
}

// needed are values of the parameters a query cannot be without, but for one.
func needed(all openapi3.Parameters, but string) url.Values {
	out := url.Values{}
	for _, ref := range all {
		if p := ref.Value; p.In == "query" && p.Required && p.Name != but {
			out.Set(p.Name, "1")
		}
	}
	return out
}

// parameterConstraints are those of a parameter, as badParameters names them. A part of an address cannot be left out or empty: that would be
// another address.
func parameterConstraints(p *openapi3.Parameter) []string {
	all := map[string]bool{}
	constraints(p.Schema.Value, "", all)
	out := []string{}
	for c := range all {
		c = strings.TrimPrefix(c, " ")
		item, isItem := strings.CutPrefix(c, "[] ")
		switch {
		case c == "nullable", item == "nullable": // there is no null in an address
		case c == "type" && (p.Schema.Value.Type.Is("string") || p.Schema.Value.Type.Is("array")), isItem && item == "type": // everything is text, and a list of it
		case strings.HasPrefix(c, "format"): // NaN and type
		case p.In == "path" && c == "minLength":
		case isItem:
			out = append(out, "item "+item)
		default:
			out = append(out, c)
		}
	}
	if p.Required && p.In != "path" {
		out = append(out, "required")
	}
	return out
}

// badParameters are values of a parameter that break a constraint each.
func badParameters(p *openapi3.Parameter) map[string][]string {
	s, bad := p.Schema.Value, map[string][]string{}
	switch {
	case s.Type.Is("array"):
		for what, v := range badTexts(s.Items.Value) {
			bad["item "+what] = []string{v}
		}
		bad["maxItems"] = slices.Repeat([]string{"a=speed"}, int(*s.MaxItems)+1) //nolint:gosec // small
	case s.Type.Is("string"):
		for what, v := range badTexts(s) {
			bad[what] = []string{v}
		}
		if s.MaxLength == nil || *s.MaxLength < 400 {
			bad["twice"] = []string{"a", "b"}
		}
	case s.Type.Is("boolean"):
		bad["type"], bad["twice"] = []string{"perhaps"}, []string{"true", "true"}
	default:
		bad["type"], bad["NaN"], bad["huge"] = []string{"many"}, []string{"NaN"}, []string{"1e400"}
		if s.Type.Is("integer") {
			bad["type integer"] = []string{"1.5"}
		}
		if s.Enum != nil {
			bad["enum"] = []string{"7"}
		}
		(&violator{}).breakNumber(s, func(keyword string, value any) {
			bad[keyword] = []string{strconv.FormatFloat(value.(float64), 'f', -1, 64)}
		})
	}
	if p.Required && p.In == "query" {
		bad["required"] = []string{}
	}
	maps.DeleteFunc(bad, func(what string, values []string) bool {
		return p.In != "query" && what == "twice" || p.In == "path" && len(values) > 0 && values[0] == "" // no such thing, or another address
	})
	return bad
}

package api

import (
	"fmt"
	"net/http"
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
	for path, item := range f.spec.Paths.Map() {
		for method, op := range item.Operations() {
			for _, ref := range append(slices.Clone(item.Parameters), op.Parameters...) {
				p := ref.Value
				for what, value := range badParameters(p.Schema.Value) {
					target := strings.NewReplacer("{id}", "abc", "{slug}", "internal").Replace(path)
					var headers []header
					switch p.In {
					case "path":
						target = strings.NewReplacer("{"+p.Name+"}", url.PathEscape(value[0]), "{id}", "abc", "{slug}", "internal").Replace(path)
					case "header":
						headers = []header{{p.Name, value[0]}}
					case "query":
						target += "?" + url.Values{p.Name: value}.Encode()
					}
					if p.In == "path" && value[0] == "" || p.In != "query" && what == "twice" {
						continue // another address, or no such thing
					}
					if method == http.MethodPost {
						headers = append(headers, header{"Content-Type", "text/csv"})
					}
					a := f.do(method, target, nil, append(headers, admin)...)
					checkNamed(t, a, p.In+"."+p.Name, fmt.Sprintf("%s %s: %s %s", method, path, p.Name, what))
				}
			}
			if strings.HasPrefix(path, "/v1/") {
				a := f.do(method, strings.Replace(path, "{id}", "abc", 1)+"?no_such=1", nil, header{"Content-Type", "text/csv"}, admin)
				checkNamed(t, a, "query.no_such", method+" "+path+": an unknown parameter")
			}
		}
	}
}

// badParameters are values of a parameter that break a constraint each.
func badParameters(s *openapi3.Schema) map[string][]string {
	bad := map[string][]string{}
	switch {
	case s.Type.Is("array"):
		for what, v := range badTexts(s.Items.Value) {
			if what == "pattern" || v != "" { // an empty one is as good as none
				bad["item "+what] = []string{v}
			}
		}
		many := make([]string, *s.MaxItems+1)
		for i := range many {
			many[i] = "a=speed"
		}
		bad["maxItems"] = many
	case s.Type.Is("string"):
		for what, v := range badTexts(s) {
			bad[what] = []string{v}
		}
		if s.MaxLength == nil || *s.MaxLength < 400 {
			bad["twice"] = []string{"a", "b"}
		}
	case s.Type.Is("boolean"):
		bad["type"] = []string{"perhaps"}
	default:
		bad["type"] = []string{"many"}
		bad["NaN"] = []string{"NaN"}
		v := &violator{}
		v.breakNumber(s, func(keyword string, value any) {
			bad[keyword] = []string{strconv.FormatFloat(value.(float64), 'f', -1, 64)}
		})
	}
	return bad
}

package page

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"mastworth/openapi/contract"
)

// ContractPage is the contract for people. Everything on it is read from the OpenAPI document; only what stands between is the catalogue's.
type ContractPage struct {
	Version string
	Text    template.HTML
	Groups  []contractGroup
	Shared  []contractAnswer // answers of many operations
	Schemas []contractSchema
}

type contractGroup struct {
	Name, About string
	Example     string // of a shell
	Operations  []contractOperation
}

type contractOperation struct {
	contract.Operation
	Text       template.HTML
	Parameters []contractRow
	Media      string // what a body may be
	BodyType   template.HTML
	Answers    []contractAnswer
}

// contractRow is a parameter or a property.
type contractRow struct {
	Name, In             string
	Required, Deprecated bool
	Type, About          template.HTML
}

// contractAnswer are statuses answered alike.
type contractAnswer struct {
	Statuses string
	Shared   string // the name of one that many operations have, which is told once
	Media    string
	Type     template.HTML
	About    template.HTML
	Headers  string
}

type contractSchema struct {
	Name  string
	About template.HTML
	Type  template.HTML // of one that has no members
	Rows  []contractRow
	Notes []template.HTML // on members that go together
}

// NewContractPage makes the page of the service's contract.
func NewContractPage() (ContractPage, error) {
	doc, err := contract.Read()
	if err != nil {
		return ContractPage{}, err
	}
	p := ContractPage{Version: doc.Version, Text: prose(doc.Description)}
	for i := range doc.Groups {
		g := &doc.Groups[i]
		group := contractGroup{Name: g.Name, About: g.Description, Example: shellExample(g)}
		for k := range g.Operations {
			group.Operations = append(group.Operations, operationOf(&g.Operations[k]))
		}
		p.Groups = append(p.Groups, group)
	}
	for i := range doc.Answers {
		p.Shared = append(p.Shared, answerOf(&doc.Answers[i]))
	}
	for i := range doc.Schemas {
		p.Schemas = append(p.Schemas, schemaOf(&doc.Schemas[i]))
	}
	return p, nil
}

func operationOf(op *contract.Operation) contractOperation {
	out := contractOperation{Operation: *op, Text: prose(op.Description)}
	for _, q := range op.Parameters {
		out.Parameters = append(out.Parameters, rowOf(&q))
	}
	if op.Body != nil {
		var types []string
		for _, m := range op.Body.Media {
			types = append(types, m.Types...)
			if m.Type.Ref != "" || len(m.Type.Properties) > 0 {
				out.BodyType = typeOf(&m.Type)
			}
		}
		out.Media = strings.Join(types, ", ")
	}
	for i := range op.Answers {
		a := answerOf(&op.Answers[i])
		alike := slices.IndexFunc(out.Answers, func(o contractAnswer) bool { return a.Shared != "" && o.Shared == a.Shared })
		if alike < 0 {
			out.Answers = append(out.Answers, a)
			continue
		}
		out.Answers[alike].Statuses += ", " + a.Statuses
	}
	return out
}

func answerOf(a *contract.Answer) contractAnswer {
	out := contractAnswer{Statuses: a.Status, Shared: a.Shared, About: inline(a.Description)}
	var media, headers []string
	for _, m := range a.Media {
		media = append(media, m.Types...)
		if m.Type.Ref != "" {
			out.Type = typeOf(&m.Type)
		}
	}
	for _, h := range a.Headers {
		headers = append(headers, h.Name)
	}
	out.Media, out.Headers = strings.Join(media, ", "), strings.Join(headers, ", ")
	return out
}

func schemaOf(s *contract.Schema) contractSchema {
	out := contractSchema{Name: s.Name, About: inline(s.Description)}
	for i := range s.Type.Properties {
		out.Rows = append(out.Rows, rowOf(&s.Type.Properties[i]))
	}
	if len(out.Rows) == 0 {
		out.Type = typeOf(&s.Type)
	}
	if len(s.Type.Together) > 0 {
		var sets []string
		for _, set := range s.Type.Together {
			sets = append(sets, "<code>"+strings.Join(eachEscaped(set), " + ")+"</code>")
		}
		out.Notes = append(out.Notes, phrase("contract.together", strings.Join(sets, ", ")))
	}
	if s.Type.Values != nil && len(out.Rows) > 0 {
		out.Notes = append(out.Notes, phrase("contract.more_members", string(typeOf(s.Type.Values))))
	}
	return out
}

func rowOf(q *contract.Property) contractRow {
	return contractRow{Name: q.Name, In: q.In, Required: q.Required, Deprecated: q.Deprecated, Type: typeOf(&q.Type), About: inline(q.Description)}
}

// shellExample is one operation of a group as a shell has it: one with a document that the contract has an example of, or else the first
// that is asked without an id.
func shellExample(g *contract.Group) string {
	line := func(op *contract.Operation, path string) string {
		out := "curl -s $SERVICE" + path
		if op.Method != "GET" {
			out = "curl -s -X " + op.Method + " $SERVICE" + path
		}
		if !op.Public {
			out += ` -H "Authorization: Bearer $KEY"`
		}
		return out
	}
	for i := range g.Operations {
		op := &g.Operations[i]
		if op.Body != nil && len(op.Body.Media) > 0 && op.Body.Media[0].Example != "" && !strings.Contains(op.Path, "{") {
			m := &op.Body.Media[0]
			return line(op, op.Path) + " \\\n  -H 'Content-Type: " + m.Types[0] + "' \\\n  -d '" + strings.ReplaceAll(m.Example, "'", `'\''`) + "'"
		}
	}
	for i := range g.Operations {
		op := &g.Operations[i]
		if path, ok := asked(op); op.Method == "GET" && ok {
			return line(op, path)
		}
	}
	return ""
}

// asked is an operation's address with the examples of the parameters it needs; false where one has none.
func asked(op *contract.Operation) (path string, ok bool) {
	path = op.Path
	var query []string
	for _, p := range op.Parameters {
		switch {
		case !p.Required:
		case p.Example == "":
			return "", false
		case p.In == "path":
			path = strings.ReplaceAll(path, "{"+p.Name+"}", p.Example)
		case p.In == "query":
			query = append(query, p.Name+"="+p.Example)
		}
	}
	if len(query) > 0 {
		path = "'" + path + "?" + strings.Join(query, "&") + "'"
	}
	return path, true
}

// phrase fills words of the catalogue with what is HTML already.
func phrase(key string, args ...any) template.HTML {
	return template.HTML(fmt.Sprintf(template.HTMLEscapeString(Text(key)), args...)) //nolint:gosec // every part is escaped
}

func eachEscaped(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = template.HTMLEscapeString(w)
	}
	return out
}

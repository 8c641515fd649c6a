package page

import (
	"html/template"
	"slices"

	"mastworth/api/page/mathml"
	"mastworth/api/page/method"
	"mastworth/openapi"
)

// Methods is how every number is worked out, as the contract has it: the formulas of package method with the catalogue's words.
func Methods() openapi.MethodList {
	var out openapi.MethodList
	for _, g := range method.Groups() {
		group := openapi.MethodGroup{Name: g.Name, Title: Text("method.group." + g.Name)}
		for i := range g.Methods {
			group.Methods = append(group.Methods, methodOf(g.Name, &g.Methods[i]))
		}
		out.Groups = append(out.Groups, group)
	}
	return out
}

func methodOf(group string, m *method.Method) openapi.Method {
	key := "method." + group + "." + m.Name + "."
	out := openapi.Method{Name: m.Name, Title: Text(key + "title"), Answers: Text(key + "answers"), Limits: Text(key + "limits"),
		Sources: methodSources(m), Warnings: append([]string{}, m.Warnings...)}
	if leans, ok := catalogue()[key+"leans"]; ok {
		out.Leans = &leans
	}
	for _, f := range m.Formulas {
		out.Formulas = append(out.Formulas, openapi.MethodFormula{Text: f.Text, Mathml: f.MathML})
	}
	for _, s := range m.Symbols {
		symbol := openapi.MethodSymbol{Symbol: s.Symbol, Means: Text("method.symbol." + s.Means)}
		if s.Unit != "" {
			symbol.Unit = &s.Unit
		}
		out.Symbols = append(out.Symbols, symbol)
	}
	return out
}

// methodSources tells each source once, with all packages that name it.
func methodSources(m *method.Method) []openapi.MethodSource {
	var out []openapi.MethodSource
	for _, s := range m.Sources {
		name, kind := s.Name, openapi.MethodSourceKindPublished
		if s.Kind != method.Published {
			name, kind = Text("methods.kind."+string(s.Kind)), openapi.MethodSourceKind(s.Kind)
		}
		i := slices.IndexFunc(out, func(o openapi.MethodSource) bool { return o.Name == name })
		if i < 0 {
			i = len(out)
			out = append(out, openapi.MethodSource{Name: name, Kind: kind})
		}
		out[i].FromMemory = out[i].FromMemory || s.Memory
		if !slices.Contains(out[i].Packages, s.Package) {
			out[i].Packages = append(out[i].Packages, s.Package)
		}
	}
	return out
}

// MethodPage is the page of methods.
type MethodPage struct{ Groups []methodGroup }

type methodGroup struct {
	openapi.MethodGroup
	Methods []methodShown
}

// methodShown is a method with its formulas drawn.
type methodShown struct {
	openapi.Method
	ID       string
	Formulas []template.HTML
	Symbols  []symbolShown
	Packages []string
}

type symbolShown struct {
	openapi.MethodSymbol
	Drawn template.HTML
}

// NewMethodPage draws the methods. MathML is our own, made by package mathml, which escapes what it is given.
func NewMethodPage(list *openapi.MethodList) (MethodPage, error) {
	var p MethodPage
	for _, g := range list.Groups {
		group := methodGroup{MethodGroup: g}
		for i := range g.Methods {
			m := &g.Methods[i]
			shown := methodShown{Method: *m, ID: g.Name + "-" + m.Name}
			for _, f := range m.Formulas {
				shown.Formulas = append(shown.Formulas, template.HTML(f.Mathml)) //nolint:gosec // see above
			}
			for _, s := range m.Symbols {
				drawn, err := mathml.Inline(s.Symbol)
				if err != nil {
					return p, err
				}
				shown.Symbols = append(shown.Symbols, symbolShown{s, template.HTML(drawn)}) //nolint:gosec // see above
			}
			for _, s := range m.Sources {
				for _, pkg := range s.Packages {
					if !slices.Contains(shown.Packages, pkg) {
						shown.Packages = append(shown.Packages, pkg)
					}
				}
			}
			group.Methods = append(group.Methods, shown)
		}
		p.Groups = append(p.Groups, group)
	}
	return p, nil
}

package contract

import (
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"

	"mastworth/openapi"
)

// Read reads the service's own contract. It is some tenth of a second's work: keep what it gives.
func Read() (*Document, error) { return Parse(openapi.Spec()) }

// Parse reads a document. An error names the place.
func Parse(spec []byte) (doc *Document, err error) {
	var root yaml.MapSlice
	if err := yaml.UnmarshalWithOptions(spec, &root, yaml.UseOrderedMap()); err != nil {
		return nil, fmt.Errorf("contract: %w", err)
	}
	defer func() {
		if wrong, is := recover().(*fault); is {
			doc, err = nil, wrong
		} else if wrong != nil {
			panic(wrong)
		}
	}()
	r := reader{root: node{value: root}}
	return r.document(), nil
}

// fault is what the reader stops at.
type fault struct{ at, what string }

func (f *fault) Error() string { return "contract: " + f.at + ": " + f.what }

// reader goes through a document.
type reader struct{ root node }

// methods are the methods of an operation, in the order they are told in.
var methods = [...]string{"get", "post", "put", "patch", "delete"}

func (r *reader) document() *Document {
	info := r.root.get("info")
	doc := &Document{Title: info.text("title"), Version: info.text("version"), Description: info.text("description")}
	for _, tag := range r.root.get("tags").list() {
		doc.Groups = append(doc.Groups, Group{Name: tag.text("name"), Description: tag.text("description")})
	}
	for _, path := range r.root.get("paths").members() {
		path.value.known("parameters", "get", "post", "put", "patch", "delete")
		for _, method := range methods {
			if op := path.value.get(method); op.is() {
				r.operation(doc, strings.ToUpper(method), path.name, path.value, op)
			}
		}
	}
	for _, a := range r.root.get("components").get("responses").members() {
		shared := r.answer("", a.value)
		shared.Shared = a.name
		doc.Answers = append(doc.Answers, shared)
	}
	for _, s := range r.root.get("components").get("schemas").members() {
		doc.Schemas = append(doc.Schemas, Schema{Name: s.name, Description: s.value.text("description"), Type: r.typeOf(s.value)})
	}
	return doc
}

func (r *reader) operation(doc *Document, method, path string, item, op node) {
	op.known("operationId", "security", "tags", "summary", "description", "parameters", "requestBody", "responses", "deprecated")
	out := Operation{ID: op.text("operationId"), Method: method, Path: path, Summary: op.text("summary"), Description: op.text("description"),
		Deprecated: op.yes("deprecated"), Public: op.get("security").is() && len(op.get("security").list()) == 0}
	for _, p := range append(item.get("parameters").list(), op.get("parameters").list()...) {
		out.Parameters = append(out.Parameters, r.parameter(p))
	}
	if body := op.get("requestBody"); body.is() {
		out.Body = r.body(body)
	}
	for _, a := range op.get("responses").members() {
		out.Answers = append(out.Answers, r.answer(a.name, a.value))
	}
	tags := op.get("tags").list()
	i := -1
	if len(tags) == 1 {
		i = slices.IndexFunc(doc.Groups, func(g Group) bool { return g.Name == fmt.Sprint(tags[0].value) })
	}
	if i < 0 {
		op.stop("an operation needs one tag, of those the document lists")
	}
	doc.Groups[i].Operations = append(doc.Groups[i].Operations, out)
}

func (r *reader) parameter(n node) Property {
	n, _ = r.resolve(n)
	n.known("name", "in", "required", "description", "schema", "example", "allowEmptyValue", "deprecated", "style", "explode")
	if n.get("explode").is() && n.text("explode") != "true" || n.get("style").is() && n.text("style") != "form" {
		n.stop("a parameter of several values is read as one that is repeated")
	}
	return Property{Name: n.text("name"), In: n.text("in"), Required: n.yes("required"), Deprecated: n.yes("deprecated"),
		MayBeEmpty: n.yes("allowEmptyValue"), Description: n.text("description"), Example: n.text("example"), Type: r.typeOf(n.get("schema"))}
}

func (r *reader) body(n node) *Body {
	n, _ = r.resolve(n)
	n.known("description", "required", "content")
	return &Body{Description: n.text("description"), Required: n.yes("required"), Media: r.media(n.get("content"))}
}

func (r *reader) answer(status string, n node) Answer {
	n, name := r.resolve(n)
	n.known("description", "headers", "content")
	out := Answer{Status: status, Description: n.text("description"), Shared: name, Media: r.media(n.get("content"))}
	for _, h := range n.get("headers").members() {
		header, _ := r.resolve(h.value)
		header.known("description", "schema", "required")
		out.Headers = append(out.Headers, Property{Name: h.name, In: "header", Required: header.yes("required"),
			Description: header.text("description"), Type: r.typeOf(header.get("schema"))})
	}
	return out
}

// media takes content types of one schema together.
func (r *reader) media(content node) []Media {
	var out []Media
	var schemas []string
	for _, c := range content.members() {
		c.value.known("schema", "examples", "example", "encoding")
		said := fmt.Sprint(c.value.get("schema").value)
		if i := slices.Index(schemas, said); i >= 0 {
			out[i].Types = append(out[i].Types, c.name)
			continue
		}
		schemas = append(schemas, said)
		out = append(out, Media{Types: []string{c.name}, Type: r.typeOf(c.value.get("schema")), Example: r.example(c.value)})
	}
	return out
}

// example is the shortest example of a content, as JSON.
func (r *reader) example(content node) string {
	shortest := ""
	for _, e := range content.get("examples").members() {
		n, _ := r.resolve(e.value)
		if text := n.get("value").json(); shortest == "" || len(text) < len(shortest) {
			shortest = text
		}
	}
	if e := content.get("example"); shortest == "" && e.is() {
		shortest = e.json()
	}
	return shortest
}

// resolve follows a reference to a component; the name is empty where there is none.
func (r *reader) resolve(n node) (to node, name string) {
	ref := n.text("$ref")
	if ref == "" {
		return n, ""
	}
	to = r.root
	for part := range strings.SplitSeq(strings.TrimPrefix(ref, "#/"), "/") {
		to, name = to.get(part), part
	}
	if !to.is() {
		n.stop("there is no %s", ref)
	}
	return to, name
}

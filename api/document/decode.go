package document

import (
	"mime"
	"reflect"
	"strings"

	"mastworth/openapi"
)

// Syntax is how a document is written.
type Syntax uint8

// The syntaxes. Auto takes JSON for text that begins with a brace, and YAML for the rest.
const (
	Auto Syntax = iota
	JSON
	YAML
)

// SyntaxOf is the syntax of a media type (a Content-Type header): Auto for none at all, and ok false for one that is neither
// JSON nor YAML or is not in UTF-8.
func SyntaxOf(mediaType string) (s Syntax, ok bool) {
	switch mediaType { // the usual ones cost no parsing
	case "":
		return Auto, true
	case "application/json":
		return JSON, true
	}
	name, params, err := mime.ParseMediaType(mediaType)
	if err != nil {
		return Auto, false
	}
	if c := params["charset"]; c != "" && !strings.EqualFold(c, "utf-8") {
		return Auto, false
	}
	switch name {
	case "application/json":
		return JSON, true
	case "application/yaml", "application/x-yaml", "text/yaml", "text/x-yaml":
		return YAML, true
	}
	return Auto, false
}

// Decode reads a request document. Any fault is an *Error that names every one found, up to a limit.
func Decode(data []byte, s Syntax) (openapi.EstimateRequest, error) {
	out, fault := DecodeFar(data, s)
	if fault != nil {
		return openapi.EstimateRequest{}, fault
	}
	return out, nil
}

// DecodeFar is Decode that gives, beside the faults, what could be read. There a number that is wrong or missing is NaN or left out, and
// anything else is empty, so that the domain can look at the rest; see Error.Besides.
func DecodeFar(data []byte, s Syntax) (openapi.EstimateRequest, *Error) {
	var out openapi.EstimateRequest
	t, fault := scan(data, s)
	if fault != nil {
		return out, fault
	}
	defer t.free()
	b := binder{tree: t, path: make([]step, 0, 8)}
	b.bind(&t.nodes[1], requestPlan, reflect.ValueOf(&out).Elem())
	if len(b.faults) == 0 {
		b.faults = checkShape(&out)
	} else {
		far := &Error{Fields: b.faults}
		far.Besides(checkShape(&out))
		b.faults = far.Fields
	}
	if len(b.faults) > 0 {
		return out, &Error{Fields: t.placed(told(b.faults))}
	}
	return out, nil
}

// Locate fills in the line and column of faults that were found without the text at hand, as those of assess are. Where the
// place itself is missing from the document, it is the nearest one around it.
func Locate(data []byte, s Syntax, faults []FieldError) []FieldError {
	t, fault := scan(data, s)
	if fault != nil {
		return faults
	}
	defer t.free()
	return t.placed(faults)
}

func scan(data []byte, s Syntax) (*tree, *Error) {
	if len(data) > MaxBytes {
		return nil, malformed(FieldError{Detail: "the document is longer than 1 MiB"})
	}
	text := string(data)
	switch s {
	case JSON:
		return scanJSON(text)
	case YAML:
		return scanYAML(text)
	}
	if !strings.HasPrefix(strings.TrimLeft(text, "\ufeff \t\r\n"), "{") {
		return scanYAML(text)
	}
	t, fault := scanJSON(text)
	if fault == nil {
		return t, nil
	}
	if t, yamlFault := scanYAML(text); yamlFault == nil {
		return t, nil
	}
	return nil, fault
}

// placed looks up the faults that have no line yet.
func (t *tree) placed(faults []FieldError) []FieldError {
	out := make([]FieldError, len(faults))
	for i, f := range faults {
		if f.Line == 0 {
			at, _ := t.find(parseLocation(f.Location))
			f.Line, f.Column = int(t.nodes[at].line), int(t.nodes[at].column)
		}
		out[i] = f
	}
	return out
}

// parseLocation is the inverse of location for the plain names that faults outside the binder have.
func parseLocation(s string) []step {
	var path []step
	for _, part := range strings.FieldsFunc(s, func(r rune) bool { return r == '.' || r == ']' }) {
		name, index, isIndex := strings.Cut(part, "[")
		if name != "" {
			path = append(path, step{name: name})
		}
		if isIndex {
			n := 0
			for _, c := range index {
				n = n*10 + int(c-'0')
			}
			path = append(path, step{index: n})
		}
	}
	return path
}

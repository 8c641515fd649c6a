package document

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// WriteJSON writes a document as one line of JSON, in the order of the contract.
func WriteJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// EncodeJSON is a document as indented JSON, for people.
func EncodeJSON(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err := e.Encode(v)
	return b.Bytes(), err
}

// EncodeYAML is a document as YAML, in the order of the contract: what EncodeJSON says, in the syntax people write by hand.
// Lists of plain values stand on one line.
func EncodeYAML(v any) ([]byte, error) {
	text, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	t, fault := scanJSONUpTo(string(text), math.MaxInt32)
	if fault != nil {
		return nil, fmt.Errorf("document: what encoding/json wrote cannot be read: %w", fault)
	}
	defer t.free()
	w := yamlWriter{tree: t}
	if root := &t.nodes[1]; w.inline(root) {
		w.flow(root)
		w.WriteByte('\n')
	} else {
		w.block(root, 0)
	}
	return w.Bytes(), nil
}

// yamlWriter writes a tree as YAML.
type yamlWriter struct {
	bytes.Buffer
	tree *tree
}

// inline reports whether a value stands on its name's line.
func (w *yamlWriter) inline(n *node) bool {
	if n.kind < kindArray || n.count == 0 {
		return true
	}
	return n.kind == kindArray && w.flat(n)
}

// flat reports whether a list holds plain values alone, or lists of them, as a power curve does.
func (w *yamlWriter) flat(n *node) bool {
	for i := n.first; i != 0; i = w.tree.nodes[i].next {
		if m := &w.tree.nodes[i]; m.kind == kindObject || m.kind == kindArray && !w.flat(m) || m.kind == kindString && len(m.text) > 40 {
			return false
		}
	}
	return true
}

// block writes an object or a list of bigger things, one member a line; the first line is already indented.
func (w *yamlWriter) block(n *node, indent int) {
	first := true
	for i := n.first; i != 0; i = w.tree.nodes[i].next {
		m := &w.tree.nodes[i]
		if !first {
			w.indent(indent)
		}
		first = false
		if n.kind == kindArray {
			w.WriteString("- ")
		} else {
			w.WriteString(yamlText(m.name))
			w.WriteByte(':')
		}
		switch {
		case w.inline(m):
			if n.kind == kindObject {
				w.WriteByte(' ')
			}
			w.flow(m)
			w.WriteByte('\n')
		case n.kind == kindArray:
			w.block(m, indent+1)
		default:
			w.WriteByte('\n')
			w.indent(indent + 1)
			w.block(m, indent+1)
		}
	}
}

func (w *yamlWriter) indent(n int) {
	for range n {
		w.WriteString("  ")
	}
}

// flow writes a value within a line.
func (w *yamlWriter) flow(n *node) {
	switch n.kind {
	case kindNull:
		w.WriteString("null")
	case kindBool:
		w.WriteString(strconv.FormatBool(n.truth))
	case kindNumber:
		w.WriteString(n.text)
	case kindString:
		w.WriteString(yamlText(n.text))
	case kindObject: // an empty one
		w.WriteString("{}")
	case kindArray:
		w.WriteByte('[')
		for i := n.first; i != 0; i = w.tree.nodes[i].next {
			if i != n.first {
				w.WriteString(", ")
			}
			w.flow(&w.tree.nodes[i])
		}
		w.WriteByte(']')
	}
}

var (
	plainText = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_./-]*( [A-Za-z0-9_./()%-]+)*$`)
	yamlWord  = regexp.MustCompile(`(?i)^(true|false|null|yes|no|on|off|y|n|nan|inf)$`)
)

// yamlText is a text as it is where nothing could take it for something else, and in quotes elsewhere. YAML's double quotes
// take JSON's escapes.
func yamlText(s string) string {
	if plainText.MatchString(s) && !yamlWord.MatchString(s) {
		return s
	}
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(s); err != nil {
		panic("document: a string cannot be encoded")
	}
	return strings.TrimSuffix(b.String(), "\n")
}

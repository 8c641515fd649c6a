package document

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// scanYAML reads one YAML document. Anchors and aliases may be used, within the limits of a document; tags and merge keys
// may not.
func scanYAML(text string) (t *tree, fault *Error) {
	text = strings.TrimPrefix(text, "\ufeff")
	if len(text) > maxYAMLBytes {
		return nil, malformed(FieldError{Detail: fmt.Sprintf("the YAML is longer than %d KiB; write so long a document as JSON", maxYAMLBytes>>10)})
	}
	if fault = tooNested(text); fault != nil {
		return nil, fault
	}
	// The parser is somebody else's and input is anybody's: what it trips over is bad input, not the end of the process.
	defer func() {
		if r := recover(); r != nil {
			t, fault = nil, malformed(FieldError{Detail: "this cannot be read as YAML"})
		}
	}()
	file, err := parser.ParseBytes([]byte(text), 0, parser.AllowDuplicateMapKey())
	if err != nil {
		return nil, yamlFault(err)
	}
	var body ast.Node
	for _, d := range file.Docs {
		if d.Body == nil {
			continue
		}
		if body != nil {
			return nil, malformed(at(FieldError{Detail: "there is a second document in the text; give one only"}, d.Body))
		}
		body = d.Body
	}
	if body == nil {
		return nil, malformed(FieldError{Detail: "the document is empty"})
	}
	w := yamlWalker{tree: newTree(maxNodes), anchors: make(map[string]ast.Node)}
	if w.walk(body, node{}); w.err != nil {
		w.tree.free()
		return nil, w.err
	}
	return w.tree, nil
}

// tooNested refuses text whose brackets or dashes would drive the parser's recursion deep. It looks at the text without
// understanding it, so its limit is well above the document's own.
func tooNested(text string) *Error {
	const most = 8 * maxDepth
	depth, line, column, dashes, leading := 0, 1, 0, 0, true
	for i := 0; i < len(text); i++ {
		column++
		c := text[i]
		switch c {
		case '\n':
			line, column, dashes, leading = line+1, 0, 0, true
			continue
		case '{', '[':
			depth++
		case '}', ']':
			depth--
		case '-', '?', ':':
			if leading {
				dashes++
			}
		case ' ', '\t':
		default:
			leading = false
		}
		if depth > most || dashes > most {
			return malformed(FieldError{Line: line, Column: column, Detail: "the document is nested too deep"})
		}
	}
	return nil
}

// yamlFault turns the parser's error into ours.
func yamlFault(err error) *Error {
	f := FieldError{Detail: "this cannot be read as YAML"}
	var y yaml.Error
	if errors.As(err, &y) {
		f.Detail += ": " + shortened(y.GetMessage())
		if tk := y.GetToken(); tk != nil && tk.Position != nil {
			f.Line, f.Column = tk.Position.Line, tk.Position.Column
		}
	}
	return malformed(f)
}

func at(f FieldError, n ast.Node) FieldError {
	if p := position(n); p != nil {
		f.Line, f.Column = p.Line, p.Column
	}
	return f
}

// position is where a node begins: a mapping's token is its first colon, so its first key is asked.
func position(n ast.Node) *token.Position {
	switch n := n.(type) {
	case *ast.MappingNode:
		if !n.IsFlowStyle && len(n.Values) > 0 {
			return position(n.Values[0].Key)
		}
	case *ast.MappingValueNode:
		return position(n.Key)
	}
	if tk := n.GetToken(); tk != nil {
		return tk.Position
	}
	return nil
}

// yamlWalker turns the parser's tree into ours.
type yamlWalker struct {
	tree    *tree
	anchors map[string]ast.Node
	path    []step
	depth   int
	err     *Error
}

func (w *yamlWalker) fail(n ast.Node, detail string) int32 {
	if w.err == nil {
		w.err = malformed(at(FieldError{Location: location(w.path), Detail: detail}, n))
	}
	return 0
}

func (w *yamlWalker) add(src ast.Node, n node) int32 {
	i := w.tree.add(n)
	if i == 0 {
		return w.fail(src, "the document has too many values")
	}
	return i
}

// walk adds what src says as n, which may already carry a member's name.
func (w *yamlWalker) walk(src ast.Node, n node) int32 {
	if w.err != nil {
		return 0
	}
	if src == nil {
		n.kind = kindNull
		n.line, n.column = n.nameLine, n.nameColumn
		return w.add(&ast.NullNode{}, n)
	}
	if p := position(src); p != nil {
		n.line, n.column = int32(p.Line), int32(p.Column)
	}
	switch s := src.(type) {
	case *ast.MappingNode:
		return w.object(src, n, s.Values)
	case *ast.MappingValueNode:
		return w.object(src, n, []*ast.MappingValueNode{s})
	case *ast.SequenceNode:
		return w.array(s, n)
	case *ast.AnchorNode:
		i := w.walk(s.Value, n)
		// Only now: an alias inside its own anchor stands for nothing.
		w.anchors[s.Name.String()] = s.Value
		return i
	case *ast.AliasNode:
		target, ok := w.anchors[s.Value.String()]
		if !ok {
			return w.fail(src, "the alias *"+shownName(s.Value.String())+" stands for nothing before it")
		}
		return w.walk(target, n)
	}
	if !w.scalar(src, &n) {
		return 0
	}
	return w.add(src, n)
}

// plainNumber is a float of YAML 1.2's core schema; the parser takes those without a point, such as 9e2, for text.
var plainNumber = regexp.MustCompile(`^[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?$`)

// scalar fills n with a single value.
func (w *yamlWalker) scalar(src ast.Node, n *node) bool {
	switch s := src.(type) {
	case *ast.NullNode:
		n.kind = kindNull
		if s.Token.Type == token.ImplicitNullType && n.nameLine > 0 { // nothing written: point at the name
			n.line, n.column = n.nameLine, n.nameColumn
		}
	case *ast.BoolNode:
		n.kind, n.truth, n.plain, n.text = kindBool, s.Value, true, s.Token.Value
	case *ast.IntegerNode:
		n.kind, n.plain, n.text = kindNumber, true, s.Token.Value
		if !plainNumber.MatchString(n.text) { // hexadecimal and the like; 012 stays twelve, which the parser takes for ten
			n.text = fmt.Sprint(s.Value)
		}
	case *ast.FloatNode:
		n.kind, n.plain, n.text = kindNumber, true, strings.ReplaceAll(s.Token.Value, "_", "")
	case *ast.InfinityNode:
		n.kind, n.plain, n.text = kindNumber, true, "Infinity"
		if math.IsInf(s.Value, -1) {
			n.text = "-Infinity"
		}
	case *ast.NanNode:
		n.kind, n.plain, n.text = kindNumber, true, "NaN"
	case *ast.StringNode:
		n.kind, n.text = kindString, s.Value
		if s.Token.Type == token.StringType && plainNumber.MatchString(s.Value) {
			n.kind, n.plain = kindNumber, true
		}
	case *ast.LiteralNode:
		n.kind, n.text = kindString, s.Value.Value
	case *ast.TagNode:
		w.fail(src, "YAML tags (!…) are not used here; leave it out")
		return false
	default:
		w.fail(src, "this kind of YAML is not used here")
		return false
	}
	return true
}

func (w *yamlWalker) enter(src ast.Node) bool {
	if w.depth++; w.depth > maxDepth {
		w.fail(src, "the document is nested too deep")
		return false
	}
	w.path = append(w.path, step{})
	return true
}

func (w *yamlWalker) leave() {
	w.depth--
	w.path = w.path[:len(w.path)-1]
}

func (w *yamlWalker) object(src ast.Node, n node, members []*ast.MappingValueNode) int32 {
	n.kind = kindObject
	at := w.add(src, n)
	if at == 0 || !w.enter(src) {
		return 0
	}
	last := int32(0)
	for _, m := range members {
		name, ok := memberName(m.Key)
		if !ok {
			return w.fail(m.Key, "a field's name must be plain text")
		}
		var child node
		child.name = name
		if p := position(m.Key); p != nil {
			child.nameLine, child.nameColumn = int32(p.Line), int32(p.Column)
		}
		w.path[len(w.path)-1] = step{name: name}
		i := w.walk(m.Value, child)
		if i == 0 {
			return 0
		}
		w.tree.chain(at, last, i)
		last = i
	}
	w.leave()
	return at
}

// memberName is the text of a key, which must be a plain scalar.
func memberName(key ast.MapKeyNode) (string, bool) {
	switch k := key.(type) {
	case *ast.StringNode:
		return k.Value, true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.NullNode, *ast.NanNode, *ast.InfinityNode:
		return key.GetToken().Value, true
	}
	return "", false
}

func (w *yamlWalker) array(s *ast.SequenceNode, n node) int32 {
	n.kind = kindArray
	at := w.add(s, n)
	if at == 0 || !w.enter(s) {
		return 0
	}
	last := int32(0)
	for k, v := range s.Values {
		w.path[len(w.path)-1] = step{index: k}
		i := w.walk(v, node{})
		if i == 0 {
			return 0
		}
		w.tree.chain(at, last, i)
		last = i
	}
	w.leave()
	return at
}

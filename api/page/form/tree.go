package form

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// node is a value of a document whose members keep their order. Exactly one of object, list and plain is meant, by kind.
type node struct {
	kind   nodeKind
	object []member
	list   []*node
	plain  json.RawMessage // a number, a text, true, false or null, as JSON
}

type nodeKind uint8

const (
	isObject nodeKind = iota
	isList
	isPlain
)

type member struct {
	name string
	node *node
}

// step is a part of a place: a member's name, or an index where the name is empty.
type step struct {
	name  string
	index int
}

// steps takes a place such as towers[1].cost apart.
func steps(place string) []step {
	var out []step
	for _, part := range strings.FieldsFunc(place, func(r rune) bool { return r == '.' || r == ']' }) {
		name, index, isIndex := strings.Cut(part, "[")
		if name != "" {
			out = append(out, step{name: name})
		}
		if isIndex {
			n, _ := strconv.Atoi(index) // of our own making; a strange one is 0
			out = append(out, step{index: n})
		}
	}
	return out
}

// child is the node a step leads to; nil where there is none.
func (n *node) child(s step) *node {
	switch {
	case n == nil:
	case s.name == "" && n.kind == isList && s.index < len(n.list):
		return n.list[s.index]
	case s.name != "" && n.kind == isObject:
		for _, m := range n.object {
			if m.name == s.name {
				return m.node
			}
		}
	}
	return nil
}

// at is the node at a place; nil where there is none.
func (n *node) at(place string) *node {
	for _, s := range steps(place) {
		n = n.child(s)
	}
	return n
}

// set puts a node at a place, with all that is missing on the way. It is false where something else is in the way.
func (n *node) set(place string, v *node) bool {
	path := steps(place)
	for i, s := range path {
		if s.name == "" != (n.kind == isList) || n.kind == isPlain {
			return false
		}
		last := i == len(path)-1
		next := n.child(s)
		if next == nil || last {
			if last {
				next = v
			} else if next = (&node{}); path[i+1].name == "" {
				next.kind = isList
			}
			n.put(s, next)
		}
		n = next
	}
	return true
}

// put sets a child. A list grows by one at most.
func (n *node) put(s step, v *node) {
	if s.name == "" {
		if s.index < len(n.list) {
			n.list[s.index] = v
		} else {
			n.list = append(n.list, v)
		}
		return
	}
	for i := range n.object {
		if n.object[i].name == s.name {
			n.object[i].node = v
			return
		}
	}
	n.object = append(n.object, member{s.name, v})
}

// take removes the node at a place of members and gives it; nil where there is none.
func (n *node) take(place string) *node {
	path := steps(place)
	for _, s := range path[:len(path)-1] {
		n = n.child(s)
	}
	last := path[len(path)-1]
	if n == nil || n.kind != isObject {
		return nil
	}
	for i, m := range n.object {
		if m.name == last.name {
			n.object = append(n.object[:i:i], n.object[i+1:]...)
			return m.node
		}
	}
	return nil
}

// prune drops objects that became empty, and is true for one that is empty itself.
func (n *node) prune() bool {
	if n.kind != isObject {
		return false
	}
	kept := n.object[:0]
	for _, m := range n.object {
		if !m.node.prune() {
			kept = append(kept, m)
		}
	}
	n.object = kept
	return len(kept) == 0
}

// leaves visits every value that is no object with its place. Lists are visited as wholes.
func (n *node) leaves(place string, visit func(place string, n *node)) {
	if n.kind != isObject {
		visit(place, n)
		return
	}
	for _, m := range n.object {
		at := m.name
		if place != "" {
			at = place + "." + m.name
		}
		m.node.leaves(at, visit)
	}
}

// text is a plain value as it would be typed; false for null, objects and lists.
func (n *node) text() (string, bool) {
	if n == nil || n.kind != isPlain || string(n.plain) == "null" {
		return "", false
	}
	var s string
	if json.Unmarshal(n.plain, &s) == nil {
		return s, true
	}
	return string(n.plain), true
}

func ofText(s string) *node {
	b, err := json.Marshal(s)
	if err != nil {
		panic("form: a text is always JSON")
	}
	return &node{kind: isPlain, plain: b}
}

func ofNumber(v float64) *node {
	return &node{kind: isPlain, plain: strconv.AppendFloat(nil, v, 'g', -1, 64)}
}

// MarshalJSON writes the members in their order.
func (n *node) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	err := n.write(&b)
	return b.Bytes(), err
}

func (n *node) write(b *bytes.Buffer) error {
	switch n.kind {
	case isPlain:
		b.Write(n.plain)
	case isList:
		b.WriteByte('[')
		for i, v := range n.list {
			if i > 0 {
				b.WriteByte(',')
			}
			if err := v.write(b); err != nil {
				return err
			}
		}
		b.WriteByte(']')
	case isObject:
		b.WriteByte('{')
		for i, m := range n.object {
			if i > 0 {
				b.WriteByte(',')
			}
			name, err := json.Marshal(m.name)
			if err != nil {
				return err
			}
			b.Write(name)
			b.WriteByte(':')
			if err := m.node.write(b); err != nil {
				return err
			}
		}
		b.WriteByte('}')
	}
	return nil
}

// errNoObject is said of a document that is something else.
var errNoObject = errors.New("the document must be a group of fields")

// deepest is how far groups may be inside one another; no document needs more.
const deepest = 30

// parse reads JSON.
func parse(data []byte) (*node, error) {
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	n, err := parseValue(d, 0)
	if err != nil {
		return nil, fmt.Errorf("reading a document: %w", err)
	}
	if n.kind != isObject {
		return nil, errNoObject
	}
	return n, nil
}

func parseValue(d *json.Decoder, depth int) (*node, error) {
	t, err := d.Token()
	if err != nil {
		return nil, err
	}
	if depth > deepest {
		return nil, errors.New("too many groups inside one another")
	}
	switch v := t.(type) {
	case json.Delim:
		n := &node{}
		if v == '[' {
			n.kind = isList
		}
		for d.More() {
			name := ""
			if n.kind == isObject {
				key, err := d.Token()
				if err != nil {
					return nil, err
				}
				name, _ = key.(string) // JSON has no other names
			}
			c, err := parseValue(d, depth+1)
			if err != nil {
				return nil, err
			}
			if n.kind == isList {
				n.list = append(n.list, c)
			} else {
				n.object = append(n.object, member{name, c})
			}
		}
		_, err := d.Token() // the end
		return n, err
	case json.Number:
		return &node{kind: isPlain, plain: json.RawMessage(v)}, nil
	case string:
		return ofText(v), nil
	case bool:
		return &node{kind: isPlain, plain: strconv.AppendBool(nil, v)}, nil
	}
	return &node{kind: isPlain, plain: json.RawMessage("null")}, nil
}

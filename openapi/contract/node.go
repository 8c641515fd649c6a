package contract

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
)

// node is a value in the document, and where it stands.
type node struct {
	value any
	at    string
}

// member is a named node.
type member struct {
	name  string
	value node
}

func (n node) is() bool { return n.value != nil }

func (n node) stop(format string, args ...any) { panic(&fault{n.at, fmt.Sprintf(format, args...)}) }

// get is a member of a mapping; no node where there is none.
func (n node) get(name string) node {
	m, _ := n.value.(yaml.MapSlice)
	for _, i := range m {
		if fmt.Sprint(i.Key) == name {
			return node{i.Value, n.at + "/" + name}
		}
	}
	return node{at: n.at + "/" + name}
}

// members are those of a mapping, in their order.
func (n node) members() []member {
	m, is := n.value.(yaml.MapSlice)
	if n.is() && !is {
		n.stop("must be a mapping")
	}
	out := make([]member, len(m))
	for i, item := range m {
		name := fmt.Sprint(item.Key)
		out[i] = member{name, node{item.Value, n.at + "/" + name}}
	}
	return out
}

// list are the items of a list.
func (n node) list() []node {
	items, is := n.value.([]any)
	if n.is() && !is {
		n.stop("must be a list")
	}
	out := make([]node, len(items))
	for i, v := range items {
		out[i] = node{v, fmt.Sprintf("%s/%d", n.at, i)}
	}
	return out
}

// words are a list's items as a set.
func (n node) words() map[string]bool {
	out := map[string]bool{}
	for _, w := range n.list() {
		out[fmt.Sprint(w.value)] = true
	}
	return out
}

// text is a member that is a scalar, as text; empty for none.
func (n node) text(name string) string {
	v := n.get(name)
	if !v.is() {
		return ""
	}
	return strings.TrimSpace(fmt.Sprint(v.value))
}

func (n node) yes(name string) bool { return n.text(name) == "true" }

// known stops at a member that the reader would leave out.
func (n node) known(names ...string) {
	for _, m := range n.members() {
		if !slices.Contains(names, m.name) {
			n.stop("%s is not read", m.name)
		}
	}
}

// json is the value as JSON, members in their order.
func (n node) json() string {
	switch v := n.value.(type) {
	case yaml.MapSlice:
		parts := make([]string, len(v))
		for i, m := range n.members() {
			name, _ := json.Marshal(m.name) // a string always can
			parts[i] = string(name) + ":" + m.value.json()
		}
		return "{" + strings.Join(parts, ",") + "}"
	case []any:
		parts := make([]string, len(v))
		for i, m := range n.list() {
			parts[i] = m.json()
		}
		return "[" + strings.Join(parts, ",") + "]"
	}
	out, err := json.Marshal(n.value)
	if err != nil {
		n.stop("is no JSON: %s", err)
	}
	return string(out)
}

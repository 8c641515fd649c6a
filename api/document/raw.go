package document

import (
	"encoding/json"
	"strconv"
)

// appendJSON appends a node as JSON, whichever syntax it was written in. A number that JSON does not know, as YAML's hexadecimal, is written anew;
// one that is not finite becomes null.
func (t *tree) appendJSON(b []byte, n *node) []byte {
	switch n.kind {
	case kindBool:
		return strconv.AppendBool(b, n.truth)
	case kindNumber:
		if json.Valid([]byte(n.text)) {
			return append(b, n.text...)
		}
		if f, err := strconv.ParseFloat(n.text, 64); err == nil && f-f == 0 {
			return strconv.AppendFloat(b, f, 'g', -1, 64)
		}
		return append(b, "null"...)
	case kindString:
		return appendText(b, n.text)
	case kindArray, kindObject:
		return t.appendMembers(b, n)
	}
	return append(b, "null"...)
}

func (t *tree) appendMembers(b []byte, n *node) []byte {
	brackets := [2]byte{'[', ']'}
	if n.kind == kindObject {
		brackets = [2]byte{'{', '}'}
	}
	b = append(b, brackets[0])
	for at, i := n.first, 0; at != 0; at, i = t.nodes[at].next, i+1 {
		m := &t.nodes[at]
		if i > 0 {
			b = append(b, ',')
		}
		if n.kind == kindObject {
			b = append(appendText(b, m.name), ':')
		}
		b = t.appendJSON(b, m)
	}
	return append(b, brackets[1])
}

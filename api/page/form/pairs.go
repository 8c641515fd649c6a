package form

import (
	"strings"
)

// pairLine is a line with two numbers of a power table.
type pairLine struct {
	line  int // from 1
	texts []string
}

// pairLines takes a typed or pasted table apart: a pair a line, with a space, a tab, a comma or a semicolon between. A comma is a decimal
// one where something else is between. A heading may stand above: a first line without a digit.
func pairLines(s string) []pairLine {
	var out []pairLine
	for i, line := range strings.Split(s, "\n") {
		line = strings.TrimSpace(line)
		if line == "" || len(out) == 0 && !strings.ContainsAny(line, "0123456789") {
			continue
		}
		out = append(out, pairLine{i + 1, splitPair(line)})
	}
	return out
}

func splitPair(line string) []string {
	if strings.ContainsAny(line, ";\t") {
		parts := strings.FieldsFunc(line, func(r rune) bool { return r == ';' || r == '\t' })
		for i, p := range parts {
			p = strings.TrimSpace(p)
			if strings.Count(p, ",") == 1 && !strings.Contains(p, ".") {
				p = strings.Replace(p, ",", ".", 1)
			}
			parts[i] = p
		}
		return parts
	}
	return strings.FieldsFunc(line, func(r rune) bool { return r == ',' || r == ' ' || r == '\u00a0' })
}

// pairsNode is the table in the document, where the first of each pair is a speed in m/s.
func pairsNode(lines []pairLine, u Units) *node {
	out := &node{kind: isList}
	for _, l := range lines {
		pair := &node{kind: isList}
		for i, t := range l.texts {
			v, ok := number(t)
			switch {
			case !ok:
				pair.list = append(pair.list, ofText(t))
			case i == 0:
				pair.list = append(pair.list, ofNumber(u.inDocument(v, aPairs)))
			default:
				pair.list = append(pair.list, ofNumber(v))
			}
		}
		out.list = append(out.list, pair)
	}
	return out
}

// typedPairs is a table of the document as lines; false where it is no list of pairs.
func typedPairs(n *node, u Units) (string, bool) {
	if n == nil || n.kind != isList {
		return "", false
	}
	var b strings.Builder
	for _, p := range n.list {
		if p.kind != isList {
			return "", false
		}
		for i, c := range p.list {
			t, ok := c.text()
			if !ok {
				return "", false
			}
			if v, is := number(t); is && i == 0 {
				t = u.typed(v, aPairs)
			}
			if i > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(t)
		}
		b.WriteByte('\n')
	}
	return strings.TrimSuffix(b.String(), "\n"), true
}

// changePairs turns the speeds of a typed table into other units.
func changePairs(s string, from, to Units) string {
	if out, ok := typedPairs(pairsNode(pairLines(s), from), to); ok {
		return out
	}
	return s
}

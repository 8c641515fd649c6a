package document

import (
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// jsonScanner turns JSON text (RFC 8259) into a tree in one pass. encoding/json would do for the values, but it takes the
// last of repeated fields, ignores the case of names and does not say where things are.
//
// NaN and Infinity, which JSON does not have, become numbers that binding refuses with their place.
type jsonScanner struct {
	s         string
	i         int
	line      int32
	lineStart int
	depth     int
	tree      *tree
	path      []step
	err       *Error
}

// scanJSON reads one JSON document.
func scanJSON(text string) (*tree, *Error) { return scanJSONUpTo(text, maxNodes) }

func scanJSONUpTo(text string, most int) (*tree, *Error) {
	p := jsonScanner{s: strings.TrimPrefix(text, "\ufeff"), line: 1, tree: newTree(most)}
	p.space()
	if p.i == len(p.s) {
		p.fail("the document is empty")
	}
	p.value(node{})
	if p.err == nil {
		if p.space(); p.i < len(p.s) {
			p.fail("there is text after the end of the document; give one document only")
		}
	}
	if p.err != nil {
		p.tree.free()
		return nil, p.err
	}
	return p.tree, nil
}

func (p *jsonScanner) fail(detail string) int32 {
	if p.err == nil {
		column := utf8.RuneCountInString(p.s[p.lineStart:p.i]) + 1
		p.err = malformed(FieldError{Location: location(p.path), Line: int(p.line), Column: column, Detail: detail})
	}
	return 0
}

// unexpected says what stands where something else should.
func (p *jsonScanner) unexpected(wanted string) int32 {
	if p.i >= len(p.s) {
		return p.fail("the document ends where " + wanted + " should be; it looks cut short")
	}
	r, _ := utf8.DecodeRuneInString(p.s[p.i:])
	return p.fail("this is no JSON: " + quoted(string(r)) + " where " + wanted + " should be")
}

func (p *jsonScanner) space() {
	for p.i < len(p.s) {
		switch p.s[p.i] {
		case ' ', '\t', '\r':
		case '\n':
			p.line++
			p.lineStart = p.i + 1
		default:
			return
		}
		p.i++
	}
}

// column is in bytes; names and numbers are ASCII, and so is what stands before them on nearly every line.
func (p *jsonScanner) place(n *node) {
	n.line, n.column = p.line, int32(p.i-p.lineStart+1)
}

// value reads the value at the scanner into n, which may already carry a member's name.
func (p *jsonScanner) value(n node) int32 {
	if p.err != nil {
		return 0
	}
	if p.i >= len(p.s) {
		return p.unexpected("a value")
	}
	p.place(&n)
	switch c := p.s[p.i]; {
	case c == '{' || c == '[':
		return p.nested(n, c == '{')
	case c == '"':
		n.kind = kindString
		var ok bool
		if n.text, ok = p.str(); !ok {
			return 0
		}
		return p.add(n)
	case c == '-' || c >= '0' && c <= '9':
		return p.number(n)
	}
	return p.word(n)
}

func (p *jsonScanner) add(n node) int32 {
	i := p.tree.add(n)
	if i == 0 {
		return p.fail("the document has too many values")
	}
	return i
}

func (p *jsonScanner) nested(n node, object bool) int32 {
	if p.depth++; p.depth > maxDepth {
		return p.fail("the document is nested too deep")
	}
	n.kind = kindArray
	if object {
		n.kind = kindObject
	}
	at := p.add(n)
	if at == 0 {
		return 0
	}
	p.i++
	p.path = append(p.path, step{})
	if object {
		p.members(at)
	} else {
		p.items(at)
	}
	if p.err != nil {
		return 0
	}
	p.path = p.path[:len(p.path)-1]
	p.depth--
	return at
}

// more steps over a comma, or over the closing bracket and reports false.
func (p *jsonScanner) more(closing byte) bool {
	p.space()
	if p.err != nil {
		return false
	}
	if p.i < len(p.s) {
		switch p.s[p.i] {
		case ',':
			p.i++
			p.space()
			if p.i < len(p.s) && p.s[p.i] == closing {
				p.fail("this is no JSON: a comma before the closing bracket")
				return false
			}
			return true
		case closing:
			p.i++
			return false
		}
	}
	p.unexpected("a comma or '" + string(closing) + "'")
	return false
}

// empty steps over the closing bracket of a bracket with nothing in it.
func (p *jsonScanner) empty(closing byte) bool {
	p.space()
	if p.i < len(p.s) && p.s[p.i] == closing {
		p.i++
		return true
	}
	return false
}

func (p *jsonScanner) members(at int32) {
	if p.empty('}') {
		return
	}
	last := int32(0)
	for {
		var n node
		if p.i >= len(p.s) || p.s[p.i] != '"' {
			p.unexpected("a field's name in double quotes")
			return
		}
		n.nameLine, n.nameColumn = p.line, int32(p.i-p.lineStart+1)
		var ok bool
		if n.name, ok = p.str(); !ok {
			return
		}
		p.path[len(p.path)-1] = step{name: n.name}
		p.space()
		if p.i >= len(p.s) || p.s[p.i] != ':' {
			p.unexpected("a colon")
			return
		}
		p.i++
		p.space()
		child := p.value(n)
		if child == 0 {
			return
		}
		p.tree.chain(at, last, child)
		last = child
		if !p.more('}') {
			return
		}
	}
}

func (p *jsonScanner) items(at int32) {
	if p.empty(']') {
		return
	}
	last := int32(0)
	for i := 0; ; i++ {
		p.path[len(p.path)-1] = step{index: i}
		child := p.value(node{})
		if child == 0 {
			return
		}
		p.tree.chain(at, last, child)
		last = child
		if !p.more(']') {
			return
		}
	}
}

var jsonWords = []struct {
	word string
	node node
}{
	{"true", node{kind: kindBool, truth: true}},
	{"false", node{kind: kindBool}},
	{"null", node{kind: kindNull}},
	{"NaN", node{kind: kindNumber, text: "NaN"}},
	{"Infinity", node{kind: kindNumber, text: "Infinity"}},
}

func (p *jsonScanner) word(n node) int32 {
	for _, w := range jsonWords {
		if strings.HasPrefix(p.s[p.i:], w.word) {
			p.i += len(w.word)
			n.kind, n.truth, n.text = w.node.kind, w.node.truth, w.node.text
			return p.add(n)
		}
	}
	return p.unexpected("a value")
}

func (p *jsonScanner) number(n node) int32 {
	start := p.i
	if p.s[p.i] == '-' {
		p.i++
		if strings.HasPrefix(p.s[p.i:], "Infinity") {
			p.i += len("Infinity")
			n.kind, n.text = kindNumber, "-Infinity"
			return p.add(n)
		}
	}
	whole := p.i
	if !p.digits() {
		return p.unexpected("a digit")
	}
	if p.s[whole] == '0' && p.i > whole+1 {
		p.i = whole
		return p.fail("this is no JSON: a number may not begin with 0")
	}
	if p.i < len(p.s) && p.s[p.i] == '.' {
		p.i++
		if !p.digits() {
			return p.unexpected("a digit")
		}
	}
	if p.i < len(p.s) && (p.s[p.i] == 'e' || p.s[p.i] == 'E') {
		p.i++
		if p.i < len(p.s) && (p.s[p.i] == '+' || p.s[p.i] == '-') {
			p.i++
		}
		if !p.digits() {
			return p.unexpected("a digit")
		}
	}
	n.kind, n.text = kindNumber, p.s[start:p.i]
	return p.add(n)
}

func (p *jsonScanner) digits() bool {
	start := p.i
	for p.i < len(p.s) && p.s[p.i] >= '0' && p.s[p.i] <= '9' {
		p.i++
	}
	return p.i > start
}

// str reads the string at the scanner, which stands on its opening quote.
func (p *jsonScanner) str() (string, bool) {
	p.i++
	start, ascii := p.i, true
	for p.i < len(p.s) {
		switch c := p.s[p.i]; {
		case c == '"':
			text := p.s[start:p.i]
			if !ascii && !utf8.ValidString(text) {
				p.fail("the text is not UTF-8")
				return "", false
			}
			p.i++
			return text, true
		case c == '\\':
			return p.escaped(start)
		case c < ' ':
			p.fail("this is no JSON: a line break or control character inside quotes")
			return "", false
		case c >= utf8.RuneSelf:
			ascii = false
		}
		p.i++
	}
	p.unexpected("the closing quote of a text")
	return "", false
}

// escaped reads the rest of a string that has escapes; start is where the string began.
func (p *jsonScanner) escaped(start int) (string, bool) {
	var b strings.Builder
	b.WriteString(p.s[start:p.i])
	for p.i < len(p.s) {
		switch c := p.s[p.i]; {
		case c == '"':
			if !utf8.ValidString(b.String()) {
				p.fail("the text is not UTF-8")
				return "", false
			}
			p.i++
			return b.String(), true
		case c == '\\':
			r, ok := p.escape()
			if !ok {
				p.fail("this is no JSON: an escape that does not exist")
				return "", false
			}
			b.WriteRune(r)
		case c < ' ':
			p.fail("this is no JSON: a line break or control character inside quotes")
			return "", false
		default:
			b.WriteByte(c)
			p.i++
		}
	}
	p.unexpected("the closing quote of a text")
	return "", false
}

// escape reads one escape; the scanner stands on its backslash.
func (p *jsonScanner) escape() (rune, bool) {
	if p.i+1 >= len(p.s) {
		return 0, false
	}
	c := p.s[p.i+1]
	if c != 'u' {
		const from, to = `"\/bfnrt`, "\"\\/\b\f\n\r\t"
		k := strings.IndexByte(from, c)
		if k < 0 {
			return 0, false
		}
		p.i += 2
		return rune(to[k]), true
	}
	r, ok := hex4(p.s[p.i+2:])
	if !ok {
		return 0, false
	}
	p.i += 6
	if !utf16.IsSurrogate(r) {
		return r, true
	}
	if !strings.HasPrefix(p.s[p.i:], `\u`) {
		return 0, false
	}
	low, ok := hex4(p.s[p.i+2:])
	pair := utf16.DecodeRune(r, low)
	if !ok || pair == utf8.RuneError {
		return 0, false
	}
	p.i += 6
	return pair, true
}

func hex4(s string) (rune, bool) {
	if len(s) < 4 {
		return 0, false
	}
	var r rune
	for i := range 4 {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			r = r<<4 | rune(c-'0')
		case c >= 'a' && c <= 'f':
			r = r<<4 | rune(c-'a'+10)
		case c >= 'A' && c <= 'F':
			r = r<<4 | rune(c-'A'+10)
		default:
			return 0, false
		}
	}
	return r, true
}

package document

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"mastworth/openapi"
)

// binder fills a request from a tree and gathers what does not fit.
type binder struct {
	tree    *tree
	path    []step
	numbers numbers
	faults  []FieldError
}

// bind fills v, which is settable, from node n.
func (b *binder) bind(n *node, p *plan, v reflect.Value) {
	switch p.form {
	case formPointer:
		b.pointer(n, p, v)
	case formGroup:
		b.object(n, p, v)
	case formTilt:
		b.tilt(n, v.Addr().Interface().(*openapi.Tilt))
	case formTowers:
		b.towers(n, p, v.Addr().Interface().(*openapi.Towers))
	case formList:
		b.list(n, p, v)
	case formPairs:
		b.pairs(n, v.Addr().Interface().(*[][]float64))
	case formFloat:
		f, _ := b.float(n)
		v.SetFloat(f)
	case formInteger:
		b.integer(n, v)
	case formBool:
		if n.kind != kindBool {
			b.mistyped(n, "true or false")
			return
		}
		v.SetBool(n.truth)
	case formText:
		b.text(n, p, v)
	case formRaw:
		if n.kind != kindObject {
			b.mistyped(n, "a GeoJSON feature collection")
			return
		}
		v.SetBytes(b.tree.appendJSON(nil, n))
	}
}

func (b *binder) pointer(n *node, p *plan, v reflect.Value) {
	if n.kind == kindNull {
		b.fault(n, "may not be null; leave it out instead")
		return
	}
	if p.elem.form == formFloat {
		if f, ok := b.float(n); ok {
			v.Set(reflect.ValueOf(b.numbers.some(f)))
		}
		return
	}
	e := reflect.New(p.elem.typ)
	b.bind(n, p.elem, e.Elem())
	v.Set(e)
}

// fault notes what is wrong at a node. The path must lead to it.
func (b *binder) fault(n *node, format string, args ...any) {
	if len(b.faults) <= MaxFaults { // one more than are told, which tells that there are more
		b.faults = append(b.faults, FieldError{Location: location(b.path), Line: int(n.line), Column: int(n.column),
			Detail: fmt.Sprintf(format, args...)})
	}
}

func (b *binder) mistyped(n *node, wanted string) {
	switch n.kind {
	case kindNull:
		b.fault(n, "must be %s, not empty; leave it out if you do not know it", wanted)
	case kindString:
		b.fault(n, "must be %s, not the text %s", wanted, quoted(n.text))
	case kindNumber:
		b.fault(n, "must be %s, not the number %s", wanted, shortened(n.text))
	case kindBool:
		b.fault(n, "must be %s, not %t", wanted, n.truth)
	default:
		b.fault(n, "must be %s, not %s", wanted, n.kind)
	}
}

func (b *binder) object(n *node, p *plan, v reflect.Value) {
	if n.kind != kindObject {
		b.mistyped(n, "a group of fields")
		return
	}
	var seen uint64
	depth := len(b.path)
	b.path = append(b.path, step{})
	for at := n.first; at != 0; at = b.tree.nodes[at].next {
		m := &b.tree.nodes[at]
		b.path[depth] = step{name: m.name}
		i := p.field(m.name)
		if i < 0 {
			b.unknown(m, p)
			continue
		}
		if seen&(1<<i) != 0 {
			b.faultAtName(m, "is given twice; keep one")
			continue
		}
		seen |= 1 << i
		f := &p.fields[i]
		b.bind(m, f.plan, v.Field(f.index))
	}
	if missing := p.required &^ seen; missing != 0 {
		for i := range p.fields {
			if missing&(1<<i) != 0 {
				b.path[depth] = step{name: p.fields[i].name}
				b.fault(n, "is missing; it is needed")
				if p.fields[i].plan.form == formFloat {
					v.Field(p.fields[i].index).SetFloat(nan)
				}
			}
		}
	}
	b.path = b.path[:depth]
}

// faultAtName is a fault of a member as a whole: it points at the name, not at the value.
func (b *binder) faultAtName(m *node, detail string) {
	b.fault(&node{line: m.nameLine, column: m.nameColumn}, "%s", detail)
}

func (b *binder) unknown(m *node, p *plan) {
	names := p.names()
	if near := nearest(m.name, names); near != "" {
		b.faultAtName(m, "is not a known field; did you mean "+near+"?")
		return
	}
	b.faultAtName(m, "is not a known field; known here are "+strings.Join(names, ", "))
}

func (b *binder) list(n *node, p *plan, v reflect.Value) {
	if n.kind != kindArray {
		b.mistyped(n, "a list")
		return
	}
	s := reflect.MakeSlice(p.typ, int(n.count), int(n.count))
	depth := len(b.path)
	b.path = append(b.path, step{})
	i := 0
	for at := n.first; at != 0; at = b.tree.nodes[at].next {
		b.path[depth] = step{index: i}
		b.bind(&b.tree.nodes[at], p.elem, s.Index(i))
		i++
	}
	b.path = b.path[:depth]
	v.Set(s)
}

// pairs fills a list of lists of numbers, all of them in one piece of memory.
func (b *binder) pairs(n *node, out *[][]float64) {
	if n.kind != kindArray {
		b.mistyped(n, "a list")
		return
	}
	lists, all := make([][]float64, n.count), make([]float64, 0, 2*n.count)
	depth := len(b.path)
	b.path = append(b.path, step{}, step{})
	for i, at := 0, n.first; at != 0; i, at = i+1, b.tree.nodes[at].next {
		m := &b.tree.nodes[at]
		b.path[depth] = step{index: i}
		if m.kind != kindArray {
			b.path = b.path[:depth+1]
			b.mistyped(m, "a list")
			b.path = b.path[:depth+2]
			continue
		}
		from := len(all)
		for k, at := 0, m.first; at != 0; k, at = k+1, b.tree.nodes[at].next {
			b.path[depth+1] = step{index: k}
			f, _ := b.float(&b.tree.nodes[at])
			all = append(all, f)
		}
		lists[i] = all[from:len(all):len(all)]
	}
	b.path = b.path[:depth]
	*out = lists
}

// float is a number; NaN where it is none.
func (b *binder) float(n *node) (float64, bool) {
	if n.kind != kindNumber {
		wanted := "a number"
		if n.kind == kindString {
			if _, err := strconv.ParseFloat(strings.Replace(n.text, ",", ".", 1), 64); err == nil {
				wanted = "a number, written with a point and without quotes"
			}
		}
		b.mistyped(n, wanted)
		return nan, false
	}
	f, err := strconv.ParseFloat(n.text, 64)
	switch {
	case math.IsNaN(f) || errors.Is(err, strconv.ErrRange) || math.IsInf(f, 0):
		b.fault(n, "must be a finite number, not %s; leave it out if you do not know it", shortened(n.text))
	case err != nil:
		b.fault(n, "must be a number, not %s", quoted(n.text))
	default:
		return f, true
	}
	return nan, false
}

// integer takes whole numbers however they are written: 20, 20.0, 2e1.
func (b *binder) integer(n *node, v reflect.Value) {
	if n.kind == kindNumber {
		if i, err := strconv.ParseInt(n.text, 10, 64); err == nil && !v.OverflowInt(i) {
			v.SetInt(i)
			return
		}
	}
	f, ok := b.float(n)
	const exact = 1 << 53 // beyond it not every whole number has a float64 of its own
	switch {
	case !ok:
	case f != math.Trunc(f) || math.Abs(f) > exact:
		b.fault(n, "must be a whole number, not %s", shortened(n.text))
	default:
		v.SetInt(int64(f))
	}
}

func (b *binder) text(n *node, p *plan, v reflect.Value) {
	if n.kind != kindString && !n.plain {
		wanted := "text"
		switch {
		case p.words != nil:
			wanted = oneOf(p.words)
		case n.kind == kindNumber:
			wanted = "text, in quotes: " + quoted(n.text)
		}
		b.mistyped(n, wanted)
		return
	}
	if p.words != nil && !contains(p.words, n.text) {
		hint := ""
		if near := nearest(n.text, p.words); near != "" {
			hint = fmt.Sprintf("; did you mean %s?", near)
		}
		b.fault(n, "must be %s, not %s%s", oneOf(p.words), quoted(n.text), hint)
		return
	}
	v.SetString(n.text)
}

func (b *binder) tilt(n *node, t *openapi.Tilt) {
	switch {
	case n.kind == kindString && n.text == "best":
		*t = openapi.Tilt{Best: true}
	case n.kind == kindNumber:
		if f, ok := b.float(n); ok {
			*t = openapi.Tilt{Deg: f}
		}
	default:
		b.mistyped(n, "a number of degrees or best")
	}
}

// towers is a list of towers or a rule for them.
func (b *binder) towers(n *node, p *plan, t *openapi.Towers) {
	if n.kind == kindObject {
		t.Rule = new(openapi.TowerRule)
		b.bind(n, p.other, reflect.ValueOf(t.Rule).Elem())
		return
	}
	if n.kind != kindArray {
		b.mistyped(n, "a list of towers, or a rule with from_m, to_m and step_m")
		return
	}
	b.bind(n, p.elem, reflect.ValueOf(&t.List).Elem())
}

func contains(words []string, s string) bool {
	for _, w := range words {
		if w == s {
			return true
		}
	}
	return false
}

// oneOf lists words as "a, b or c".
func oneOf(words []string) string {
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

package form

import (
	"fmt"
	"strconv"
	"strings"
)

// Document is the request document that a form stands for.
type Document struct {
	JSON   []byte
	places map[string]string // names of fields and rows, by where they went
	lines  []pairLine        // of the power table
}

// Document makes the document of what was typed. It may well have faults.
func (f *Form) Document() (*Document, error) {
	root := &node{}
	d := &Document{places: map[string]string{}}
	for _, needed := range []string{"site", "wind", "turbine", "money"} {
		root.put(step{name: needed}, &node{})
	}
	for i := range fields {
		fd := &fields[i]
		if f.holds(fd.when) {
			d.scalar(f, root, fd, fd.place, fd.place)
		}
		if g := groupByPlace[nextGroup[fd.place]]; g != nil && f.holds(g.when) {
			d.group(f, root, g)
		}
	}
	for _, p := range parts {
		if f.holds(p.when) && root.at(p.place) == nil && f.other.at(p.place) == nil && p.place != "turbine.design.load.short_circuit" && p.place != "wind.frequency" {
			root.set(p.place, &node{})
		}
	}
	if f.Chosen("machine") == "design" && f.Chosen("load") == "short_circuit" {
		root.set("turbine.design.load.short_circuit", &node{kind: isPlain, plain: []byte("true")})
	}
	if f.ticked[NoObstacles] && root.at("site.obstacles") == nil {
		root.set("site.obstacles", &node{kind: isList})
	}
	f.other.leaves("", func(place string, n *node) {
		if f.goesWith(place) && root.at(place) == nil {
			root.set(place, n)
		}
	})
	json, err := root.MarshalJSON()
	if err != nil {
		return nil, fmt.Errorf("writing the form's document: %w", err)
	}
	d.JSON = json
	return d, nil
}

// nextGroup says after which field a group's rows come in the document.
var nextGroup = map[string]string{"site.ground.displacement_m": "site.ground.sectors", "site.elevation_m": "site.obstacles", "site.ground.roughness_m": "site.relief",
	"towers.cost_per_m2": "towers", "money.life_years": "money.replacements"}

// goesWith reports whether what is at a place belongs to what is chosen.
func (f *Form) goesWith(place string) bool {
	for _, p := range parts {
		if (place == p.place || strings.HasPrefix(place, p.place+".")) && !f.holds(p.when) {
			return false
		}
	}
	// How to stretch a record says nothing without another to stretch it by.
	return !strings.HasPrefix(place, "wind.long_term.") || f.other.at("wind.long_term.reference") != nil || strings.TrimSpace(f.typed["wind.long_term.reference.id"]) != ""
}

// scalar puts a field's value into the document, if there is one.
func (d *Document) scalar(f *Form, root *node, fd *field, name, place string) {
	s := strings.TrimSpace(f.typed[name])
	if s == "" {
		return
	}
	if root.set(place, d.value(fd, s, f.Units)) {
		d.places[place] = name
	}
}

func (d *Document) value(fd *field, s string, u Units) *node {
	switch {
	case fd.kind == aPairs:
		d.lines = pairLines(s)
		return pairsNode(d.lines, u)
	case fd.kind == aList:
		out := &node{kind: isList}
		for _, t := range strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '\n' || r == '\t' }) {
			out.list = append(out.list, numberOrText(t, fd.kind, u))
		}
		return out
	case fd.kind == aYesNo:
		return &node{kind: isPlain, plain: strconv.AppendBool(nil, s == "true")}
	case fd.kind == aTilt && strings.EqualFold(s, "best"):
		return ofText("best")
	case fd.kind.isNumber(), fd.kind == aTilt:
		return numberOrText(s, fd.kind, u)
	}
	return ofText(s)
}

func numberOrText(s string, k kind, u Units) *node {
	if v, ok := number(s); ok {
		return ofNumber(u.inDocument(v, k))
	}
	return ofText(s)
}

// group puts the rows of a group into the document, but for empty ones.
func (d *Document) group(f *Form, root *node, g *group) {
	n := 0
	for row := range f.shown(g) {
		before := len(d.places)
		at := g.place + "[" + strconv.Itoa(n) + "]"
		for i := range g.columns {
			c := &g.columns[i]
			d.scalar(f, root, c, cell(g.place, row, c.place), at+"."+c.place)
		}
		if len(d.places) > before {
			d.places[at] = g.place + "[" + strconv.Itoa(row) + "]"
			n++
		}
	}
}

// name is the field, row, group or choice that a place in the document has on the form, and what is left of the place.
func (d *Document) name(place string) (name, rest string) {
	for at := place; at != ""; at = parent(at) {
		if n, ok := d.places[at]; ok {
			if rest = place[len(at):]; fieldOf(n+rest) != nil {
				return n + rest, ""
			}
			return n, rest
		}
	}
	for at := place; at != ""; at = parent(at) {
		rest = place[len(at):]
		if c, ok := choiceAt[at]; ok {
			return choicePrefix + c, rest
		}
		if fieldOf(at) != nil || groupByPlace[at] != nil {
			return at, rest
		}
	}
	return "", place
}

// parent is the place around a place; nothing around the document's own members.
func parent(place string) string {
	return place[:max(0, strings.LastIndexByte(place, '.'), strings.LastIndexByte(place, '['))]
}

// choiceAt is the choice where a fault of a part of the document is shown that no field has.
var choiceAt = map[string]string{"wind": "wind", "turbine": "machine", "turbine.design.load": "load"}

// Fault is what the document's checks say about a place in it.
type Fault struct{ Place, Detail string }

// Words are those a fault needs of the catalogue, with the verbs of fmt in them.
type Words struct {
	NoNumber string // of what was typed
	Line     string // number, and what is wrong there
	Means    string // what a typed number is in the document
	Row      string // what is wrong in a row, by its place
}

// Accuse lays faults of the document at the fields they come from.
func (f *Form) Accuse(d *Document, all []Fault, w Words) {
	for _, fault := range all {
		name, rest := d.name(fault.Place)
		detail := fault.Detail
		fd := fieldOf(name)
		switch {
		case name == "" && rest != "":
			detail = rest + ": " + detail
		case fd != nil && fd.kind == aPairs:
			if s := steps("x" + rest); len(s) > 1 && s[1].index < len(d.lines) {
				detail = fmt.Sprintf(w.Line, d.lines[s[1].index].line, detail)
			}
		case fd != nil && fd.kind == aList && rest != "":
			detail = fmt.Sprintf(w.Row, strings.Trim(rest, "."), detail)
		case fd != nil:
			detail = f.explain(fd, name, detail, w)
		case rest != "":
			detail = fmt.Sprintf(w.Row, strings.TrimPrefix(rest, "."), detail)
		}
		f.Blame(name, detail)
	}
}

// explain says of a number's fault what the number is in the document, where that is another.
func (f *Form) explain(fd *field, name, detail string, w Words) string {
	s := strings.TrimSpace(f.typed[name])
	if !fd.kind.isNumber() || s == "" {
		return detail
	}
	v, ok := number(s)
	switch {
	case !ok:
		return fmt.Sprintf(w.NoNumber, s)
	case f.Units.factor(fd.kind) != 1:
		return detail + fmt.Sprintf(w.Means, plain(f.Units.inDocument(v, fd.kind)))
	}
	return detail
}

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
	commas bool              // numbers were typed with a comma before decimals
}

// Document makes the document of what was typed. It may well have faults.
func (f *Form) Document() (*Document, error) {
	root := &node{}
	d := &Document{places: map[string]string{}, commas: f.commas()}
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
		for _, t := range listItems(s) {
			out.list = append(out.list, d.numberOrText(t, fd, u))
		}
		return out
	case fd.kind == aYesNo:
		return &node{kind: isPlain, plain: strconv.AppendBool(nil, s == "true")}
	case fd.kind == aTilt && strings.EqualFold(s, "best"):
		return ofText("best")
	case fd.kind.isNumber(), fd.kind == aTilt:
		return d.numberOrText(s, fd, u)
	}
	return ofText(s)
}

// listItems takes a typed list apart.
func listItems(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '\n' || r == '\t' })
}

func (d *Document) numberOrText(s string, fd *field, u Units) *node {
	if v, ok := fd.number(s, d.commas); ok {
		return ofNumber(u.inDocument(v, fd.kind))
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
	if first := firstWithin(place); first != "" {
		return first, ""
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

// firstWithin is the first field of a part of the document that has no control of its own; empty where it has one, or no field.
func firstWithin(place string) string {
	if place == "solar" {
		return "solar.yield_kwh_per_kw" // what is wrong with the whole of it is that this is given in several ways
	}
	if _, isChoice := choiceAt[place]; isChoice || groupByPlace[place] != nil || !strings.Contains(place, ".") {
		return ""
	}
	for i := range fields {
		if strings.HasPrefix(fields[i].place, place+".") {
			return fields[i].place
		}
	}
	return ""
}

// parent is the place around a place; nothing around the document's own members.
func parent(place string) string {
	return place[:max(0, strings.LastIndexByte(place, '.'), strings.LastIndexByte(place, '['))]
}

// choiceAt is the choice where a fault of a part of the document is shown that no field has.
var choiceAt = map[string]string{"wind": "wind", "turbine": "machine", "turbine.design.load": "load"}

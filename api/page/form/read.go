package form

import (
	"slices"
	"strconv"
	"strings"
)

// FromDocument fills a form from a document in JSON, in the units wanted. What has no field is kept beside it.
func FromDocument(json []byte, u Units) (*Form, error) {
	root, err := parse(json)
	if err != nil {
		return nil, err
	}
	f := New()
	f.Units = u
	f.rows = map[string]int{}
	f.chooseBy(root)
	for i := range groups {
		f.takeGroup(root, &groups[i])
	}
	for i := range fields {
		f.takeField(root, &fields[i])
	}
	root.prune()
	f.other = root
	return f, nil
}

// chooseBy chooses what the document has.
func (f *Form) chooseBy(root *node) {
	for what, place := range map[string]string{"wind": "wind.", "machine": "turbine.", "load": "turbine.design.load."} {
		for _, c := range choices[what] {
			at := c
			switch c {
			case "table":
				at = "power_curve"
			case "log":
				at = "test_log"
			}
			if root.at(place+at) != nil {
				f.chosen[what] = c
			}
		}
	}
	if t := root.at("towers"); t != nil && t.kind == isObject {
		f.chosen["towers"] = "rule"
	}
	if o := root.at("site.obstacles"); o != nil && o.kind == isList && len(o.list) == 0 {
		f.ticked[NoObstacles] = true
		root.take("site.obstacles")
	}
	if s, ok := root.at("turbine.design.load.short_circuit").text(); ok && s == "true" {
		root.take("turbine.design.load.short_circuit")
	}
	if h := root.at("household"); h != nil && h.kind == isObject && len(h.object) == 0 {
		h.put(step{name: "yearly_kwh"}, ofNumber(defaultHomeKWh)) // which is what it stands for
	}
	for _, emptied := range []string{"turbine.design.load.tracking", "turbine.design.load.battery", "turbine.design.load.resistor"} {
		if n := root.at(emptied); n != nil && n.kind == isObject && len(n.object) == 0 {
			root.take(emptied)
		}
	}
}

// defaultHomeKWh is what the contract takes a household to need that says nothing, kWh a year.
const defaultHomeKWh = 3500

// takeField moves a value of the document into its field, if the field can show it.
func (f *Form) takeField(root *node, fd *field) {
	n := root.at(fd.place)
	s, ok := f.shownAs(n, fd)
	if !ok {
		return
	}
	root.take(fd.place)
	f.typed[fd.place] = s
}

// shownAs is a value as one would type it; false where a field cannot show it.
func (f *Form) shownAs(n *node, fd *field) (string, bool) {
	switch fd.kind {
	case aPairs:
		s, ok := typedPairs(n, f.Units)
		return s, ok && len(s) <= mostTyped
	case aList:
		if n == nil || n.kind != isList {
			return "", false
		}
		var texts []string
		for _, c := range n.list {
			t, ok := c.text()
			if !ok || strings.ContainsAny(t, " ,;\n\t") {
				return "", false
			}
			texts = append(texts, t)
		}
		return strings.Join(texts, " "), true
	}
	s, ok := n.text()
	if !ok {
		return "", false
	}
	isText := n.plain[0] == '"'
	if fd.kind.isNumber() && !isText {
		if v, is := number(s); is {
			s = f.Units.typed(v, fd.kind)
		}
	}
	switch fd.kind {
	case aYesNo:
		return s, s == "true" || s == "false"
	case aText, aChoice, aRecord, aCurve:
		return s, isText && s != "" && strings.TrimSpace(s) == s && !strings.Contains(s, "\n")
	case aTilt:
		return s, !isText || s == "best"
	}
	// A text where a number should be is shown, to be mended, unless it would be read as a number then; one with a comma before its decimals
	// can have been meant as nothing else.
	return s, s != "" && !(isText && isNumberText(s) && !strings.Contains(s, ","))
}

// takeGroup moves a list of the document into a group's rows, if these can show all of it.
func (f *Form) takeGroup(root *node, g *group) {
	n := root.at(g.place)
	if n == nil || n.kind != isList || len(n.list) > g.most {
		return
	}
	columns := map[string]*field{}
	for i := range g.columns {
		columns[g.columns[i].place] = &g.columns[i]
	}
	rows := map[string]string{}
	for i, row := range n.list {
		fits := row.kind == isObject && len(row.object) > 0
		row.leaves("", func(place string, v *node) {
			c := columns[place]
			if c == nil {
				fits = false
				return
			}
			s, ok := f.shownAs(v, c)
			fits = fits && ok
			rows[g.place+"["+strconv.Itoa(i)+"]."+place] = s
		})
		if !fits {
			return
		}
	}
	for name, s := range rows {
		f.typed[name] = s
	}
	f.rows[g.place] = len(n.list)
	root.take(g.place)
}

// wholes are groups of the document that stay or go as one.
var wholes = []string{"site.map", "wind.frequency", "wind.measured_over", "wind.long_term", "wind.record.screening", "turbine.design.rotor.polar", "turbine.design.sweep",
	"uncertainty.verdict"}

// Other is what the document holds beyond the fields: where, and the whole as JSON; nothing where there is none of it.
func (f *Form) Other() (places []string, json string) {
	if f.other.prune() {
		return nil, ""
	}
	f.other.leaves("", func(place string, _ *node) {
		for _, w := range wholes {
			if strings.HasPrefix(place, w+".") {
				place = w
			}
		}
		if !slices.Contains(places, place) {
			places = append(places, place)
		}
	})
	text, err := f.other.MarshalJSON()
	if err != nil {
		panic("form: what was JSON is JSON")
	}
	return places, string(text)
}

package form

import (
	"slices"
	"strings"

	"mastworth/api/page"
)

// Summary is a fault with where it is on the page.
type Summary struct{ Label, ID, Detail string }

// Summaries are all faults, in the order of the page.
func (v *View) Summaries() []Summary {
	var out []Summary
	seen := map[string]bool{}
	add := func(name, label, id string) {
		if seen[name] {
			return
		}
		seen[name] = true
		for _, d := range v.faults[name] {
			out = append(out, Summary{label, id, d})
		}
	}
	for _, s := range pageOrder {
		switch {
		case groupByPlace[s] != nil:
			v.addRows(s, add)
		default:
			add(s, Label(s), ID(s))
		}
	}
	var rest []string
	for name := range v.faults { // sorted below
		if !seen[name] && name != "" {
			rest = append(rest, name)
		}
	}
	slices.Sort(rest)
	for _, name := range rest {
		add(name, Label(name), ID(name))
	}
	add("", page.Text("form.whole"), "content")
	return out
}

func (v *View) addRows(place string, add func(name, label, id string)) {
	g := groupByPlace[place]
	add(place, page.Text("form."+place), ID(place))
	for i := range v.shown(g) {
		row := strings.TrimSuffix(cell(place, i, ""), ".")
		label := page.Text("form."+place+".row", i+1)
		add(row, label, ID(row))
		for _, c := range g.columns {
			add(row+"."+c.place, label+", "+page.Text("form."+key(place+"."+c.place)), ID(row+"."+c.place))
		}
	}
}

// pageOrder is the order of the page, which is the document's but for the rows and choices.
var pageOrder = func() []string {
	var out []string
	for i := range fields {
		switch fields[i].place {
		case "wind.record.id":
			out = append(out, choicePrefix+"wind", "wind.file")
			out = append(out, Fetching...)
		case "turbine.name":
			out = append(out, choicePrefix+"machine")
		case "turbine.design.load.battery.volts_v":
			out = append(out, choicePrefix+"load")
		case "towers.from_m":
			out = append(out, choicePrefix+"towers", "towers")
		}
		out = append(out, fields[i].place)
		if g := nextGroup[fields[i].place]; g != "" {
			out = append(out, g)
		}
	}
	return out
}()

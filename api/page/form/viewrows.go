package form

import (
	"slices"
	"strings"

	"mastworth/api/page"
)

// RowsView is a group with its rows.
type RowsView struct {
	ID, Place, Label, Note, Add string
	Action, Next                string // where it is sent to, and the id of the row that comes next
	Faults                      []string
	Rows                        []RowView
	Full, Kept                  bool // whether it may have no more; whether the document has rows that cannot be shown
}

// RowView is a row of a group.
type RowView struct {
	ID, Name, Label, Remove string
	Faults                  []string
	Fields                  []FieldView
}

// Rows is a group by its name.
func (v *View) Rows(place string) RowsView {
	g := groupByPlace[place]
	k := "form." + place
	out := RowsView{ID: ID(place), Place: place, Label: page.Text(k), Add: page.Text(k + ".add"), Note: page.Text("form.note." + place), Faults: v.faults[place],
		Full: v.shown(g) >= g.most, Kept: v.keeps(place), Action: v.Action, Next: ID(strings.TrimSuffix(cell(place, v.shown(g), ""), "."))}
	for i := range v.shown(g) {
		name := cell(place, i, "")
		name = strings.TrimSuffix(name, ".")
		label := page.Text(k+".row", i+1)
		row := RowView{ID: ID(name), Name: name, Label: label, Remove: page.Text("form.remove", label), Faults: v.faults[name]}
		for _, c := range g.columns {
			row.Fields = append(row.Fields, v.Field(name+"."+c.place))
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}

// ChoiceView are alternatives to choose between.
type ChoiceView struct {
	ID, Name, Label string
	Faults          []string
	Options         []ChoiceOption
}

// ChoiceOption is one alternative.
type ChoiceOption struct {
	ID, Value, Label string
	Chosen           bool
}

// Choice are the alternatives of a name: wind, machine, towers or load. What cannot be chosen here is left out, unless it is chosen.
func (v *View) Choice(what string) ChoiceView {
	name := choicePrefix + what
	out := ChoiceView{ID: ID(name), Name: name, Label: page.Text("form." + name), Faults: v.faults[name]}
	for _, c := range choices[what] {
		chosen := v.Chosen(what) == c
		absent := c == "fetch" && len(v.Sources) == 0 || c == "frequency" || c == "record" && len(v.Records) == 0 || c == "curve" && len(v.Curves) == 0
		if absent && !chosen {
			continue
		}
		out.Options = append(out.Options, ChoiceOption{ID: ID(name) + "-" + c, Value: c, Label: page.Text("form." + name + "." + c), Chosen: chosen})
	}
	return out
}

// FetchField is a control of what to fetch.
func (v *View) FetchField(name string) FieldView {
	out := FieldView{ID: ID(name), Name: name, Label: page.Text("form." + name), Value: v.typed[name], Faults: v.faults[name]}
	if name == "fetch.source" {
		out.Choices = slices.Clone(v.Sources)
		for i := range out.Choices {
			out.Choices[i].Chosen = out.Choices[i].Value == out.Value
		}
	}
	return out
}

// Ticked reports whether a box is ticked.
func (v *View) Ticked(name string) bool { return v.ticked[name] }

// FaultsOf is what is wrong with a control that is no field.
func (v *View) FaultsOf(name string) []string { return v.faults[name] }

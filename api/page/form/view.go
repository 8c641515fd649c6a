package form

import (
	"slices"
	"strings"

	"mastworth/api/page"
)

// View is what the page shows of a form.
type View struct {
	*Form
	Action                    string // address it is sent to
	SiteID                    string // of the saved site that is changed; or nothing
	Version                   string // of that site
	Records                   []page.Choice
	Curves                    []page.Choice
	OlderRecords, OlderCurves bool          // whether there are older ones than these
	Sources                   []page.Choice // to fetch from; none where the service may not
	Fresh                     bool          // whether nothing was filled in yet
	Examples                  []page.Choice
	Notices                   []string
	ReadOnly                  string // why the form cannot be sent, if whoever looks at it may not change anything
	SignIn                    bool   // whether signing in may mend that
	Written                   string // address of the page on which the document itself is written; or nothing
}

// FieldView is a control with its words.
type FieldView struct {
	ID, Name, Label, Note, Value, Empty string
	Faults                              []string
	Choices                             []page.Choice // of a list
	Lines, Number, Needed               bool
}

// ID is the id of the control of a name.
func ID(name string) string {
	return "f-" + strings.Trim(strings.NewReplacer(".", "-", "[", "-", "]", "", "_", "-").Replace(name), "-")
}

// solarKnown are the currencies for which the domain has a price of solar to assume.
var solarKnown = []string{"EUR", "USD"}

// pairsShown are the first lines of a power table, to show what one looks like, by the units of its speeds.
var pairsShown = map[Units]string{Metric: "3 8\n4 45\n5 105", Feet: "7 8\n9 45\n11 105"}

// Field is a field by its name.
func (v *View) Field(name string) FieldView {
	fd := fieldOf(name)
	if fd == nil {
		panic("form: a page shows a field that is none: " + name)
	}
	k := "form." + key(name)
	out := FieldView{ID: ID(name), Name: name, Label: page.Text(k), Value: v.typed[name], Empty: fd.empty, Faults: v.faults[name], Lines: fd.kind == aPairs,
		Number: fd.kind.isNumber(), Needed: fd.needed || name == "solar.cost_per_kw" && !slices.Contains(solarKnown, v.currency())}
	if fd.kind.isNumber() && fd.empty != "" && v.Units.factor(fd.kind) != 1 && fd.kind != aShare && fd.empty != "0" {
		out.Empty = "" // it is told in metres
	}
	if fd.kind == aPairs {
		out.Empty = pairsShown[v.Units]
	}
	if name == "money.currency" && v.Units == Feet {
		out.Empty = ""
	}
	if sign := v.Units.sign(fd.kind, v.currency()); sign != "" {
		out.Label = page.Text("form.with_unit", out.Label, sign)
	}
	if fd.note {
		out.Note = v.inUnits(page.Text("form.note." + key(name)))
	}
	switch fd.kind {
	case aChoice, aYesNo:
		out.Choices = v.wordChoices(fd, k, out.Value)
	case aRecord:
		out.Choices = chosenOf(v.Records, out.Value)
		out.noteOlder(v.OlderRecords, len(v.Records))
	case aCurve:
		out.Choices = chosenOf(v.Curves, out.Value)
		out.noteOlder(v.OlderCurves, len(v.Curves))
	}
	return out
}

// wordChoices are the words a field takes, with what leaving it open means.
func (v *View) wordChoices(fd *field, k, value string) []page.Choice {
	words, keyed := fd.words, k
	if fd.kind == aYesNo {
		words = []string{"true", "false"}
	}
	if slices.Equal(words, covers) {
		keyed = "form.cover"
	}
	out := []page.Choice{{Value: "", Words: page.Text(k + ".open"), Chosen: value == ""}}
	for _, w := range words {
		out = append(out, page.Choice{Value: w, Words: page.Text(keyed + "." + strings.ReplaceAll(w, " ", "_")), Chosen: w == value})
	}
	if value != "" && !slices.Contains(words, value) {
		out = append(out, page.Choice{Value: value, Words: value, Chosen: true})
	}
	return out
}

// chosenOf is a list with one chosen, or nothing yet.
func chosenOf(all []page.Choice, value string) []page.Choice {
	return page.Choose(append([]page.Choice{{Value: "", Words: page.Text("form.choose")}}, all...), value)
}

// noteOlder says that a list does not reach further back.
func (f *FieldView) noteOlder(older bool, listed int) {
	if older {
		f.Note = strings.TrimSpace(f.Note + " " + page.Text("form.older", listed))
	}
}

// Fields are those whose names begin alike, in the document's order.
func (v *View) Fields(beginning string) []FieldView {
	var out []FieldView
	for i := range fields {
		if strings.HasPrefix(fields[i].place, beginning) {
			out = append(out, v.Field(fields[i].place))
		}
	}
	return out
}

// Opens reports whether something is typed into one of these fields or groups, or is wrong with it, so that it must be in sight.
func (v *View) Opens(names ...string) bool {
	for _, name := range names {
		if strings.TrimSpace(v.typed[name]) != "" || len(v.faults[name]) > 0 || v.rows[name] > 0 {
			return true
		}
	}
	return false
}

// OpensAny is Opens for all fields whose names begin alike.
func (v *View) OpensAny(beginning string) bool {
	for i := range fields {
		if strings.HasPrefix(fields[i].place, beginning) && v.Opens(fields[i].place) {
			return true
		}
	}
	return false
}

// HasSpot reports whether there is a place to mark on the world.
func (v *View) HasSpot() bool {
	_, _, ok := v.Spot()
	return ok
}

// SpotX is where it is from the left, px of a world 720 wide.
func (v *View) SpotX() float64 { x, _, _ := v.Spot(); return x }

// SpotY is where it is from above.
func (v *View) SpotY() float64 { _, y, _ := v.Spot(); return y }

// UnitChoices are the units to choose between.
func (v *View) UnitChoices() []page.Choice {
	return []page.Choice{{Value: string(Metric), Words: page.Text("form.units.metric"), Chosen: v.Units == Metric},
		{Value: string(Feet), Words: page.Text("form.units.feet"), Chosen: v.Units == Feet}}
}

// Kept is something of the document that has no field.
type Kept struct{ Place, ID string }

// KeptParts is what the document holds beyond the fields.
func (v *View) KeptParts() []Kept {
	places, _ := v.Other()
	out := make([]Kept, len(places))
	for i, p := range places {
		out[i] = Kept{p, ID("leave_out." + p)}
	}
	return out
}

// OtherJSON is the same for the form to carry along.
func (v *View) OtherJSON() string {
	_, text := v.Other()
	return text
}

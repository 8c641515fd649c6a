package form

import (
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"mastworth/api/page"
)

// Form is what stands in the form's fields, and what is wrong with it.
type Form struct {
	Units  Units               // the typed values are in
	typed  map[string]string   // by name
	chosen map[string]string   // between what, by the choices' names
	rows   map[string]int      // by group
	ticked map[string]bool     // boxes, by name
	other  *node               // what the document holds beyond the fields
	faults map[string][]string // by the name of a field, a group or a choice; "" for the whole
}

// Controls of the form that are no part of the document.
const (
	ControlUnits    = "units"          // those wanted
	ControlShown    = "units.shown"    // those the values are in
	ControlOther    = "other"          // what has no field, as JSON
	ControlLeaveOut = "leave_out"      // places of it that are to go; may be given several times
	ControlVersion  = "version"        // of the saved site that is being changed
	ControlDo       = "do"             // the button pressed
	NoObstacles     = "none.obstacles" // a box: there are none
	choicePrefix    = "by."
)

// Fetching are the fields of what to fetch, which are for the service alone.
var Fetching = []string{"fetch.source", "fetch.from_year", "fetch.to_year", "fetch.station"}

// New is an empty form.
func New() *Form {
	return &Form{Units: Metric, typed: map[string]string{}, chosen: map[string]string{}, rows: map[string]int{"towers": 3}, ticked: map[string]bool{},
		other: &node{}, faults: map[string][]string{}}
}

// mostTyped is how long a field's value may be, bytes; a whole power curve fits.
const mostTyped = 40_000

var rowName = regexp.MustCompile(`^([a-z_.]+)\[(\d{1,3})\]\.`)

// FromValues is a form as a browser sent it. Names it does not know are let be: browsers and their plug-ins send some.
func FromValues(values url.Values) *Form {
	f := New()
	f.rows = map[string]int{}
	f.Units = UnitsOf(values.Get(ControlShown))
	for name, given := range values {
		v := strings.ReplaceAll(given[0], "\r\n", "\n")
		if len(v) > mostTyped && fieldOf(name) != nil {
			v = strings.ToValidUTF8(v[:mostTyped], "")
			f.Blame(name, page.Text("form.too_long", mostTyped))
		}
		what, isChoice := strings.CutPrefix(name, choicePrefix)
		switch {
		case isChoice && slices.Contains(choices[what], v):
			f.chosen[what] = v
		case name == NoObstacles:
			f.ticked[name] = v != ""
		case slices.Contains(Fetching, name):
			f.typed[name] = v
		case fieldOf(name) != nil:
			f.typed[name] = v
			if m := rowName.FindStringSubmatch(name); m != nil {
				n, _ := strconv.Atoi(m[2]) // digits
				f.rows[m[1]] = max(f.rows[m[1]], min(n+1, groupByPlace[m[1]].most))
			}
		}
	}
	f.readOther(values)
	return f
}

// readOther takes what the document holds beyond the fields, less what is to be left out.
func (f *Form) readOther(values url.Values) {
	text := values.Get(ControlOther)
	if text == "" {
		return
	}
	other, err := parse([]byte(text))
	if err != nil {
		f.Blame("", err.Error())
		return
	}
	for _, place := range values[ControlLeaveOut] {
		if place != "" {
			other.take(place)
		}
	}
	other.prune()
	f.other = other
}

// Value is what was typed into a field.
func (f *Form) Value(name string) string { return f.typed[name] }

// Set types something into a field.
func (f *Form) Set(name, value string) { f.typed[name] = value }

// Chosen is what was chosen between alternatives, such as the wind's.
func (f *Form) Chosen(what string) string {
	if c := f.chosen[what]; c != "" {
		return c
	}
	return choices[what][0]
}

// Choose chooses; it panics where there is no such alternative.
func (f *Form) Choose(what, choice string) {
	if !slices.Contains(choices[what], choice) {
		panic("form: no such choice")
	}
	f.chosen[what] = choice
}

// holds reports whether all that a field or part belongs to is chosen.
func (f *Form) holds(when string) bool {
	if when == "" {
		return true
	}
	for _, w := range strings.Split(when, "&") {
		what, any, _ := strings.Cut(w, "=")
		if !slices.Contains(strings.Split(any, "|"), f.Chosen(what)) {
			return false
		}
	}
	return true
}

// Add adds an empty row to a group, if it is one and may have more.
func (f *Form) Add(place string) {
	if g := groupByPlace[place]; g != nil && f.rows[place] < g.most && !f.keeps(place) {
		f.rows[place] = f.shown(g) + 1
	}
}

// keeps reports whether the document has rows of a group that have no fields.
func (f *Form) keeps(place string) bool {
	n := f.other.at(place)
	return n != nil && n.kind == isList
}

// Remove takes a row out, named as towers[1].
func (f *Form) Remove(row string) {
	place, index, _ := strings.Cut(row, "[")
	g := groupByPlace[place]
	at, err := strconv.Atoi(strings.TrimSuffix(index, "]"))
	if g == nil || err != nil || at < 0 || at >= f.shown(g) {
		return
	}
	n := f.shown(g)
	for _, c := range g.columns {
		for i := at; i < n; i++ {
			f.typed[cell(place, i, c.place)] = f.typed[cell(place, i+1, c.place)]
		}
	}
	f.rows[place] = n - 1
}

// Blank reports whether nothing is typed into any row of a group.
func (f *Form) Blank(place string) bool {
	g := groupByPlace[place]
	for i := range f.shown(g) {
		for _, c := range g.columns {
			if strings.TrimSpace(f.typed[cell(place, i, c.place)]) != "" {
				return false
			}
		}
	}
	return true
}

// shown is how many rows of a group there are to see.
func (f *Form) shown(g *group) int { return f.rows[g.place] }

func cell(place string, row int, column string) string {
	return place + "[" + strconv.Itoa(row) + "]." + column
}

// ChangeUnits turns all lengths and speeds that were typed into other units.
func (f *Form) ChangeUnits(to Units) {
	from := f.Units
	if to == from {
		return
	}
	commas := f.commas()
	for name, s := range f.typed {
		fd := fieldOf(name)
		if fd == nil || from.factor(fd.kind) == to.factor(fd.kind) {
			continue
		}
		if fd.kind == aPairs {
			f.typed[name] = changePairs(s, from, to)
		} else if v, ok := fd.number(s, commas); ok && strings.TrimSpace(s) != "" {
			f.typed[name] = to.typed(from.inDocument(v, fd.kind), fd.kind)
			if commas {
				f.typed[name] = withComma(f.typed[name])
			}
		}
	}
	f.Units = to
	if to == Feet && f.typed["money.currency"] == "" {
		f.typed["money.currency"] = "USD"
	}
}

// currency is what money is in.
func (f *Form) currency() string {
	if c := strings.TrimSpace(f.typed["money.currency"]); c != "" {
		return strings.ToUpper(c)
	}
	return byPlace["money.currency"].empty
}

var threeLetters = regexp.MustCompile(`^[A-Za-z]{3}$`)

// SettleCurrency takes the currency in capitals, and blames one that is not of three letters. The contract takes longer words as well; on the
// page a slip is likelier than one that is meant.
func (f *Form) SettleCurrency() {
	const name = "money.currency"
	typed := strings.TrimSpace(f.typed[name])
	switch {
	case typed == "":
	case threeLetters.MatchString(typed):
		f.typed[name] = strings.ToUpper(typed)
	default:
		f.Blame(name, page.Text("form.no_currency", typed))
	}
}

// Blame notes what is wrong with a field, a group, a choice, or, with no name, the whole.
func (f *Form) Blame(name, detail string) { f.faults[name] = append(f.faults[name], detail) }

// Sound reports whether nothing is known to be wrong.
func (f *Form) Sound() bool { return len(f.faults) == 0 }

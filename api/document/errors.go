package document

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// FieldError says what is wrong with one place of a document and what would mend it.
type FieldError struct {
	Location string // dotted, such as "turbine.power_curve.points[3][1]"; empty for the document as a whole
	Line     int    // from 1; 0 where unknown
	Column   int    // from 1, in characters; 0 where unknown
	Detail   string
}

// String is the place, the line and column where known, and the detail.
func (f FieldError) String() string {
	var b strings.Builder
	b.WriteString(f.Location)
	if f.Line > 0 {
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, "(line %d, column %d)", f.Line, f.Column)
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
	b.WriteString(f.Detail)
	return b.String()
}

// Error reports every fault found in a document, up to MaxFaults.
type Error struct {
	Fields    []FieldError
	Malformed bool // the bytes are no JSON or YAML at all, as against a document with faults in it
}

// Error lists the faults, one after the other.
func (e *Error) Error() string {
	texts := make([]string, len(e.Fields))
	for i, f := range e.Fields {
		texts[i] = f.String()
	}
	return strings.Join(texts, "; ")
}

// MaxFaults is how many faults are told at once: beyond it a list helps nobody.
const MaxFaults = 60

// andMore stands behind the faults that are told where there are more.
var andMore = FieldError{Detail: fmt.Sprintf("more is wrong than is told at once: these are the first %d faults", MaxFaults)}

// Told are the faults that are told at once, with a word behind them where they are not all.
func Told(faults []FieldError) (told []FieldError, all bool) {
	told = slices.DeleteFunc(slices.Clone(faults), func(f FieldError) bool { return f == andMore })
	if all = len(told) == len(faults) && len(told) <= MaxFaults; all {
		return told, true
	}
	return append(told[:min(len(told), MaxFaults)], andMore), false
}

func told(faults []FieldError) []FieldError {
	out, _ := Told(faults)
	return out
}

// Besides adds faults that were found in what could be read, but for those that follow from one that is told already: at its place, within it
// or around it, or about a number that is not known.
func (e *Error) Besides(found []FieldError) {
	before := len(e.Fields)
	for _, f := range found {
		follows := aboutNaN.MatchString(f.Detail)
		for _, t := range e.Fields[:before] {
			follows = follows || within(t.Location, f.Location) || within(f.Location, t.Location)
		}
		if !follows {
			e.Fields = append(e.Fields, f)
		}
	}
}

// Within reports whether something is wrong at a place or within it.
func (e *Error) Within(place string) bool {
	return slices.ContainsFunc(e.Fields, func(f FieldError) bool { return within(place, f.Location) })
}

var aboutNaN = regexp.MustCompile(`\bNaN\b`)

// within reports whether a place is another, or lies in it.
func within(outer, place string) bool {
	rest, ok := strings.CutPrefix(place, outer)
	return ok && (rest == "" || outer == "" || rest[0] == '.' || rest[0] == '[')
}

func malformed(f FieldError) *Error { return &Error{Fields: []FieldError{f}, Malformed: true} }

// step is one step of a path into a document: a field's name, or an index where the name is empty.
type step struct {
	name  string
	index int
}

// location writes a path as it is shown to people.
func location(path []step) string {
	var b strings.Builder
	for _, s := range path {
		if s.name == "" {
			fmt.Fprintf(&b, "[%d]", s.index)
			continue
		}
		if b.Len() > 0 {
			b.WriteByte('.')
		}
		b.WriteString(shownName(s.name))
	}
	return b.String()
}

// shownName keeps plain names as they are and quotes the rest, shortened.
func shownName(name string) string {
	for _, r := range name {
		if r != '_' && (r < '0' || r > '9') && (r < 'A' || r > 'Z') && (r < 'a' || r > 'z') {
			return quoted(name)
		}
	}
	return shortened(name)
}

// quoted is a text from the document in quotes, shortened.
func quoted(s string) string { return fmt.Sprintf("%q", shortened(s)) }

func shortened(s string) string {
	const most = 60
	n := 0
	for i := range s {
		if n++; n > most {
			return s[:i] + "…"
		}
	}
	return s
}

package assess

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// FieldError says what is wrong with one place of the request, and what would mend it.
type FieldError struct {
	Location string // dotted, as in the document: "towers[0].hub_height_m"
	Detail   string // one sentence with the remedy
}

// InvalidError reports every fault found in a request. It is the only error Run returns for bad input.
type InvalidError struct{ Fields []FieldError }

// Error lists the places and what is wrong with each.
func (e *InvalidError) Error() string {
	var b strings.Builder
	b.WriteString("the request cannot be estimated")
	for _, f := range e.Fields {
		fmt.Fprintf(&b, "; %s: %s", f.Location, f.Detail)
	}
	return b.String()
}

// faults gathers field errors while a request is checked.
type faults []FieldError

func (f *faults) add(location, format string, args ...any) {
	*f = append(*f, FieldError{Location: location, Detail: fmt.Sprintf(format, args...)})
}

// under puts the faults found since there were so many under a place, which is named only where there are any.
func (f *faults) under(before int, place func() string) {
	if len(*f) == before {
		return
	}
	at := place()
	for i := range (*f)[before:] {
		found := &(*f)[before+i]
		found.Location = at + found.Location
	}
}

// err is nil when nothing was found.
func (f faults) err() error {
	if len(f) == 0 {
		return nil
	}
	return &InvalidError{Fields: f}
}

// invalid is an error about one place.
func invalid(location, format string, args ...any) error {
	var f faults
	f.add(location, format, args...)
	return f.err()
}

// within checks lo ≤ v ≤ hi; NaN and infinities fail.
func (f *faults) within(location string, v, lo, hi float64, unit string) {
	if v >= lo && v <= hi {
		return
	}
	if unit != "" {
		unit = " " + unit
	}
	f.add(location, "must be from %s to %s%s, not %s", inWords(lo), inWords(hi), unit, inWords(v))
}

// above checks lo < v ≤ hi; NaN and infinities fail.
func (f *faults) above(location string, v, lo, hi float64, unit string) {
	if v > lo && v <= hi {
		return
	}
	if unit != "" {
		unit = " " + unit
	}
	f.add(location, "must be above %s and at most %s%s, not %s", inWords(lo), inWords(hi), unit, inWords(v))
}

// inWords writes a number as people do, without an exponent and with a space between thousands, unless it is too long for that.
func inWords(v float64) string {
	a := math.Abs(v)
	if !(a >= 1e4 && a < 1e15) {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	s := strconv.FormatFloat(a, 'f', -1, 64)
	whole, rest := s, ""
	if at := strings.IndexByte(s, '.'); at >= 0 {
		whole, rest = s[:at], s[at:]
	}
	for at := len(whole) - 3; at > 0; at -= 3 {
		whole = whole[:at] + "\u202f" + whole[at:]
	}
	if v < 0 {
		whole = "-" + whole
	}
	return whole + rest
}

package page

import (
	"slices"
	"strings"
)

// readNotes are in what a reader had to take for granted about nearly every file of its kind. They tell how the record was read and are no
// reason to doubt it; whatever is not here is one. A test finds them in the readers' own words.
var readNotes = []string{"says that its time is", "the stamps are UTC", "stamps are taken to be UTC", "taken to mark the beginning of the step", "says that stamps mark the",
	"counted in local time by the longitude", "years written with two digits", "wind at weather stations is told for", "an observation stands for the time from its stamp",
	"the pressure in the file is reduced to sea level", "rows sum up a day or a month", "because the stamps run evenly that way"}

// isReadNote reports whether an assumption is one that needs no minding.
func isReadNote(assumption string) bool {
	return slices.ContainsFunc(readNotes, func(part string) bool { return strings.Contains(assumption, part) })
}

// doubtsFirst has the assumptions that may be wrong before those that nearly every file of its kind needs.
func doubtsFirst(assumptions []string) []string {
	out := slices.Clone(assumptions)
	slices.SortStableFunc(out, func(a, b string) int {
		switch noteA, noteB := isReadNote(a), isReadNote(b); {
		case noteA == noteB:
			return 0
		case noteB:
			return -1
		}
		return 1
	})
	return out
}

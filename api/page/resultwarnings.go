package page

import (
	"slices"
	"strings"
)

// warningSections are the places of warnings: the section a code belongs to, by how it begins; the longest beginning counts. What is not here concerns the
// wind, where most of what is weak comes from.
var warningSections = map[string][]string{
	"heights": {"capacity_factor", "clipped"},
	"months":  {"solar", "monthly", "irradiance_unused", "no_months"},
	"split":   {"household", "self_used_share", "no_machine_affordable", "load_"},
	"cash":    {"never_pays_back", "irr_", "replacement_ignored", "yearly_cost", "feed_in", "price"},
	"losses":  {"losses", "wire_", "wiring", "conversion"},
	"doubts":  {"draws", "odds"},
	"surroundings": {"ground", "obstacle", "trees", "relief", "rotor_in", "hub_near", "sheltered", "siting", "sensor_sheltered", "turbulent", "exposure",
		"measuring_ground", "measured_here", "transfer_far", "shares_scaled"},
	"extreme": {"extreme", "gust"},
	"machine": {"curve", "power_", "polar", "reynolds", "twist", "log_the_machine", "thin_bins", "design", "gear", "rotor_", "runaway", "thrust"},
}

const otherWarnings = "wind"

// firstWarnings are those without which the verdict must not be read: they stand right below it.
var firstWarnings = []string{"unit_doubtful", "record_far", "towers_left_out"}

// sectionOf is where a warning belongs.
func sectionOf(code string) string {
	section, longest := otherWarnings, 0
	for id, beginnings := range warningSections {
		for _, b := range beginnings {
			if len(b) > longest && len(code) >= len(b) && code[:len(b)] == b {
				section, longest = id, len(b)
			}
		}
	}
	return section
}

// warn puts each warning beside what it concerns, once, and not again where a section has it already; one of several heights names them.
func (r *Result) warn(e shownEstimate) {
	put := func(code, words string) {
		if r.says(words) {
			return
		}
		if slices.Contains(firstWarnings, code) {
			r.First = append(r.First, words)
			return
		}
		s := r.section(sectionOf(code))
		if s == nil {
			r.Warnings = append(r.Warnings, words)
			return
		}
		if code == "record_assumption" && isReadNote(words) {
			s.Notes = append(s.Notes, words)
			return
		}
		s.Warnings = append(s.Warnings, words)
	}
	for _, w := range e.Warnings {
		detail := w.Detail
		if m := e.Machine; m != nil && m.Design != nil {
			detail = e.tips(m.Design, detail) // as its section has it, so that it is not said again
		}
		put(w.Code, e.sentence(detail))
	}
	for i := range e.Heights {
		for _, w := range e.Heights[i].Warnings {
			if at, again := alsoAt(e, i, w.Detail); !again {
				put(w.Code, Text("result.at_height", at, ended(e.words(w.Detail))))
			}
		}
	}
}

// says reports whether any section has a warning's words. One that has the beginning of them gets the whole.
func (r *Result) says(words string) bool {
	if slices.Contains(r.Warnings, words) || slices.Contains(r.First, words) {
		return true
	}
	for i := range r.Sections {
		for k, said := range r.Sections[i].Warnings {
			if strings.HasPrefix(words, said) {
				r.Sections[i].Warnings[k] = words
				return true
			}
		}
	}
	return false
}

// alsoAt lists the heights from one on that have the same warning; again is true where an earlier one has it.
func alsoAt(e shownEstimate, from int, detail string) (heights string, again bool) {
	for i := range e.Heights {
		for _, w := range e.Heights[i].Warnings {
			if w.Detail != detail {
				continue
			}
			if i < from {
				return "", true
			}
			if heights != "" {
				heights += ", "
			}
			heights += e.length(&e.Heights[i].HubHeightM)
			break
		}
	}
	return heights, false
}

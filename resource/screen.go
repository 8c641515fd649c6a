package resource

import (
	"cmp"
	"fmt"
	"slices"
)

// Finding is one stretch of a channel that screening found doubtful. Its values stay, and carry a flag.
type Finding struct {
	Rule             string // the rule's name, such as "range"
	Channel          string // the channel's name
	Index            int    // the channel's place in Series.Channels
	FromUnix, ToUnix int64  // first and last stamp of the stretch, Unix s
	Count            int    // how many values were flagged
	Detail           string // what is wrong, with numbers
}

// Rule is one test of screening.
type Rule struct {
	Name string // stable, in snake_case
	Doc  string // what it looks for, in a sentence
	Flag Flag   // what the values it finds carry
	find func(s *Series, channel int, report reporter)
}

// reporter takes a stretch of doubtful values, first and last stamp included.
type reporter func(from, to int, detail string)

// rules is the whole of screening, in order. A new rule needs a line here and a flag of its own.
var rules = [...]Rule{
	{"range", "a value outside what its quantity can physically be", FlagRange, findRange},
	{"flat_line", "a speed or direction that stands still, to the digit, for longer than wind does in this record", FlagFlat, findFlat},
	{"icing", "a cup anemometer standing still in frost, its vane standing still as well", FlagIcing, findIcing},
}

// Rules lists the rules of screening in the order in which they run.
func Rules() []Rule { return append([]Rule(nil), rules[:]...) }

// findingsPerRule is how many stretches of one channel a rule lists one by one; the rest share one more finding.
const findingsPerRule = 100

// Screen tests every channel of a record by every rule and returns what it found, channel by channel in the order of the
// rules. Values are never changed: doubtful ones get the rule's flag, so that they are not used. Flags of an earlier
// Screen are taken off first, others stay; doing it twice is as good as once. A rule does not look at values that an
// earlier rule, the publisher or the user has flagged, but for range, which looks at all. Where a rule finds more than 100
// stretches in a channel, the last finding sums up the rest.
func Screen(s *Series) []Finding {
	var own Flag
	for i := range rules {
		own |= rules[i].Flag
	}
	for i := range s.Channels {
		for k := range s.Channels[i].Flags {
			s.Channels[i].Flags[k] &^= own
		}
	}
	var out []Finding
	for r := range rules { // through all channels before the next rule, which may look at several
		for i := range s.Channels {
			out = append(out, rules[r].run(s, i)...)
		}
	}
	slices.SortStableFunc(out, func(a, b Finding) int { return cmp.Compare(a.Index, b.Index) })
	return out
}

// run applies a rule to a channel: it gathers all stretches before it flags any.
func (r *Rule) run(s *Series, channel int) []Finding {
	c := &s.Channels[channel]
	var out []Finding
	type stretch struct{ from, to int }
	var stretches []stretch
	rest := Finding{Rule: r.Name, Channel: c.Name, Index: channel}
	more := 0
	r.find(s, channel, func(from, to int, detail string) {
		stretches = append(stretches, stretch{from, to})
		f := Finding{
			Rule: r.Name, Channel: c.Name, Index: channel,
			FromUnix: s.Times[from], ToUnix: s.Times[to], Count: to - from + 1, Detail: detail,
		}
		if len(out) < findingsPerRule {
			out = append(out, f)
			return
		}
		if more == 0 {
			rest.FromUnix = f.FromUnix
		}
		more++
		rest.ToUnix = f.ToUnix
		rest.Count += f.Count
	})
	if more > 0 {
		rest.Detail = fmt.Sprintf("%d more stretches like the %d before", more, findingsPerRule)
		out = append(out, rest)
	}
	if len(stretches) > 0 && c.Flags == nil {
		c.Flags = make([]Flag, len(c.Values))
	}
	for _, st := range stretches {
		for k := st.from; k <= st.to; k++ {
			c.Flags[k] |= r.Flag
		}
	}
	return out
}

// joined reports whether stamp i follows stamp i−1 without a gap.
func (s *Series) joined(i int) bool { return 2*(s.Times[i]-s.Times[i-1]) <= 3*s.StepS }

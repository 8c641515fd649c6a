package resource

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// What was done about a finding.
const (
	ActionFlagged  = "flagged"  // the values carry the rule's flag and are not used
	ActionReported = "reported" // nothing was done; somebody should look
)

// Finding is one thing that screening found doubtful: a stretch of a channel, some values scattered over it, or something
// about the record's time axis. Values stay as they are.
type Finding struct {
	Rule             string // the rule's name, such as "range"
	Channel          string // the channel's name; "" for the time axis
	Index            int    // the channel's place in Series.Channels; −1 for the time axis
	FromUnix, ToUnix int64  // first and last stamp concerned, Unix s; for missing stamps the first and last that are absent
	Count            int    // how many values were flagged, or how many values or stamps a report is about
	Action           string // ActionFlagged or ActionReported
	Detail           string // what is wrong, with numbers; for a report also what to do about it
}

// findingsPerRule is how many stretches of one channel a rule lists one by one; the rest share one more finding.
const findingsPerRule = 100

// Screen is ScreenWith with every rule on and every limit as usual.
func Screen(s *Series) []Finding { return screen(s, &defaultPlan) }

// ScreenWith tests a record by every rule that is not switched off and returns what it found: first what concerns the
// time axis, then channel by channel, each in the order of the rules. Values are never changed: those that a flagging rule
// doubts get its flag, so that they are not used; other rules only report. Flags of an earlier screening are taken off
// first, also those of rules now switched off; others stay. Doing it twice is as good as once. A rule does not look at
// values that an earlier rule, the publisher or the user has flagged, but for range and some tests for channels in
// the wrong place or unit, which must look at all. Where a rule finds more than 100 stretches in a channel, one more finding
// sums up the rest. The error is that of ScreenOptions.Validate, and then nothing was done.
func ScreenWith(s *Series, o ScreenOptions) ([]Finding, error) {
	p, err := o.plan()
	if err != nil {
		return nil, err
	}
	return screen(s, &p), nil
}

func screen(s *Series, p *plan) []Finding {
	clearFlags(s)
	x := screening{s: s}
	for r := range rules { // through all channels before the next rule, which may look at several
		if p.off[r] {
			continue
		}
		x.rule, x.limits = &rules[r], p.limits[r]
		if rules[r].record != nil {
			rules[r].record(&x)
		}
		if rules[r].channel != nil {
			for i := range s.Channels {
				rules[r].channel(&x, i)
			}
		}
		x.settle()
	}
	slices.SortStableFunc(x.out, func(a, b Finding) int { return cmp.Compare(a.Index, b.Index) })
	return x.out
}

// clearFlags takes the flags of an earlier screening off.
func clearFlags(s *Series) {
	var own Flag
	for i := range rules {
		own |= rules[i].Flag
	}
	for i := range s.Channels {
		for k := range s.Channels[i].Flags {
			s.Channels[i].Flags[k] &^= own
		}
	}
}

// screening is the state of one run through the rules.
type screening struct {
	s      *Series
	rule   *Rule
	limits []float64 // of the rule, in the order of Rule.Limits
	out    []Finding
	marks  []mark // what the rule flags when it is through with all channels
	listed int    // findings of the rule in the channel last reported on
	months []int  // see monthStarts
	spans  []span // one a channel; see spanOf
}

// span is the lowest and the highest of a channel's values, used or not.
type span struct {
	known     bool
	low, high float64 // +Inf and −Inf where all are missing
}

// spanOf is worked out once a channel: most rules that look for the impossible can stop there.
func (x *screening) spanOf(channel int) span {
	if x.spans == nil {
		x.spans = make([]span, len(x.s.Channels))
	}
	p := &x.spans[channel]
	if p.known {
		return *p
	}
	*p = span{true, math.Inf(1), math.Inf(-1)}
	for _, v := range x.s.Channels[channel].Values {
		if v < p.low {
			p.low = v
		}
		if v > p.high {
			p.high = v
		}
	}
	return *p
}

// mark is a stretch to be flagged, both ends included.
type mark struct{ channel, from, to int }

// stretch reports and flags a stretch of a channel, both ends included.
func (x *screening) stretch(channel, from, to int, detail string) {
	x.marks = append(x.marks, mark{channel, from, to})
	x.add(Finding{
		Channel: x.s.Channels[channel].Name, Index: channel, FromUnix: x.s.Times[from], ToUnix: x.s.Times[to],
		Count: to - from + 1, Action: ActionFlagged, Detail: detail,
	})
}

// report says something about rows from to to of a channel, or of the time axis for channel −1, and flags nothing.
func (x *screening) report(channel, from, to, count int, detail string) {
	f := Finding{Index: channel, FromUnix: x.s.Times[from], ToUnix: x.s.Times[to], Count: count, Action: ActionReported, Detail: detail}
	if channel >= 0 {
		f.Channel = x.s.Channels[channel].Name
	}
	x.add(f)
}

// add takes a finding up. Those of one rule and channel come one after another; from the hundredth on they share one.
func (x *screening) add(f Finding) {
	f.Rule = x.rule.Name
	last := len(x.out) - 1
	if last < 0 || x.out[last].Rule != f.Rule || x.out[last].Index != f.Index {
		x.listed = 0
	}
	x.listed++
	if x.listed <= findingsPerRule+1 {
		if x.listed == findingsPerRule+1 {
			f.Detail = moreStretches(1)
		}
		x.out = append(x.out, f)
		return
	}
	rest := &x.out[last]
	rest.ToUnix = max(rest.ToUnix, f.ToUnix)
	rest.Count += f.Count
	rest.Detail = moreStretches(x.listed - findingsPerRule)
}

func moreStretches(n int) string {
	return fmt.Sprintf("%d more like the %d before", n, findingsPerRule)
}

// settle flags what the rule has marked.
func (x *screening) settle() {
	for _, m := range x.marks {
		c := &x.s.Channels[m.channel]
		if c.Flags == nil {
			c.Flags = make([]Flag, len(c.Values))
		}
		for k := m.from; k <= m.to; k++ {
			c.Flags[k] |= x.rule.Flag
		}
	}
	x.marks = x.marks[:0]
}

// joined reports whether stamp i follows stamp i−1 without a gap.
func (s *Series) joined(i int) bool { return 2*(s.Times[i]-s.Times[i-1]) <= 3*s.StepS }

// monthStarts lists the rows at which a calendar month of local standard time begins, and the number of rows after them.
func (x *screening) monthStarts() []int {
	if x.months != nil {
		return x.months
	}
	s := x.s
	end := int64(0) // of the month at hand, local s
	for i, t := range s.Times {
		t += s.UTCOffsetS
		if i > 0 && t < end {
			continue
		}
		year, month, _ := civil(floorDiv(t, secondsPerDay))
		end = dayOf(year+int64(month/11), (month+1)%12, 1) * secondsPerDay
		x.months = append(x.months, i)
	}
	x.months = append(x.months, len(s.Times))
	return x.months
}

package ingest

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"mastworth/resource"
)

// mayReach reports whether readings of a channel come to some hundreds or thousands as a matter of course, so that 990, 999 or 9999 in it
// may be measured: a machine makes 999 W, turns 990 times a minute, and a cup gives as many pulses. No wind, no air and no sun does.
func (c *channel) mayReach() bool {
	switch c.quantity {
	case resource.Power, resource.Voltage, resource.Current, resource.ShaftSpeed:
		return true
	}
	return c.pulses
}

// count notes that one of numbers stood for so many missing values.
func (c *channel) count(number int, times int64) {
	if c.coded == nil {
		c.coded = make([]int64, len(c.numbers))
	}
	c.coded[number] += times
}

// nearShare is how far from a code another value may be, as a share of it, to have it taken for measured. Judgement.
const nearShare = 0.25

// judge decides on the positive codes of a channel whose readings may be such numbers: one stands for a missing value where it stands
// apart, nothing else coming near it, or where it is there more often than all that comes near it. What is missing becomes NaN.
func (c *channel) judge(values *chunks[float64], rep *Report) {
	type code struct {
		number, at     float64 // in the file, and as a value
		index          int
		times, besides int64
	}
	var found []code
	for i, v := range c.numbers {
		if v > 0 && !slices.ContainsFunc(found, func(f code) bool { return f.number == v }) {
			found = append(found, code{number: v, at: c.converted(v), index: i})
		}
	}
	for part := range values.parts {
		for _, v := range part {
			if at := slices.IndexFunc(found, func(f code) bool { return f.at == v }); at >= 0 {
				found[at].times++
				continue
			}
			for i := range found {
				if math.Abs(v-found[i].at) <= nearShare*math.Abs(found[i].at) {
					found[i].besides++
				}
			}
		}
	}
	var kept []float64
	for _, f := range found {
		switch {
		case f.times == 0:
			continue
		case f.besides >= f.times:
			kept = append(kept, f.number)
			continue
		}
		c.count(f.index, f.times)
		c.missing += f.times
		for part := range values.parts {
			for i, v := range part {
				if v == f.at {
					part[i] = math.NaN()
					c.sum -= v
				}
			}
		}
	}
	if len(kept) > 0 {
		verb := "are"
		if len(kept) == 1 {
			verb = "is"
		}
		rep.assume("%s in %q %s taken for measured, since other values come near; if that means a missing value, say so, as in missing=%s",
			listed(kept), c.name, verb, listed(kept[:1]))
	}
}

// converted is what a number in the file is as a value.
func (c *channel) converted(v float64) float64 {
	if c.plain {
		return v
	}
	return c.unit.convert(c.slope*v + c.offset)
}

// tellCodes says which numbers meant a missing value.
func (c *channel) tellCodes(rep *Report) {
	var which []float64
	n := int64(0)
	for i, times := range c.coded {
		if n += times; times > 0 && !slices.Contains(which, c.numbers[i]) {
			which = append(which, c.numbers[i])
		}
	}
	switch len(which) {
	case 0:
	case 1:
		rep.assume("%s in %q means a missing value (%d of them)", listed(which), c.name, n)
	default:
		rep.assume("%s in %q mean a missing value (%d of them)", listed(which), c.name, n)
	}
}

// listed are numbers in a sentence.
func listed(numbers []float64) string {
	slices.Sort(numbers)
	words := make([]string, len(numbers))
	for i, v := range numbers {
		words[i] = strconv.FormatFloat(v, 'f', -1, 64)
	}
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

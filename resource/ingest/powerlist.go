package ingest

import (
	"bytes"
	"fmt"
	"math"
	"slices"
)

// parse reads an object of values by stamp. The text is JSON that has been checked already, but for what it is of.
func (l *powerList) parse(b []byte) error {
	bad := func(what string) error {
		return &ReadError{Reason: fmt.Sprintf("parameter %s: %s", l.name, what), Remedy: "ask the service for hourly or daily data, as JSON"}
	}
	b = bytes.Trim(b, " \t\r\n")
	if len(b) < 2 || b[0] != '{' {
		return bad("it is no list of values by stamp")
	}
	n := bytes.Count(b, []byte{':'})
	l.keys, l.values = make([]int64, 0, n), make([]float64, 0, n)
	for b = jsonBlank(b[1:]); len(b) > 0 && b[0] == '"'; {
		end := bytes.IndexByte(b[1:], '"')
		key := b[1 : 1+max(end, 0)]
		switch {
		case end == 3 && isLetter(key[0]):
			return climatologyError()
		case end != 8 && end != 10 || !allDigits(key):
			if end == 6 && allDigits(key) {
				return &ReadError{Reason: "the answer holds monthly means, which are too smooth for a distribution of wind speeds",
					Remedy: "ask the service for hourly data"}
			}
			return bad(clip(key) + " is no stamp")
		case l.digits == 0:
			l.digits = end
		case l.digits != end:
			return bad("its stamps are of different kinds")
		}
		high, _ := digits(key[:8])
		k := int64(high)
		if end == 10 {
			k = k*100 + int64(two(key[8:]))
		}
		b = jsonBlank(b[end+2:])
		b = jsonBlank(b[1:]) // the colon
		stop := bytes.IndexAny(b, ",}")
		if stop < 0 {
			return bad("it does not end")
		}
		text := bytes.TrimRight(b[:stop], " \t\r\n")
		v, ok := number(text, '.')
		if !ok {
			if string(text) != "null" {
				return bad(clip(text) + " is no number")
			}
			v = math.NaN()
		}
		l.keys, l.values = append(l.keys, k), append(l.values, v)
		b = jsonBlank(b[stop+1:])
	}
	return nil
}

// jsonBlank cuts blanks off the beginning.
func jsonBlank(b []byte) []byte {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\n' || b[0] == '\r' || b[0] == '\t') {
		b = b[1:]
	}
	return b
}

// unionKeys lists the stamps of all parameters: those of the first, when all agree.
func unionKeys(lists []powerList) []int64 {
	same := true
	for i := range lists {
		same = same && slices.Equal(lists[i].keys, lists[0].keys)
	}
	if same {
		return lists[0].keys
	}
	var all []int64
	for i := range lists {
		all = append(all, lists[i].keys...)
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// onto lays the values over the stamps, NaN where there is none.
func (l *powerList) onto(keys []int64, ch *channel, fill float64) []float64 {
	at := map[int64]int{}
	aligned := len(l.keys) == len(keys) && slices.Equal(l.keys, keys)
	if !aligned {
		for i, k := range l.keys {
			at[k] = i
		}
	}
	out := make([]float64, len(keys))
	for i, k := range keys {
		j, ok := i, true
		if !aligned {
			j, ok = at[k]
		}
		out[i] = math.NaN()
		if !ok || math.IsNaN(l.values[j]) || l.values[j] == fill {
			ch.missing++
			continue
		}
		if v := l.values[j]; v <= ch.below && ch.isCode(v) {
			ch.missing++
		} else {
			out[i], _ = ch.take(v)
		}
	}
	return out
}

// powerStamps makes the rows' stamps of the keys.
func (t *table) powerStamps(rep *Report, keys []int64, digits int) error {
	stamps := make([]int64, len(keys))
	for i, k := range keys {
		rep.Rows++
		hour := int64(0)
		if digits == 10 {
			hour, k = k%100, k/100
		}
		y, m, d := int(k/10000), int(k/100%100), int(k%100)
		if !realDate(y, m, d) || hour > 23 {
			stamps[i] = noStamp
			if rep.counts(ProblemStamp) {
				rep.keep(i+1, 0, "", ProblemStamp, fmt.Sprintf("%d is no date and hour; its values are left out", keys[i]))
			}
			continue
		}
		stamps[i] = daysFromCivil(y, m, d)*secondsPerDay + hour*3600
	}
	t.stamps, t.rows = chunks[int64]{last: stamps}, len(stamps)
	t.lines.note(0, 1)
	return nil
}

package ingest

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// Stamps whose date order is open are kept packed: a mark, the three numbers as written, and the seconds, which an
// offset from UTC may have made negative.
const (
	packedMark  = 1 << 62
	packedBias  = 2 * secondsPerDay
	bitsSeconds = 19
	bitsNumber  = 14
	noStamp     = math.MinInt64
)

func pack(a, b, c int, seconds int64) int64 {
	return packedMark | int64(a)<<(bitsSeconds+2*bitsNumber) | int64(b)<<(bitsSeconds+bitsNumber) | int64(c)<<bitsSeconds |
		(seconds + packedBias)
}

// unpack gives the stamp in seconds in the given order, noStamp when that is no date.
func unpack(p int64, order dateOrder) int64 {
	const mask = 1<<bitsNumber - 1
	a, b, c := p>>(bitsSeconds+2*bitsNumber)&mask, p>>(bitsSeconds+bitsNumber)&mask, p>>bitsSeconds&mask
	y, m, d := arrange(order, int(a), int(b), int(c))
	if y = fullYear(y); !realDate(y, m, d) {
		return noStamp
	}
	return daysFromCivil(y, m, d)*secondsPerDay + p&(1<<bitsSeconds-1) - packedBias
}

// arrange sorts the three numbers of a date.
func arrange(order dateOrder, a, b, c int) (year, month, day int) {
	switch order {
	case orderDMY:
		return c, b, a
	case orderMDY:
		return c, a, b
	default:
		return a, b, c
	}
}

var orderWords = [...]string{orderYMD: "year/month/day", orderDMY: "day/month/year", orderMDY: "month/day/year"}

// settleOrder chooses the order of dates that can be read in several, from all of them together: the order that fits
// the most dates; if several do, the one in which the stamps run evenly; if that leaves a choice, day first.
func (c *clock) settleOrder(raw []int64, rep *Report) {
	if !c.packed {
		return
	}
	var fits []dateOrder
	for o := orderYMD; o <= orderMDY; o++ {
		switch {
		case len(fits) == 0 || c.misfits[o] < c.misfits[fits[0]]:
			fits = append(fits[:0], o)
		case c.misfits[o] == c.misfits[fits[0]]:
			fits = append(fits, o)
		}
	}
	best := fits[0]
	if len(fits) > 1 {
		best = c.evenOrder(fits, raw, rep)
	}
	for i, p := range raw {
		if p&packedMark != 0 && p > 0 {
			raw[i] = unpack(p, best)
		}
	}
	c.order = best
}

// evenOrder chooses among orders by how evenly the stamps run and, where they draw, by the shorter record: a wrong
// order scatters days over years.
func (c *clock) evenOrder(fits []dateOrder, raw []int64, rep *Report) dateOrder {
	best, most, shortest, tied := fits[0], -1, int64(0), false
	for _, o := range fits {
		n, span := evenSteps(raw, o)
		switch {
		case n > most || n == most && span < shortest:
			best, most, shortest, tied = o, n, span, false
		case n == most && span == shortest:
			tied = true
		}
	}
	if !tied {
		rep.assume("dates are read as %s, because the stamps run evenly that way; set date_order if that is wrong", orderWords[best])
		return best
	}
	best = orderDMY
	if c.halfDay {
		best = orderMDY // AM and PM are at home where the month comes first
	}
	rep.assume("dates could be read in several orders: they are read as %s; set date_order if that is wrong", orderWords[best])
	return best
}

// evenSteps counts the steps that equal the one before, among the first stamps, in a given order of dates, and how much
// time the stamps span.
func evenSteps(raw []int64, order dateOrder) (even int, span int64) {
	var last, step int64
	first, final := int64(math.MaxInt64), int64(math.MinInt64)
	for i, p := range raw[:min(len(raw), 50_000)] {
		t := p
		if p&packedMark != 0 && p > 0 {
			t = unpack(p, order)
		}
		if t == noStamp {
			continue
		}
		if d := t - last; i > 1 && d == step && d > 0 {
			even++
		}
		step, last = t-last, t
		first, final = min(first, t), max(final, t)
	}
	return even, final - first
}

// timeLayout is Options.TimeLayout, understood.
type timeLayout struct {
	form   timeForm
	layout string // of package time; empty: none was given
	zoned  bool
}

// newTimeLayout understands unix, unix_ms, spreadsheet, patterns such as YYYY-MM-DD hh:mm, and layouts of package time.
func newTimeLayout(s string) (timeLayout, error) {
	switch s {
	case "":
		return timeLayout{}, nil
	case "unix":
		return timeLayout{form: unixTime}, nil
	case "unix_ms":
		return timeLayout{form: unixMSTime}, nil
	case "spreadsheet":
		return timeLayout{form: sheetTime}, nil
	}
	layout := s
	if !strings.Contains(s, "06") {
		layout = patternLayout(s)
	}
	if !strings.Contains(layout, "06") {
		return timeLayout{}, fmt.Errorf("%q names no year; write it with YYYY, MM, DD, hh, mm, ss, AP, such as DD.MM.YYYY hh:mm", s)
	}
	return timeLayout{form: layoutTime, layout: layout,
		zoned: strings.Contains(layout, "Z07") || strings.Contains(layout, "-07")}, nil
}

// patternLayout turns YYYY-MM-DD hh:mm into package time's 2006-01-02 15:04.
func patternLayout(s string) string {
	hour, shortHour := "15", "15"
	if strings.Contains(s, "AP") {
		hour, shortHour = "03", "3"
	}
	return strings.NewReplacer(
		"YYYY", "2006", "yyyy", "2006", "YY", "06", "yy", "06", "MMM", "Jan", "MM", "01", "M", "1", "DD", "02", "dd", "02", "D", "2",
		"hh", hour, "HH", hour, "h", shortHour, "H", shortHour, "mm", "04", "ss", "05", "AP", "PM", "Z", "Z07:00",
	).Replace(s)
}

// byLayout reads a stamp by the user's layout; date and time in two columns are joined by a blank.
func (c *clock) byLayout(l *lexer) (raw int64, bad int) {
	text := string(trim(l.field(c.date)))
	if c.time >= 0 {
		text += " " + string(trim(l.field(c.time)))
	}
	t, err := time.ParseInLocation(c.layout.layout, text, time.UTC)
	if err != nil || t.Year() < 1800 || t.Year() > 2200 {
		return 0, c.date
	}
	_, offset := t.Zone()
	s := stamp{order: orderYMD, a: t.Year(), b: int(t.Month()), c: t.Day(), timed: true, zoned: c.layout.zoned, offset: offset,
		seconds: t.Hour()*3600 + t.Minute()*60 + t.Second()}
	if raw, ok := c.place(&s); ok {
		return raw, -1
	}
	return 0, c.date
}

package ingest

import "math"

// timeForm says how the column of the time of day, or the one column that is all of the stamp, is written.
type timeForm uint8

const (
	textTime   timeForm = iota // 14:30
	hourTime                   // 14
	hhmmTime                   // 1430, 5 for 00:05
	unixTime                   // seconds since 1970
	unixMSTime                 // milliseconds since 1970
	sheetTime                  // days since the end of 1899, as spreadsheets count
	layoutTime                 // by Options.TimeLayout
)

// clock makes a stamp of a row: Unix seconds where the stamps carry an offset from UTC, else the file's own clock
// counted as if it were UTC. Fields are column indices, −1 for none.
type clock struct {
	form   timeForm
	date   int // the date's text, or the whole stamp's
	time   int // the time of day
	year   int
	month  int
	day    int
	yday   int
	hour   int
	minute int
	second int
	layout timeLayout
	order  dateOrder // of dates whose text does not tell

	zoned        int // 1: stamps carry an offset, −1: they do not, 0: none seen
	least, most  int // of the offsets seen, s
	misfits      [4]int64
	packed       bool // some stamps wait for the order
	shortYears   bool
	halfDay      bool
	day24, hour0 bool // whether 24:00 and 00:00 occur
	timed        bool // whether any time of day was written

	isoDay  [10]byte // date read last, for rows of the same day
	isoDays int64
}

func newClock() clock {
	return clock{date: -1, time: -1, year: -1, month: -1, day: -1, yday: -1, hour: -1, minute: -1, second: -1}
}

// fields lists the columns that make the stamp.
func (c *clock) fields() []int {
	var out []int
	for _, f := range [...]int{c.date, c.time, c.year, c.month, c.day, c.yday, c.hour, c.minute, c.second} {
		if f >= 0 {
			out = append(out, f)
		}
	}
	return out
}

// at reads the stamp of the row in l. bad is the column that cannot be read, −1 when all is well.
func (c *clock) at(l *lexer) (raw int64, bad int) {
	switch c.form {
	case unixTime, unixMSTime, sheetTime:
		v, ok := number(l.field(c.date), '.')
		if !ok {
			return 0, c.date
		}
		if raw, ok = c.numeric(v); !ok {
			return 0, c.date
		}
		return raw, -1
	case layoutTime:
		return c.byLayout(l)
	}
	if c.date >= 0 && c.time < 0 && c.hour < 0 {
		b := trim(l.field(c.date))
		if raw, ok := c.iso(b); ok {
			return raw, -1
		}
		s, ok := parseStamp(b)
		if !ok || s.order == orderYMD && !realDate(fullYear(s.a), s.b, s.c) {
			return 0, c.date
		}
		if raw, ok = c.place(&s); !ok {
			return 0, c.date
		}
		return raw, -1
	}
	return c.assembled(l)
}

// iso is the fast path for 2006-01-02 15:04, with T or blank, seconds and Z as they come.
func (c *clock) iso(b []byte) (int64, bool) {
	n := len(b)
	if n < 16 || n > 20 || b[13] != ':' || b[10] != ' ' && b[10] != 'T' {
		return 0, false
	}
	if b[n-1] == 'Z' {
		if c.zoned <= 0 || c.least > 0 || c.most < 0 {
			return 0, false // the slow path notes what is new
		}
		n--
	} else if c.zoned >= 0 {
		return 0, false
	}
	if string(b[:10]) != string(c.isoDay[:]) {
		if b[4] != b[7] || b[4] != '-' && b[4] != '/' {
			return 0, false
		}
		y, m, d := two(b)*100+two(b[2:]), two(b[5:]), two(b[8:])
		if !realDate(y, m, d) {
			return 0, false
		}
		copy(c.isoDay[:], b)
		c.isoDays = daysFromCivil(y, m, d)
	}
	h, m, s := two(b[11:]), two(b[14:]), 0
	switch {
	case n == 16:
	case n == 19 && b[16] == ':':
		s = two(b[17:])
	default:
		return 0, false
	}
	if h > 23 || m > 59 || s > 59 {
		return 0, false
	}
	if h == 0 {
		c.hour0 = true
	}
	return c.isoDays*secondsPerDay + int64(h*3600+m*60+s), true
}

// place turns a parsed stamp into seconds, or packs it while the order of its date is open.
func (c *clock) place(s *stamp) (int64, bool) {
	if !c.zone(s) {
		return 0, false
	}
	c.note(s.seconds, s.timed)
	c.halfDay = c.halfDay || s.halfDay
	seconds := int64(s.seconds - s.offset)
	order := s.order
	if order == anyOrder {
		c.tally(s)
		if order = c.order; order == anyOrder {
			c.packed = true
			return pack(s.a, s.b, s.c, seconds), true
		}
	}
	y, m, d := arrange(order, s.a, s.b, s.c)
	if y < 100 {
		c.shortYears = true
		y = fullYear(y)
	}
	if !realDate(y, m, d) {
		return 0, false
	}
	return daysFromCivil(y, m, d)*secondsPerDay + seconds, true
}

// zone notes an offset from UTC and refuses a mixture of stamps with and without.
func (c *clock) zone(s *stamp) bool {
	switch {
	case c.zoned == 0 && s.zoned:
		c.zoned, c.least, c.most = 1, s.offset, s.offset
	case c.zoned == 0:
		c.zoned = -1
	case s.zoned != (c.zoned > 0):
		return false
	case s.zoned:
		c.least, c.most = min(c.least, s.offset), max(c.most, s.offset)
	}
	return true
}

// note remembers how midnight is written, which tells stamps at the end of a step.
func (c *clock) note(seconds int, timed bool) {
	c.timed = c.timed || timed
	if timed && seconds < 3600 {
		c.hour0 = true
	}
	if seconds == secondsPerDay {
		c.day24 = true
	}
}

// tally counts, for each order, the dates that cannot be read in it.
func (c *clock) tally(s *stamp) {
	dayMonth := func(d, m int) int64 {
		if d < 1 || d > 31 || m < 1 || m > 12 {
			return 1
		}
		return 0
	}
	c.misfits[orderDMY] += dayMonth(s.a, s.b)
	c.misfits[orderMDY] += dayMonth(s.b, s.a)
	if s.c > 31 {
		c.misfits[orderYMD]++
	} else {
		c.misfits[orderYMD] += dayMonth(s.c, s.b)
	}
}

// assembled joins a stamp that is spread over columns.
func (c *clock) assembled(l *lexer) (raw int64, bad int) {
	var (
		s  stamp
		ok bool
	)
	if c.date >= 0 {
		if s, ok = parseStamp(l.field(c.date)); !ok {
			return 0, c.date
		}
	} else {
		if s, bad = c.datePart(l); bad >= 0 {
			return 0, bad
		}
	}
	switch {
	case c.time >= 0:
		if !c.timeOfDay(l.field(c.time), &s) {
			return 0, c.time
		}
	case c.hour >= 0:
		if bad = c.hourPart(l, &s); bad >= 0 {
			return 0, bad
		}
	}
	if raw, ok = c.place(&s); !ok {
		return 0, max(c.date, c.day, c.yday)
	}
	return raw, -1
}

// datePart takes the date from columns of year, month and day, or year and day of the year.
func (c *clock) datePart(l *lexer) (s stamp, bad int) {
	var ok bool
	s.order = orderYMD
	if s.a, ok = whole(l.field(c.year)); !ok {
		return s, c.year
	}
	if c.yday >= 0 {
		n, ok := whole(l.field(c.yday))
		y := fullYear(s.a)
		if !ok || n < 1 || n > 366 || n == 366 && !leapYear(y) || y > 2200 {
			return s, c.yday
		}
		s.a, s.b, s.c = civilFromDays(daysFromCivil(y, 1, 1) + int64(n-1))
		return s, -1
	}
	s.b, s.c = 1, 1
	if c.month >= 0 {
		if s.b, ok = whole(l.field(c.month)); !ok {
			var rest []byte
			if s.b, rest = monthNamed(trim(l.field(c.month))); s.b == 0 || len(rest) > 0 {
				return s, c.month
			}
		}
	}
	if c.day >= 0 {
		if s.c, ok = whole(l.field(c.day)); !ok {
			return s, c.day
		}
	}
	return s, -1
}

// timeOfDay reads the time's own column into s.
func (c *clock) timeOfDay(b []byte, s *stamp) bool {
	b = trim(b)
	s.timed = true
	switch c.form {
	case hourTime, hhmmTime:
		n, ok := whole(b)
		if !ok || n > 9999 {
			return false
		}
		h, m := n, 0
		if c.form == hhmmTime {
			h, m = n/100, n%100
		}
		s.seconds = h*3600 + m*60
		return goodTime(h, m, 0)
	}
	seconds, halfDay, rest, ok := parseTime(b)
	if ok && len(trim(rest)) > 0 {
		s.offset, rest, ok = parseZone(trim(rest))
		s.zoned = true
	}
	s.seconds, s.halfDay = seconds, halfDay
	return ok && len(rest) == 0
}

// hourPart reads the columns of hour, minute and second into s.
func (c *clock) hourPart(l *lexer, s *stamp) (bad int) {
	var hms [3]int
	for i, f := range [...]int{c.hour, c.minute, c.second} {
		if f < 0 {
			continue
		}
		var ok bool
		if hms[i], ok = whole(l.field(f)); !ok {
			return f
		}
	}
	if !goodTime(hms[0], hms[1], hms[2]) {
		return c.hour
	}
	s.timed = true
	s.seconds = hms[0]*3600 + hms[1]*60 + hms[2]
	return -1
}

// join notes what a clock that began as this one has seen since, none of it of the other kind as to offsets.
func (c *clock) join(next *clock) {
	switch {
	case c.zoned == 0:
		c.zoned, c.least, c.most = next.zoned, next.least, next.most
	case next.zoned > 0:
		c.least, c.most = min(c.least, next.least), max(c.most, next.most)
	}
	for i, n := range next.misfits {
		c.misfits[i] += n
	}
	c.packed, c.shortYears, c.halfDay = c.packed || next.packed, c.shortYears || next.shortYears, c.halfDay || next.halfDay
	c.day24, c.hour0, c.timed = c.day24 || next.day24, c.hour0 || next.hour0, c.timed || next.timed
}

// numeric turns a count of seconds, milliseconds or spreadsheet days into seconds.
func (c *clock) numeric(v float64) (int64, bool) {
	switch c.form {
	case unixMSTime:
		v /= 1000
	case sheetTime:
		// Day 25569 is 1970-01-01. A day's fraction is rounded in the sheet, so a second's breadth off a full minute is it.
		v = math.Round((v - 25569) * secondsPerDay)
		if m := math.Round(v/60) * 60; math.Abs(v-m) <= 1 {
			v = m
		}
	}
	v = math.Floor(v)
	if !(v > -5.4e9 && v < 7.3e9) { // 1800 to 2200
		return 0, false
	}
	c.timed = true
	if c.form != sheetTime && c.zoned == 0 {
		c.zoned = 1
	}
	return int64(v), true
}

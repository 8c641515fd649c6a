package ingest

import "bytes"

// dateOrder is the order of year, month and day in a date written with numbers.
type dateOrder uint8

const (
	anyOrder dateOrder = iota // not known, or not yet
	orderYMD
	orderDMY
	orderMDY
)

var dateOrders = map[string]dateOrder{"": anyOrder, "ymd": orderYMD, "dmy": orderDMY, "mdy": orderMDY}

// stamp is a date and perhaps a time as written. The numbers of the date are not sorted into year, month and day where
// the text alone does not tell them apart.
type stamp struct {
	a, b, c int
	order   dateOrder // orderYMD: a, b, c are year, month, day; orderDMY: day, month, year; anyOrder: not told
	seconds int       // of the day, 0 to 86400
	timed   bool      // a time was written
	halfDay bool      // with AM or PM
	zoned   bool      // an offset from UTC was written
	offset  int       // s
}

// parseStamp reads a date, alone or with a time. ok is false when the text is neither, or has more in it.
//
// Dates: 2023-05-31, 31.5.2023, 5/31/23 and the like with any of - / . as the separator; 31-May-2023, May 31, 2023;
// 20230531, 2023053114, 202305311400, 20230531140000. Times follow after a blank, a T or an underscore; see parseTime.
func parseStamp(b []byte) (s stamp, ok bool) {
	b = trim(b)
	if len(b) < 6 || len(b) > 48 {
		return s, false
	}
	var rest []byte
	if isLetter(b[0]) {
		rest, ok = s.monthFirst(b)
	} else {
		rest, ok = s.date(b)
	}
	if !ok {
		return s, false
	}
	if len(rest) == 0 {
		return s, true
	}
	if !s.timed { // the compact forms have read their time already
		switch rest[0] {
		case ' ', 'T', 't', '_', ',', ';':
			rest = trim(rest[1:])
		default:
			return s, false
		}
		s.seconds, s.halfDay, rest, ok = parseTime(rest)
		if !ok {
			return s, false
		}
		s.timed = true
	}
	if rest = trim(rest); len(rest) > 0 {
		s.offset, rest, ok = parseZone(rest)
		s.zoned = true
	}
	return s, ok && len(rest) == 0
}

// date reads the numeric forms and those with a month's name in the middle.
func (s *stamp) date(b []byte) (rest []byte, ok bool) {
	run := 0
	for run < len(b) && b[run]-'0' <= 9 {
		run++
	}
	switch {
	case run >= 8 && run <= 14 && run%2 == 0:
		return b[run:], s.compact(b[:run])
	case run < 1 || run > 4 || run == len(b):
		return nil, false
	}
	s.a, _ = digits(b[:run])
	sep := b[run]
	if sep != '-' && sep != '/' && sep != '.' && sep != ' ' {
		return nil, false
	}
	rest = b[run+1:]
	if sep == '.' || sep == ' ' {
		rest = trim(rest)
	}
	if len(rest) > 0 && isLetter(rest[0]) {
		return s.monthMiddle(rest, sep)
	}
	if sep == ' ' {
		return nil, false
	}
	before := rest
	s.b, rest = digits(rest)
	if n := len(before) - len(rest); n < 1 || n > 2 || len(rest) == 0 || rest[0] != sep {
		return nil, false
	}
	before = trim(rest[1:])
	s.c, rest = digits(before)
	last := len(before) - len(rest)
	switch {
	case run == 4 && s.a < 100 || last == 4 && s.c < 100:
		return nil, false // 0099 is no short way to write a year
	case run == 4 && (last == 1 || last == 2):
		s.order = orderYMD
	case run > 2 || last != 4 && last != 2 && last != 1:
		return nil, false
	case last == 1:
		s.order = orderYMD // 23/5/1: a year is written with two digits
	}
	return rest, true
}

// compact reads a run of digits.
func (s *stamp) compact(b []byte) bool {
	s.order = orderYMD
	s.a, s.b, s.c = two(b)*100+two(b[2:]), two(b[4:]), two(b[6:])
	if len(b) == 8 {
		return true
	}
	var hms [3]int
	for i := 8; i < len(b); i += 2 {
		hms[i/2-4] = two(b[i:])
	}
	s.timed = true
	s.seconds = hms[0]*3600 + hms[1]*60 + hms[2]
	return goodTime(hms[0], hms[1], hms[2])
}

// monthMiddle reads the rest of 31-May-2023 from the month on.
func (s *stamp) monthMiddle(b []byte, sep byte) (rest []byte, ok bool) {
	s.b, rest = monthNamed(b)
	if s.b == 0 || len(rest) == 0 || rest[0] != sep && rest[0] != '.' && rest[0] != ',' {
		return nil, false
	}
	before := trim(rest[1:])
	s.c, rest = digits(before)
	n := len(before) - len(rest)
	if s.a > 99 { // 2023-May-31
		s.order = orderYMD
		return rest, n == 1 || n == 2
	}
	s.order = orderDMY
	return rest, n == 2 || n == 4
}

// monthFirst reads May 31, 2023.
func (s *stamp) monthFirst(b []byte) (rest []byte, ok bool) {
	s.b, rest = monthNamed(b)
	if s.b == 0 {
		return nil, false
	}
	before := bytes.TrimLeft(rest, " .-/")
	s.a, rest = digits(before)
	if n := len(before) - len(rest); n < 1 || n > 2 || len(rest) == 0 {
		return nil, false
	}
	before = bytes.TrimLeft(rest, " ,-/")
	s.c, rest = digits(before)
	s.order = orderDMY
	return rest, len(before)-len(rest) == 4
}

// parseTime reads 14:30, 2:30 PM, 14:30:05.25 and, with a date before it, 1430. 24:00 is the day's end. Fractions of a
// second are cut off.
func parseTime(b []byte) (seconds int, halfDay bool, rest []byte, ok bool) {
	h, rest := digits(b)
	var m, s int
	switch n := len(b) - len(rest); {
	case n == 4 || n == 6:
		h, m = two(b), two(b[2:])
		if n == 6 {
			s = two(b[4:])
		}
	case n < 1 || n > 2 || len(rest) < 3 || rest[0] != ':':
		return 0, false, nil, false
	default:
		if m = two(rest[1:]); m > 59 {
			return 0, false, nil, false
		}
		if rest = rest[3:]; len(rest) >= 3 && rest[0] == ':' {
			s = two(rest[1:])
			rest = rest[3:]
		}
	}
	if len(rest) > 1 && (rest[0] == '.' || rest[0] == ',') && rest[1]-'0' <= 9 {
		rest = bytes.TrimLeft(rest[1:], "0123456789")
	}
	if mark := trim(rest); len(mark) > 0 && (mark[0]|0x20 == 'a' || mark[0]|0x20 == 'p') {
		after := bytes.TrimPrefix(mark[1:], []byte{'.'})
		if len(after) == 0 || after[0]|0x20 != 'm' || h < 1 || h > 12 {
			return 0, false, nil, false
		}
		h %= 12
		if mark[0]|0x20 == 'p' {
			h += 12
		}
		halfDay, rest = true, bytes.TrimPrefix(after[1:], []byte{'.'})
	}
	return h*3600 + m*60 + s, halfDay, rest, goodTime(h, m, s)
}

// goodTime allows 24:00:00 and a leap second.
func goodTime(h, m, s int) bool {
	return h < 24 && m < 60 && s <= 60 || h == 24 && m == 0 && s == 0
}

// parseZone reads Z, UTC, GMT, +01:00, -0530, +2, UTC+1 and the like, and returns what follows.
func parseZone(b []byte) (offset int, rest []byte, ok bool) {
	rest = b
	for _, word := range [...]string{"UTC", "GMT", "utc", "gmt", "Z", "z"} {
		if bytes.HasPrefix(rest, []byte(word)) {
			rest, ok = rest[len(word):], true
			break
		}
	}
	if len(rest) < 2 || rest[0] != '+' && rest[0] != '-' {
		return 0, rest, ok
	}
	sign := 1
	if rest[0] == '-' {
		sign = -1
	}
	n, after := digits(rest[1:])
	h, m := n, 0
	switch len(rest) - 1 - len(after) {
	case 1, 2:
		if len(after) >= 3 && after[0] == ':' {
			m, after = two(after[1:]), after[3:]
		}
	case 4:
		h, m = n/100, n%100
	default:
		return 0, b, false
	}
	offset = sign * (h*3600 + m*60)
	return offset, after, m < 60 && goodOffset(int64(offset))
}

var monthNames = [...]string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}

// monthNamed reads an English month, short or long; 0 when there is none.
func monthNamed(b []byte) (month int, rest []byte) {
	n := 0
	for n < len(b) && isLetter(b[n]) {
		n++
	}
	if n < 3 || n > 9 {
		return 0, b
	}
	for i, name := range monthNames {
		if b[0]|0x20 == name[0] && b[1]|0x20 == name[1] && b[2]|0x20 == name[2] {
			return i + 1, b[n:]
		}
	}
	return 0, b
}

func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }

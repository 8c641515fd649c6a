package harvest

import (
	"strings"
	"time"
)

// Fineness says what a written time names.
type Fineness uint8

// What a time can name.
const (
	AMoment Fineness = iota
	ADay
	AMonth
)

// Moment is a written time: a moment, or a day or month by when it begins and ends.
type Moment struct {
	BeginUnix, EndUnix int64 // of a moment the same
	Fineness           Fineness
	Zoned              bool // it says its own offset from UTC
}

// Local times may have a T or a space before the hour. Day before month with points is DIN 1355; slashes are only taken behind a year, as
// else nobody can tell day from month.
var (
	zonedLayouts  = []string{time.RFC3339, "2006-01-02T15:04Z07:00", "2006-01-02 15:04:05Z07:00", "2006-01-02 15:04Z07:00"}
	momentLayouts = []string{"2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02 15:04", "2.1.2006 15:04:05", "2.1.2006 15:04",
		"2006/01/02 15:04:05", "2006/01/02 15:04"}
	dayLayouts   = []string{"2006-01-02", "2.1.2006", "2006/01/02"}
	monthLayouts = []string{"2006-01", "2006/01", "1.2006"}
)

// StampWords are the ways a time may be written, for who must mend one.
const StampWords = "2026-03-31T18:00:00+02:00, 2026-03-31 18:00, 2026-03-31, 31.03.2026, or 2026-03 for a month"

// The years that readings may be of.
const (
	firstYear = 1980
	lastYear  = 2200
)

// ParseStamp reads a time. One without an offset is by a clock that is utcOffsetS seconds before UTC all year. ok is false for what is none,
// and for years before 1980 or from 2200.
func ParseStamp(text string, utcOffsetS int64) (m Moment, ok bool) {
	text = strings.TrimSpace(text)
	try := func(layouts []string, f Fineness, zoned bool, end func(time.Time) time.Time) bool {
		for _, l := range layouts {
			t, err := time.Parse(l, text)
			if err != nil {
				continue
			}
			offset := utcOffsetS
			if zoned {
				offset = 0
			}
			m = Moment{t.Unix() - offset, end(t).Unix() - offset, f, zoned}
			return t.Year() >= firstYear && t.Year() < lastYear
		}
		return false
	}
	same := func(t time.Time) time.Time { return t }
	ok = try(zonedLayouts, AMoment, true, same) || try(momentLayouts, AMoment, false, same) ||
		try(dayLayouts, ADay, false, func(t time.Time) time.Time { return t.AddDate(0, 0, 1) }) ||
		try(monthLayouts, AMonth, false, func(t time.Time) time.Time { return t.AddDate(0, 1, 0) })
	return m, ok
}

// ReadAt is when a counter was read that has only a day: noon, which is off by half a day at most; a month is its end.
func (m *Moment) ReadAt() int64 {
	if m.Fineness == ADay {
		return (m.BeginUnix + m.EndUnix) / 2
	}
	return m.EndUnix
}

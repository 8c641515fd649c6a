package ingest

import "mastworth/resource"

const (
	secondsPerDay = 86400
	nominalYear   = 2001 // of a typical year: not a leap year
)

// daysFromCivil counts days from 1970-01-01 to a date of the Gregorian calendar. Months outside 1 to 12 are the
// caller's mistake; days may run over. Method: years that begin in March, eras of 400 years.
func daysFromCivil(year, month, day int) int64 {
	y := int64(year)
	if month <= 2 {
		y--
		month += 12
	}
	era := y / 400
	if y < 0 {
		era = (y - 399) / 400
	}
	yearOfEra := y - era*400
	dayOfYear := int64((153*(month-3)+2)/5 + day - 1)
	return era*146097 + yearOfEra*365 + yearOfEra/4 - yearOfEra/100 + dayOfYear - 719468
}

// civilFromDays is the inverse of daysFromCivil.
func civilFromDays(days int64) (year, month, day int) {
	days += 719468
	era := days / 146097
	if days < 0 {
		era = (days - 146096) / 146097
	}
	dayOfEra := days - era*146097
	yearOfEra := (dayOfEra - dayOfEra/1460 + dayOfEra/36524 - dayOfEra/146096) / 365
	dayOfYear := dayOfEra - (365*yearOfEra + yearOfEra/4 - yearOfEra/100)
	m := (5*dayOfYear + 2) / 153
	day = int(dayOfYear - (153*m+2)/5 + 1)
	month = int(m + 3)
	year = int(yearOfEra + era*400)
	if month > 12 {
		month -= 12
		year++
	}
	return year, month, day
}

func leapYear(y int) bool { return y%4 == 0 && (y%100 != 0 || y%400 == 0) }

var monthDays = [...]int{0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// realDate reports whether the date exists, in a year that a record of wind can be from.
func realDate(year, month, day int) bool {
	if year < 1800 || year > 2200 || month < 1 || month > 12 || day < 1 {
		return false
	}
	return day <= monthDays[month] || month == 2 && day == 29 && leapYear(year)
}

// fullYear turns a two-digit year into one from 1950 to 2049.
func fullYear(y int) int {
	switch {
	case y >= 100:
		return y
	case y < 50:
		return 2000 + y
	default:
		return 1900 + y
	}
}

// clockText writes a stamp as the file's clock shows it.
func clockText(unix int64) string {
	days := unix / secondsPerDay
	s := unix % secondsPerDay
	if s < 0 {
		days, s = days-1, s+secondsPerDay
	}
	y, m, d := civilFromDays(days)
	return string(appendStamp(nil, y, m, d, int(s)))
}

// appendStamp appends 2006-01-02 15:04, with seconds where there are any.
func appendStamp(b []byte, year, month, day, seconds int) []byte {
	pair := func(sep byte, n int) {
		if sep != 0 {
			b = append(b, sep)
		}
		b = append(b, byte('0'+n/10%10), byte('0'+n%10))
	}
	pair(0, year/100)
	pair(0, year%100)
	pair('-', month)
	pair('-', day)
	pair(' ', seconds/3600)
	pair(':', seconds/60%60)
	if seconds%60 != 0 {
		pair(':', seconds%60)
	}
	return b
}

// kindOf is the kind of a measured record with a given step.
func kindOf(stepS int64) resource.Kind {
	if stepS >= secondsPerDay/2 {
		return resource.Daily
	}
	return resource.Measured
}

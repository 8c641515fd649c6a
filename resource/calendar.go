package resource

const (
	secondsPerHour = 3600
	secondsPerDay  = 86400
)

// MonthOf is the calendar month of a Unix time, in s, at an offset from UTC, in s: 0 is January. It is made for inner
// loops: no allocation, no time zone tables. The calendar is the Gregorian one, also before its time.
func MonthOf(unix, utcOffsetS int64) int {
	_, month, _ := civil(floorDiv(unix+utcOffsetS, secondsPerDay))
	return month
}

// HourOf is the hour of the day, 0 to 23, of a Unix time, in s, at an offset from UTC, in s.
func HourOf(unix, utcOffsetS int64) int {
	t := unix + utcOffsetS
	return int((t - floorDiv(t, secondsPerDay)*secondsPerDay) / secondsPerHour)
}

// The day for IsDay, in hours of local standard time.
const (
	dayFromHour = 7
	dayToHour   = 19
)

// IsDay reports whether a Unix time, in s, at an offset from UTC, in s, falls by day: from 7 to 19 h of local standard
// time, all year. It parts the hours in which the sun stirs the air from the others, and needs no place on the map.
func IsDay(unix, utcOffsetS int64) bool {
	h := HourOf(unix, utcOffsetS)
	return h >= dayFromHour && h < dayToHour
}

// floorDiv is a/b rounded down, for b above zero.
func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// civilEras is how many times 400 years are added before the calendar is worked out without signs, and taken off after.
const civilEras = 100000

// civil turns days since 1 January 1970 into year, month (0 is January) and day of the month (1 is the first). Years
// begin in March, so that the leap day comes last. Divisions are done as multiplications (Neri & Schneider 2023, from
// memory; tested against the standard library).
func civil(days int64) (year int64, month, day int) {
	n := uint64(days + 719468 + 146097*civilEras) // since 1 March of a year 0
	century, ofCentury := (4*n+3)/146097, (4*n+3)%146097/4
	product := 2939745 * (4*ofCentury + 3)
	yearOfCentury, ofYear := product>>32, product&(1<<32-1)/2939745/4
	march := 2141*ofYear + 197913
	year, month = int64(100*century+yearOfCentury)-400*civilEras, int(march>>16)-1
	if ofYear >= 306 { // January and February
		year, month = year+1, month-12
	}
	return year, month, int(march&0xffff)/2141 + 1
}

// dayOf is the inverse of civil.
func dayOf(year int64, month, day int) int64 {
	march := int64((month + 10) % 12)
	if march >= 10 {
		year--
	}
	era := floorDiv(year, 400)
	yearOfEra := year - era*400
	ofYear := (153*march+2)/5 + int64(day) - 1
	return era*146097 + yearOfEra*365 + yearOfEra/4 - yearOfEra/100 + ofYear - 719468
}

// monthDays is the length of each calendar month, a leap year every four.
var monthDays = [12]float64{31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// span is the time a record covers in local standard time, from its first stamp to the end of its last step, s.
func (s *Series) span() (first, end int64) {
	if len(s.Times) == 0 {
		return 0, 0
	}
	return s.Times[0] + s.UTCOffsetS, s.Times[len(s.Times)-1] + s.UTCOffsetS + s.StepS
}

// monthTime is the time a calendar month, 0 to 11, has between two local times, over all years, s.
func monthTime(month int, first, end int64) int64 {
	if end <= first {
		return 0
	}
	from, _, _ := civil(floorDiv(first, secondsPerDay))
	to, _, _ := civil(floorDiv(end, secondsPerDay))
	sum := int64(0)
	for year := from; year <= to; year++ {
		begins := dayOf(year, month, 1) * secondsPerDay
		ends := dayOf(year+int64(month/11), (month+1)%12, 1) * secondsPerDay
		sum += max(0, min(ends, end)-max(begins, first))
	}
	return sum
}

// hourTime is the time an hour of the day, 0 to 23, has between two local times, s.
func hourTime(hour int, first, end int64) int64 {
	until := func(t int64) int64 {
		days := floorDiv(t, secondsPerDay)
		ofDay := t - days*secondsPerDay
		return days*secondsPerHour + min(max(ofDay-int64(hour)*secondsPerHour, 0), secondsPerHour)
	}
	return max(0, until(end)-until(first))
}

package resource

import (
	"fmt"
	"math"
	"math/cmplx"
	"time"
)

// How clock shifts are found. Each day's course is boiled down to the first harmonic of its hourly means, a pointer whose
// angle tells at what hour the day peaks. The sum of the pointers of some weeks before a midnight is compared with that of
// the weeks after; the angle between them is the shift, and the scatter of the pointers gives its standard error. The
// midnight with the clearest shift parts the record, and each part is searched anew. Seasons move the hour of the peak
// too, but slowly; and the course itself, shifted back, must fit better than as it is. Judgement, checked against public
// records as they are and with an hour put in.
var clockLimits = []Limit{
	{"clock_shift.smallest_h", 0.75, "h", 0.25, 12, "smallest shift reported"},
	{"clock_shift.standard_errors_sun", 5, "", 2, 100, "how many standard errors the shift must be away from none, by the sun"},
	{"clock_shift.standard_errors_air", 5.5, "", 2, 100, "the same by temperature or speed, whose pattern a sea breeze can shift"},
	{"clock_shift.window_days", 30, "d", 10, 180, "days compared on either side; twice as many where they cannot tell"},
	{"clock_shift.correlation", 0.9, "", 0, 1, "correlation of the mean day before with the mean day after, shifted back, at least"},
	{"clock_shift.pattern", 0.5, "", 0.1, 1, "how alike days must be for their sun or temperature to be used: 1 for all the same, 0 for none"},
	{"clock_shift.pattern_speed", 0.7, "", 0.1, 1, "the same for their speed, which seldom is"},
}

// The places of clockLimits.
const (
	clockSmallest = iota
	clockErrorsSun
	clockErrorsAir
	clockWindow
	clockCorrelation
	clockPattern
	clockPatternSpeed
)

const (
	clockFewestDays  = 10 // on either side
	clockFewestHours = 20 // a day needs; the rest is interpolated
	hoursPerDay      = 24
	hoursPerRadian   = hoursPerDay / (2 * math.Pi)
)

// courseDay is the course of a quantity over one day of local standard time.
type courseDay struct {
	day      int64 // since 1970
	from, to int   // rows
	mean     float64
	hours    [hoursPerDay]float64 // less the mean
	pointer  complex128           // first harmonic of hours, the trend from day to day taken off
}

// findClockShift looks at the channel with the strongest daily pattern. A typical year is made of months of many years,
// and only its noon is looked at.
func findClockShift(x *screening) {
	findClockNights(x)
	s := x.s
	if s.StepS <= 0 || s.StepS > secondsPerHour {
		return
	}
	for _, by := range [...]struct {
		quantity        Quantity
		pattern, errors int
	}{
		{GlobalHorizontal, clockPattern, clockErrorsSun}, {Temperature, clockPattern, clockErrorsAir}, {Speed, clockPatternSpeed, clockErrorsAir},
	} {
		i := s.Find(by.quantity, math.NaN())
		if i < 0 {
			continue
		}
		days := s.course(&s.Channels[i])
		if len(days) < 2*clockFewestDays || patternOf(days) < x.limits[by.pattern] {
			continue
		}
		found := 0
		if s.Kind != TypicalYear {
			c := newClock(x, days, x.limits[by.errors])
			c.search(0, len(days))
			c.tell(&s.Channels[i])
			found = len(c.found)
		}
		if by.quantity == GlobalHorizontal && found == 0 {
			x.noon(i, days)
		}
		return
	}
}

// course gathers the days of a channel that have enough hours.
func (s *Series) course(c *Channel) []courseDay {
	var out []courseDay
	var sum [hoursPerDay]float64
	var n [hoursPerDay]int
	begin, from := int64(math.MinInt64), 0
	flush := func(to int) {
		if d, ok := dayCourse(&sum, &n); ok && to > from {
			d.day, d.from, d.to = floorDiv(begin, secondsPerDay), from, to-1
			out = append(out, d)
		}
		sum, n = [hoursPerDay]float64{}, [hoursPerDay]int{}
	}
	for r, t := range s.Times {
		t += s.UTCOffsetS
		if t-begin >= secondsPerDay || t < begin || r == 0 {
			flush(r)
			begin, from = floorDiv(t, secondsPerDay)*secondsPerDay, r
		}
		if c.Usable(r) {
			h := uint64(t-begin) / secondsPerHour
			sum[h] += c.Values[r]
			n[h]++
		}
	}
	flush(len(s.Times))
	trendOff(out)
	return out
}

// dayCourse makes a day of the sums over its hours; hours that are missing are interpolated.
func dayCourse(sum *[hoursPerDay]float64, n *[hoursPerDay]int) (d courseDay, ok bool) {
	known := 0
	for h := range sum {
		if n[h] > 0 {
			known++
			d.hours[h] = sum[h] / float64(n[h])
		}
	}
	if known < clockFewestHours {
		return d, false
	}
	before := -1
	for h := 0; h <= hoursPerDay; h++ {
		if h < hoursPerDay && n[h] == 0 {
			continue
		}
		for k := before + 1; k < h; k++ { // a line across, level at the ends of the day
			switch {
			case before < 0:
				d.hours[k] = d.hours[h]
			case h == hoursPerDay:
				d.hours[k] = d.hours[before]
			default:
				d.hours[k] = d.hours[before] + (d.hours[h]-d.hours[before])*float64(k-before)/float64(h-before)
			}
		}
		before = h
	}
	for _, v := range d.hours {
		d.mean += v / hoursPerDay
	}
	for h := range d.hours {
		d.hours[h] -= d.mean
		d.pointer += complex(d.hours[h], 0) * turns[h]
	}
	return d, true
}

// turns are the pointers of the hours.
var turns = func() (out [hoursPerDay]complex128) {
	for h := range out {
		out[h] = cmplx.Rect(1, -float64(h)/hoursPerRadian)
	}
	return out
}()

// trendOff takes off each day's pointer what a steady rise from the day before to the day after puts into it.
func trendOff(days []courseDay) {
	rise := complex(0, 0)
	for h := range turns {
		rise += complex(float64(h)-(hoursPerDay-1)/2.0, 0) * turns[h]
	}
	for k := 1; k+1 < len(days); k++ {
		if days[k+1].day-days[k-1].day == 2 {
			days[k].pointer -= rise * complex((days[k+1].mean-days[k-1].mean)/(2*hoursPerDay), 0)
		}
	}
}

// patternOf is how alike the days are: the length of the mean pointer over the mean length of the pointers.
func patternOf(days []courseDay) float64 {
	sum, length := complex(0, 0), 0.0
	for i := range days {
		sum += days[i].pointer
		length += cmplx.Abs(days[i].pointer)
	}
	if length == 0 {
		return 0
	}
	return cmplx.Abs(sum) / length
}

// noon reports a record whose sun stands highest at another hour than the place's longitude says. The equation of time,
// up to 16 minutes, averages out over a year; over a part of one it stays below what is reported.
func (x *screening) noon(channel int, days []courseDay) {
	s := x.s
	if s.Place == nil {
		return
	}
	sum := complex(0, 0)
	for i := range days {
		sum += days[i].pointer
	}
	at := -cmplx.Phase(sum)*hoursPerRadian + 0.5 // the middle of the first hour is at 0:30
	want := hoursPerDay/2 + float64(s.UTCOffsetS)/secondsPerHour - s.Place.Point.Lon()/15
	off := math.Remainder(at-want, hoursPerDay)
	if !(math.Abs(off) >= x.limits[clockSmallest]) {
		return
	}
	x.report(-1, 0, len(s.Times)-1, len(s.Times), fmt.Sprintf(
		"by %q the sun stands highest at %.2f h, but at longitude %.2f° and UTC%+.3g h it should at %.2f h: the clock is %+.2f h off, or the place or the offset from UTC is wrong",
		s.Channels[channel].Name, math.Mod(at+hoursPerDay, hoursPerDay), s.Place.Point.Lon(), float64(s.UTCOffsetS)/secondsPerHour,
		math.Mod(want+2*hoursPerDay, hoursPerDay), off))
}

// clockDate names a day.
func clockDate(day int64) string {
	return time.Unix(day*secondsPerDay, 0).UTC().Format("2 January 2006")
}

package extreme

import (
	"cmp"
	"math"
	"slices"
	"time"

	"mastworth/resource"
)

const (
	secondsPerDay  = 86400
	secondsPerYear = 365.2425 * secondsPerDay
)

// Maximum is the largest speed of a year or of a storm.
type Maximum struct {
	Year         int     // calendar year of local standard time
	SpeedMS      float64 // mean over the record's step, m/s
	AtUnix       int64   // when that step begins
	Completeness float64 // share of the whole calendar year that usable speeds cover, 0 to 1
}

// FewestOfYear is the share of a calendar year that usable speeds must cover for its maximum to count: 0.8.
const FewestOfYear = 0.8

// AnnualMaxima are the largest usable speeds of the calendar years of local standard time that are at least 80 % complete,
// the earliest first. Calendar years serve both hemispheres alike and are what published tables use; that a storm over New
// Year can count in two of them is seen from AtUnix, and FiftyYear warns of it. Years of a record that are not real years
// (resource.TypicalYear) give none. It panics for a place that is not in s.Channels.
func AnnualMaxima(s *resource.Series, channel int) []Maximum {
	if s.Kind == resource.TypicalYear {
		return nil
	}
	var out []Maximum
	for _, y := range yearsOf(s, &s.Channels[channel]) {
		if y.Completeness >= FewestOfYear {
			out = append(out, y)
		}
	}
	return out
}

// covered is the time step i stands for, s: to the next stamp, at most the record's step.
func covered(s *resource.Series, i int) int64 {
	if i+1 < len(s.Times) {
		return min(s.StepS, s.Times[i+1]-s.Times[i])
	}
	return s.StepS
}

// usable reports whether value i is a finite speed of zero or more that is not flagged.
func usable(c *resource.Channel, i int) bool {
	return c.Usable(i) && c.Values[i] >= 0 && !math.IsInf(c.Values[i], 1)
}

// yearsOf are the maxima of all calendar years with usable speeds, complete or not.
func yearsOf(s *resource.Series, c *resource.Channel) []Maximum {
	var out []Maximum
	var until, length, seconds int64
	for i, v := range c.Values {
		if !usable(c, i) {
			continue
		}
		local := s.Times[i] + s.UTCOffsetS
		if len(out) == 0 || local >= until {
			finish(out, seconds, length)
			year := time.Unix(local, 0).UTC().Year()
			from := time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC).Unix()
			until = time.Date(year+1, 1, 1, 0, 0, 0, 0, time.UTC).Unix()
			length, seconds = until-from, 0
			out = append(out, Maximum{Year: year, SpeedMS: v, AtUnix: s.Times[i]})
		}
		seconds += covered(s, i)
		if m := &out[len(out)-1]; v > m.SpeedMS {
			m.SpeedMS, m.AtUnix = v, s.Times[i]
		}
	}
	finish(out, seconds, length)
	return out
}

// finish sets the completeness of the last year.
func finish(out []Maximum, seconds, length int64) {
	if len(out) > 0 {
		out[len(out)-1].Completeness = math.Min(1, float64(seconds)/float64(length))
	}
}

// StormOptions steer StormMaxima.
type StormOptions struct {
	ThresholdMS float64 // peaks below it are no storms, m/s; NaN: the one that gives 10 storms a year, which a zero gives too
	ApartS      int64   // peaks nearer together than this are of one storm, s; 0: 4 days; at least a day
}

// The defaults of StormOptions, from memory of Cook 1982 and Palutikof et al. 1999.
const (
	stormsPerYear = 10
	stormApartS   = 4 * secondsPerDay
)

// StormMaxima are the peaks of independent storms, the earliest first, and how many there are a year of usable speeds. From
// the largest usable speed downwards, each day's largest speed is a peak if no larger peak lies nearer than ApartS, down to
// the threshold. Completeness is that of the calendar year the peak lies in. No storms where the record has no usable speed, or
// is not of real years (resource.TypicalYear). It panics for a place that is not in s.Channels.
func StormMaxima(s *resource.Series, channel int, o StormOptions) (storms []Maximum, perYear float64) {
	c := &s.Channels[channel]
	if s.Kind == resource.TypicalYear {
		return nil, math.NaN()
	}
	days, seconds := dailyMaxima(s, c)
	years := float64(seconds) / secondsPerYear
	apart := o.ApartS
	if apart == 0 {
		apart = stormApartS
	}
	apart = max(apart, secondsPerDay)
	most := len(days)
	if !(o.ThresholdMS > 0) {
		most = int(math.Round(stormsPerYear * years))
	}
	slices.SortStableFunc(days, func(a, b Maximum) int { return cmp.Compare(b.SpeedMS, a.SpeedMS) })
	var times []int64 // of peaks, rising
	for _, d := range days {
		if len(storms) >= most || d.SpeedMS < o.ThresholdMS || d.SpeedMS == 0 {
			break
		}
		at, _ := slices.BinarySearch(times, d.AtUnix)
		if at > 0 && d.AtUnix-times[at-1] < apart || at < len(times) && times[at]-d.AtUnix < apart {
			continue
		}
		times = slices.Insert(times, at, d.AtUnix)
		storms = append(storms, d)
	}
	slices.SortFunc(storms, func(a, b Maximum) int { return cmp.Compare(a.AtUnix, b.AtUnix) })
	complete := map[int]float64{}
	for _, y := range yearsOf(s, c) {
		complete[y.Year] = y.Completeness
	}
	for i := range storms {
		m := &storms[i]
		m.Year = time.Unix(m.AtUnix+s.UTCOffsetS, 0).UTC().Year()
		m.Completeness = complete[m.Year]
	}
	return storms, float64(len(storms)) / years
}

// dailyMaxima are the largest usable speeds of the days of local standard time that have any, and the time they cover, s.
func dailyMaxima(s *resource.Series, c *resource.Channel) (days []Maximum, seconds int64) {
	var until int64
	for i, v := range c.Values {
		if !usable(c, i) {
			continue
		}
		seconds += covered(s, i)
		local := s.Times[i] + s.UTCOffsetS
		if len(days) == 0 || local >= until {
			day := local / secondsPerDay
			if local%secondsPerDay < 0 {
				day--
			}
			until = (day + 1) * secondsPerDay
			days = append(days, Maximum{SpeedMS: v, AtUnix: s.Times[i]})
		} else if m := &days[len(days)-1]; v > m.SpeedMS {
			m.SpeedMS, m.AtUnix = v, s.Times[i]
		}
	}
	return days, seconds
}

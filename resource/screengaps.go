package resource

import (
	"fmt"
	"time"
)

var gapLimits = []Limit{
	{"missing_stamps.listed_h", 24, "h", 0, 10000, "shortest gap that is listed by itself; shorter ones share one finding"},
}

// findGaps reports where stamps are missing. Nothing is flagged: there is nothing to flag. A record that was read has no
// stamp twice; one that was made otherwise may, and that is reported too.
func findGaps(x *screening) {
	s := x.s
	if s.StepS <= 0 {
		return
	}
	listed := int64(x.limits[0] * secondsPerHour)
	short := Finding{Index: -1, Action: ActionReported}
	gaps, backward, first := 0, 0, 0
	for i := 1; i < len(s.Times); i++ {
		if s.Times[i] <= s.Times[i-1] {
			if backward == 0 {
				first = i
			}
			backward++
		}
		if s.joined(i) {
			continue
		}
		lacks := s.lacking(i)
		from, to := s.Times[i-1]+s.StepS, max(s.Times[i]-s.StepS, s.Times[i-1]+s.StepS)
		if s.Times[i]-s.Times[i-1]-s.StepS >= listed {
			x.add(Finding{Index: -1, FromUnix: from, ToUnix: to, Count: lacks, Action: ActionReported,
				Detail: fmt.Sprintf("%d stamps are missing on end (%.4g h)", lacks, float64(s.Times[i]-s.Times[i-1]-s.StepS)/secondsPerHour)})
			continue
		}
		if gaps == 0 {
			short.FromUnix = from
		}
		gaps++
		short.ToUnix = to
		short.Count += lacks
	}
	if gaps > 0 {
		short.Detail = fmt.Sprintf("%d stamps are missing in %d gaps of less than %g h each", short.Count, gaps, x.limits[0])
		x.add(short)
	}
	if backward > 0 {
		x.report(-1, first, first, backward, fmt.Sprintf("%d stamps do not come after the one before; the first is here", backward))
	}
}

// lacking is how many stamps are missing between rows i−1 and i.
func (s *Series) lacking(i int) int {
	return int((s.Times[i]-s.Times[i-1]+s.StepS/2)/s.StepS) - 1
}

// clockDay is a day on which clocks are changed somewhere: the nth Sunday of a month, 0 being January; −1 is the last.
type clockDay struct {
	month, nth int
	where      string
}

// The Sundays on which most of the world's summer times have begun and ended since 1987 (from memory).
var (
	clocksForward = [...]clockDay{{2, -1, "Europe"}, {2, 2, "North America"}, {3, 1, "North America before 2007"}, {8, -1, "New Zealand"}, {9, 1, "Australia"}}
	clocksBack    = [...]clockDay{{9, -1, "Europe"}, {10, 1, "North America"}, {3, 1, "Australia"}}
)

// What a lost hour must look like to be a clock put forward: it is gone whole, and it is one of few that are. Where many
// an hour is missing, one falls on such a night by chance.
const (
	clockNightEnds = 3  // h, local: the hour begins no later
	lostHourMost   = 20 // gaps of one hour in the record
)

// findClockNights reports a record that lacks exactly one hour in a night in which clocks go forward, or has one twice in
// a night in which they go back. The latter is only seen in a record made otherwise: of stamps given twice, reading keeps
// one and reports the others.
func findClockNights(x *screening) {
	s := x.s
	if s.StepS <= 0 || s.StepS > secondsPerHour {
		return
	}
	type night struct {
		row   int
		where string
	}
	var lost, twice []night
	gaps := 0
	for i := 1; i < len(s.Times); i++ {
		expected := s.Times[i-1] + s.StepS
		switch s.Times[i] - expected {
		case secondsPerHour:
			gaps++
			if where := clockNight(expected+s.UTCOffsetS, clocksForward[:]); where != "" {
				lost = append(lost, night{i, where})
			}
		case -secondsPerHour:
			if where := clockNight(s.Times[i]+s.UTCOffsetS, clocksBack[:]); where != "" {
				twice = append(twice, night{i, where})
			}
		}
	}
	tell := func(from, to int64, count int, what, where string) {
		x.add(Finding{Index: -1, FromUnix: from, ToUnix: to, Count: count, Action: ActionReported, Detail: fmt.Sprintf(
			"the hour from %s %s in %s: the stamps seem to follow summer time; give them in standard time or with their offset",
			time.Unix(from+s.UTCOffsetS, 0).UTC().Format("15:04 on 2 January 2006"), what, where)})
	}
	if gaps <= lostHourMost {
		for _, n := range lost {
			tell(s.Times[n.row-1]+s.StepS, s.Times[n.row]-s.StepS, s.lacking(n.row), "is missing, the night in which clocks go forward", n.where)
		}
	}
	for _, n := range twice {
		tell(s.Times[n.row], s.Times[n.row-1], int(secondsPerHour/s.StepS), "comes twice, the night in which clocks go back", n.where)
	}
}

// clockNight says where clocks are changed in the night of a local time, s; "" for nowhere.
func clockNight(local int64, on []clockDay) string {
	days := floorDiv(local, secondsPerDay)
	if local-days*secondsPerDay > clockNightEnds*secondsPerHour || floorMod(days+4, 7) != 0 { // 1 January 1970 was a Thursday
		return ""
	}
	_, month, day := civil(days)
	_, next, _ := civil(days + 7)
	for _, c := range on {
		if c.month == month && (c.nth == (day+6)/7 || c.nth < 0 && next != month) {
			return c.where
		}
	}
	return ""
}

func floorMod(a, b int64) int64 { return a - floorDiv(a, b)*b }

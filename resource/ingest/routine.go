package ingest

import (
	"math"
	"slices"
)

// Weather stations report on a schedule and, when the weather turns, in between. Reports in between come in wind and
// rain, so a mean over all of them is not the mean over time; and stations change their minute, miss hours, and are told
// by several networks at once. A record of reports is therefore put on the steps of its own schedule.
const (
	longestCoveredS = 6 * 3600          // a longer silence is a gap, which says nothing of the schedule
	scheduleBlockS  = 180 * 86400       // the schedule's minute is found anew for each such stretch
	specialReport   = 1 << 7            // mark of a report outside the schedule, by its own word
	reportMarks     = specialReport - 1 // the other marks: bits of flagged elements
)

// scheduleSteps are steps of schedules, s.
var scheduleSteps = [...]int64{60, 300, 600, 900, 1200, 1800, 3600, 3 * 3600, 6 * 3600}

// routineReports says what became of the reports in settleReports.
type routineReports struct {
	left  int64 // reports left out
	moved int64 // reports told for a time up to a quarter of a step away
	phase int64 // of the schedule within its step, s, in the record's last stretch
}

// settleReports is settle for reports of a weather station: of those within a quarter of a step of a scheduled time one
// stays: with a wind speed before without, scheduled before special, near before far. speed and marks are the columns of
// speeds and of marks.
func (t *table) settleReports(rep *Report, speed, marks int) (*axis, routineReports) {
	a := &axis{rep: rep, times: t.stamps.join(), lines: &t.lines}
	a.values = make([][]float64, len(t.values))
	for i := range t.values {
		a.values[i] = t.values[i].join()
	}
	a.dropUnstamped()
	a.step = commonStep(a.times)
	a.sort()
	var r routineReports
	if a.step = commonStep(a.times); a.step > 0 {
		a.step = scheduleStep(a.times, a.step)
		r = a.onSchedule(a.values[speed], a.values[marks])
	} else {
		a.dropDuplicates()
	}
	a.spacing()
	rep.StepS, rep.Kept = a.step, int64(len(a.times))
	return a, r
}

// scheduleStep is the step, from the commonest difference on, at which the most scheduled times have a report, each
// counted by the share of the times that have one: hours of which a third is always absent stay hours; reports at 0, 20
// and 50 minutes make half-hours rather than ten-minute steps of which half are missing.
func scheduleStep(times []int64, common int64) int64 {
	covered := int64(0)
	for i := 1; i < len(times); i++ {
		covered += min(times[i]-times[i-1], longestCoveredS)
	}
	score := func(step int64) float64 {
		n, last := 0, int64(math.MinInt64)
		phase := commonPhase(times, step)
		for _, t := range times {
			if k, off := slotOf(t, phase, step); k != last && 4*off <= step {
				n, last = n+1, k
			}
		}
		return float64(n) * float64(n) * float64(step) / float64(covered+step)
	}
	best, most := common, score(common)
	for _, step := range scheduleSteps {
		if step <= common || float64(covered+step)/float64(step) <= most { // no score is above the number of times
			continue
		}
		if s := score(step); s > most {
			best, most = step, s
		}
	}
	return best
}

// commonPhase is the commonest time within the step; of equally common ones the earliest.
func commonPhase(times []int64, step int64) int64 {
	if step > 6*3600 { // no schedule worth a table
		return floorMod(times[0], step)
	}
	counts := make([]int32, step)
	for _, t := range times {
		counts[floorMod(t, step)]++
	}
	phase := 0
	for p, n := range counts {
		if n > counts[phase] {
			phase = p
		}
	}
	return int64(phase)
}

func floorMod(t, step int64) int64 { return ((t % step) + step) % step }

// slotOf is the number of the nearest scheduled time and how far off it the stamp is.
func slotOf(t, phase, step int64) (slot, off int64) {
	d := t - phase + step/2
	slot = (d - floorMod(d, step)) / step
	off = t - phase - slot*step
	return slot, max(off, -off)
}

// onSchedule keeps the best report of each scheduled time and moves its stamp there.
func (a *axis) onSchedule(speed, marks []float64) routineReports {
	var r routineReports
	n := len(a.times)
	moved := make([]int64, n)
	stays := make([]bool, n)
	last := int64(math.MinInt64 / 2)
	for from := 0; from < n; {
		to, _ := slices.BinarySearch(a.times[from:], a.times[from]+scheduleBlockS)
		to += from
		r.phase = commonPhase(a.times[from:to], a.step)
		for i := from; i < to; {
			slot, _ := slotOf(a.times[i], r.phase, a.step)
			best, next := -1, i
			for ; next < to; next++ {
				k, off := slotOf(a.times[next], r.phase, a.step)
				if k != slot {
					break
				}
				if 4*off <= a.step && (best < 0 || betterReport(a.times, speed, marks, next, best, r.phase+slot*a.step)) {
					best = next
				}
			}
			if at := r.phase + slot*a.step; best >= 0 && at-last > a.step/2 {
				stays[best], moved[best], last = true, at, at
			}
			i = next
		}
		from = to
	}
	for i, keep := range stays {
		switch {
		case !keep:
			r.left++
		case moved[i] != a.times[i]:
			r.moved++
			a.times[i] = moved[i]
		}
	}
	if r.left > 0 {
		a.retain(func(i int) bool { return stays[i] })
	}
	return r
}

// betterReport reports whether report i tells more of the scheduled time than report j.
func betterReport(times []int64, speed, marks []float64, i, j int, at int64) bool {
	if has := !math.IsNaN(speed[i]); has != !math.IsNaN(speed[j]) {
		return has
	}
	if special := int(marks[i])&specialReport != 0; special != (int(marks[j])&specialReport != 0) {
		return !special
	}
	off := func(t int64) int64 { return max(t-at, at-t) }
	return off(times[i]) < off(times[j])
}

package ingest

import (
	"cmp"
	"math"
	"slices"
)

// axis is a table's time axis on its way to a Series: sorted, without duplicates, its step and gaps known.
type axis struct {
	rep    *Report
	times  []int64
	values [][]float64
	lines  *lineRuns
	origin []int32 // row of the table that each stamp came from; nil while that is its index
	step   int64
	shown  int64 // added to a stamp to tell it as the file does, s
	back   int   // descents that look like a clock set back
	// conflicts counts rows whose stamp another row has with other values.
	conflicts int64
}

// settle puts the table's stamps, which must be seconds by now, in order, and reports what was out of it. Rows with
// noStamp are left out without a word: whoever marked them has reported them. shown is added to stamps in messages.
func (t *table) settle(rep *Report, shown int64) *axis {
	a := &axis{rep: rep, times: t.stamps.join(), lines: &t.lines, shown: shown}
	a.values = make([][]float64, len(t.values))
	for i := range t.values {
		a.values[i] = t.values[i].join()
	}
	a.dropUnstamped()
	a.step = commonStep(a.times)
	a.sort()
	a.dropDuplicates()
	a.step = commonStep(a.times)
	a.spacing()
	rep.StepS, rep.Kept = a.step, int64(len(a.times))
	return a
}

// lineOf is the file's line of stamp i.
func (a *axis) lineOf(i int) int {
	if a.origin != nil {
		i = int(a.origin[i])
	}
	return a.lines.line(i)
}

func (a *axis) text(i int) string { return clockText(a.times[i] + a.shown) }

// retain keeps the stamps for which keep is true, in their order.
func (a *axis) retain(keep func(i int) bool) {
	if a.origin == nil {
		a.origin = make([]int32, len(a.times))
		for i := range a.origin {
			a.origin[i] = int32(i)
		}
	}
	n := 0
	for i := range a.times {
		if !keep(i) {
			continue
		}
		if n != i {
			a.times[n], a.origin[n] = a.times[i], a.origin[i]
			for _, v := range a.values {
				v[n] = v[i]
			}
		}
		n++
	}
	a.times, a.origin = a.times[:n], a.origin[:n]
	for c := range a.values {
		a.values[c] = a.values[c][:n]
	}
}

func (a *axis) dropUnstamped() {
	if slices.Contains(a.times, noStamp) {
		a.retain(func(i int) bool { return a.times[i] != noStamp })
	}
}

// sort orders the rows by time and reports where the stamps jump back.
func (a *axis) sort() {
	sorted := true
	for i := 1; i < len(a.times); i++ {
		if a.times[i] >= a.times[i-1] {
			continue
		}
		sorted = false
		code, what := ProblemOutOfOrder, ": the rows are sorted by time"
		if a.times[i] == a.times[i-1]+a.step-3600 && a.step < 3600 {
			code, what = ProblemClockBack, ", one hour: the clock follows daylight saving, or was set; let it run on standard time"
			a.back++
		}
		if a.rep.counts(code) {
			a.rep.keep(a.lineOf(i), 0, "", code, "the stamps jump back from "+a.text(i-1)+" to "+a.text(i)+what)
		}
	}
	if sorted {
		return
	}
	order := make([]int32, len(a.times))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortStableFunc(order, func(i, j int32) int { return cmp.Compare(a.times[i], a.times[j]) })
	a.times = permuted(a.times, order)
	for c := range a.values {
		a.values[c] = permuted(a.values[c], order)
	}
	if a.origin == nil {
		a.origin = order
	} else {
		a.origin = permuted(a.origin, order)
	}
}

func permuted[T any](v []T, order []int32) []T {
	out := make([]T, len(v))
	for i, j := range order {
		out[i] = v[j]
	}
	return out
}

// dropDuplicates keeps the first of the rows that share a stamp.
func (a *axis) dropDuplicates() {
	first, any := 0, false
	doubled := make([]bool, 0)
	for i := 1; i < len(a.times); i++ {
		if a.times[i] != a.times[first] {
			first = i
			continue
		}
		if !any {
			any, doubled = true, make([]bool, len(a.times))
		}
		doubled[i] = true
		code, what := ProblemDuplicate, " and the same values; it is left out"
		if !a.sameValues(first, i) {
			code, what = ProblemConflict, " with other values; the first stays, this one is left out"
			a.conflicts++
			if a.step == 3600 && i-first == 1 {
				a.back++
			}
		}
		if a.rep.counts(code) {
			a.rep.keep(a.lineOf(i), 0, "", code,
				"the stamp "+a.text(i)+" stands in line "+itoa(a.lineOf(first))+" already,"+what)
		}
	}
	if any {
		a.retain(func(i int) bool { return !doubled[i] })
	}
}

func (a *axis) sameValues(i, j int) bool {
	for _, v := range a.values {
		if v[i] != v[j] && !(math.IsNaN(v[i]) && math.IsNaN(v[j])) {
			return false
		}
	}
	return true
}

// commonStep is the commonest positive difference of neighbouring stamps, s; of equally common ones the shortest; 0
// when there is none.
func commonStep(times []int64) int64 {
	counts := map[int64]int{}
	var last int64
	run := 0
	for i := 1; i < len(times); i++ {
		d := times[i] - times[i-1]
		if d == last {
			run++
			continue
		}
		counts[last] += run
		last, run = d, 1
		if len(counts) > 1<<16 {
			break // no step is common here; the first ones will do
		}
	}
	counts[last] += run
	step, most := int64(0), 0
	for d, n := range counts {
		if d > 0 && (n > most || n == most && d < step) {
			step, most = d, n
		}
	}
	return step
}

// spacing reports gaps, and stamps that are off the step.
func (a *axis) spacing() {
	if a.step <= 0 {
		return
	}
	for i := 1; i < len(a.times); i++ {
		d := a.times[i] - a.times[i-1]
		if d == a.step {
			continue
		}
		if d%a.step != 0 && a.rep.counts(ProblemIrregular) {
			a.rep.keep(a.lineOf(i), 0, "", ProblemIrregular,
				"the stamp "+a.text(i)+" comes "+duration(d)+" after the one before; the step is "+duration(a.step))
		}
		if d < a.step+a.step/2+1 {
			continue
		}
		missing := (d+a.step/2)/a.step - 1
		a.rep.GapCount++
		a.rep.MissingStamps += missing
		if len(a.rep.Gaps) < keptGaps {
			a.rep.Gaps = append(a.rep.Gaps, Gap{FromUnix: a.times[i-1] + a.step, ToUnix: a.times[i], Missing: missing})
		}
		a.clockAhead(i)
	}
}

// clockAhead reports an hour's gap on a Sunday night in spring, north or south, when an hour stands twice elsewhere.
func (a *axis) clockAhead(i int) {
	if a.back == 0 || a.times[i]-a.times[i-1] != a.step+3600 {
		return
	}
	from := a.times[i-1] + a.step + a.shown
	day := from / secondsPerDay
	if from < 0 || (day+4)%7 != 0 || from%secondsPerDay > 3*3600 {
		return
	}
	if _, m, _ := civilFromDays(day); m != 3 && m != 4 && m != 9 && m != 10 {
		return
	}
	if a.rep.counts(ProblemClockAhead) {
		a.rep.keep(a.lineOf(i), 0, "", ProblemClockAhead, "the hour from "+clockText(from)+" is left out: the clock follows "+
			"daylight saving, so the months after it are an hour ahead of standard time; let it run on standard time")
	}
}

// shift moves all stamps, and the report's gaps with them.
func (a *axis) shift(by int64) {
	if by == 0 {
		return
	}
	for i := range a.times {
		a.times[i] += by
	}
	for i := range a.rep.Gaps {
		a.rep.Gaps[i].FromUnix += by
		a.rep.Gaps[i].ToUnix += by
	}
	a.shown -= by
}

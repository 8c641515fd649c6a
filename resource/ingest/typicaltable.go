package ingest

import "strings"

// monthRun is a stretch of rows of one month of one year.
type monthRun struct {
	from, to    int
	year, month int
}

// typicalYear recognises a typical year in a table of any header: twelve months, January to December, strung together
// from three years or more, in such an order that the clock jumps back. It moves the stamps into one nominal year and
// reports whether it did.
func (g *loggerFile) typicalYear() bool {
	const most = 366 * 24 * 12 // of five minutes; none is told in shorter steps
	if g.known != nil || g.clock.zoned > 0 || g.table.rows < 12*28 || g.table.rows > most {
		return false
	}
	raw := g.table.stamps.join()
	g.table.stamps = chunks[int64]{last: raw}
	end := int64(0)
	if g.clock.day24 && !g.clock.hour0 || g.o.StampsAt == StampsEnd {
		end = 1 // 24:00 belongs to the day that it ends
	}
	runs := monthRuns(raw, end)
	if len(runs) != 12 {
		return false
	}
	years, back := map[int]bool{}, false
	for i, r := range runs {
		if r.month != i+1 {
			return false
		}
		back = back || i > 0 && r.year < runs[i-1].year
		years[r.year] = true
	}
	if len(years) < 3 || !back {
		return false
	}
	var words []string
	for _, r := range runs {
		words = append(words, itoa(r.year))
		by := (daysFromCivil(nominalYear, r.month, 1) - daysFromCivil(r.year, r.month, 1)) * secondsPerDay
		for i := r.from; i < r.to; i++ {
			if _, m, d := civilFromDays(floorDiv(raw[i]-end, secondsPerDay)); m == 2 && d == 29 {
				raw[i] = noStamp
				if g.rep.counts(ProblemLeapDay) {
					g.rep.keep(g.table.lines.line(i), 0, "", ProblemLeapDay, "a typical year has no 29 February; the row is left out")
				}
				continue
			}
			raw[i] += by
		}
	}
	g.rep.assume("the months are from different years (%s): the record is taken for a typical year and told as %d", strings.Join(words, ", "),
		nominalYear)
	return true
}

// monthRuns cuts the stamps into stretches of one month; nil when there are more than twelve or a stamp is none.
func monthRuns(raw []int64, end int64) []monthRun {
	var runs []monthRun
	day := int64(-1 << 40)
	for i, t := range raw {
		if t == noStamp {
			return nil
		}
		if d := floorDiv(t-end, secondsPerDay); d != day {
			day = d
			y, m, _ := civilFromDays(d)
			if n := len(runs); n == 0 || runs[n-1].year != y || runs[n-1].month != m {
				if n == 12 {
					return nil
				}
				runs = append(runs, monthRun{from: i, year: y, month: m})
			}
		}
		runs[len(runs)-1].to = i + 1
	}
	return runs
}

package ingest

import (
	"fmt"
	"strings"
)

// offsets are how far the file's clock (0 where the stamps carry their offset) and local standard time are ahead of UTC,
// s. What is assumed of them is reported.
func (g *loggerFile) offsets() (clock, local int64) {
	c, o := &g.clock, g.o
	if k := g.known; k != nil {
		return k.clockS, orElse(o.UTCOffsetS, k.localS)
	}
	if c.zoned > 0 {
		local = int64(c.least)
		switch {
		case o.UTCOffsetS != nil:
			local = *o.UTCOffsetS
		case c.least != c.most:
			g.rep.assume("the stamps' offsets from UTC go from %s to %s, as with daylight saving: the first is taken for standard time",
				offsetWords(local), offsetWords(int64(c.most)))
		case local == 0:
			g.rep.assume("%s", utcOnly)
		}
		return 0, local
	}
	for _, f := range c.fields() {
		z := g.columns[f].zone
		if z == nil {
			continue
		}
		if o.UTCOffsetS == nil {
			g.rep.assume("the column %q says that its time is %s", g.sheet.name(f), offsetWords(*z))
			if *z == 0 {
				g.rep.assume("%s", utcOnly)
			}
		}
		return *z, orElse(o.UTCOffsetS, *z)
	}
	if o.UTCOffsetS == nil {
		g.rep.assume("the file does not say its time zone: its clock is taken as it stands and stored as UTC; set utc_offset")
	}
	local = orElse(o.UTCOffsetS, 0)
	return local, local
}

const utcOnly = "the stamps are UTC, and the place's own time is not known: months and hours are counted in UTC; set utc_offset"

func orElse(p *int64, v int64) int64 {
	if p != nil {
		return *p
	}
	return v
}

// stampsAtEnd says whether stamps mark the end of the step, and reports what is assumed.
func (g *loggerFile) stampsAtEnd() bool {
	switch {
	case g.known != nil:
		return g.known.ends == StampsEnd
	case g.o.StampsAt == StampsEnd:
		return true
	case g.o.StampsAt == StampsBegin:
		return false
	}
	for _, f := range g.clock.fields() {
		if e := g.columns[f].ends; e != "" {
			which := map[StampsAt]string{StampsBegin: "beginning", StampsEnd: "end"}[e]
			g.rep.assume("the column %q says that stamps mark the %s of the step", g.sheet.name(f), which)
			return e == StampsEnd
		}
	}
	if g.clock.day24 && !g.clock.hour0 {
		g.rep.assume("stamps go to 24:00 and never below 01:00: they are taken to mark the end of the step; set stamps_at if that is wrong")
		return true
	}
	g.rep.assume("stamps are taken to mark the beginning of the step; set stamps_at if they mark its end")
	return false
}

// stepAssumed gives a record of one row a step, and looks at short years.
func (g *loggerFile) stepAssumed(a *axis) {
	if g.clock.shortYears {
		g.rep.assume("years written with two digits are taken to be from 1950 to 2049")
	}
	if a.step > 0 {
		return
	}
	a.step = 3600
	if !g.clock.timed {
		a.step = secondsPerDay
	}
	g.rep.StepS = a.step
	g.rep.assume("one stamp alone does not show the step: %s is taken", duration(a.step))
}

// reportUndated reports the rows whose date does not exist in the order chosen for all.
func (g *loggerFile) reportUndated() {
	if !g.clock.packed {
		return
	}
	for i, t := range g.table.stamps.last {
		if t == noStamp && g.rep.counts(ProblemStamp) {
			g.rep.keep(g.table.lines.line(i), g.clock.date+1, g.sheet.name(g.clock.date), ProblemStamp,
				"the date does not exist when it is read as "+orderWords[g.clock.order]+", as the others are; the row is left out")
		}
	}
}

// nothingLeft is the error when no row could be placed in time.
func (g *loggerFile) nothingLeft() error {
	e := &ReadError{
		Line:   g.sheet.firstData,
		Reason: fmt.Sprintf("none of the %d rows can be used", g.rep.Rows),
		Remedy: "say which columns hold date and time, and with time_layout how they are written",
	}
	if len(g.only) > 0 && g.rep.LeftOut == g.rep.Rows {
		f := g.only[0]
		e.Reason = fmt.Sprintf("no row holds %q in column %q", f.want, g.sheet.name(f.field))
		e.Remedy = "look at the option only: the text must be as in the file, capitals included"
		return e
	}
	if len(g.rep.Problems) > 0 {
		p := &g.rep.Problems[0]
		e.Line, e.Column = p.Line, p.Column
		e.Reason += ": " + p.Detail
	}
	return e
}

// repeated is the error for a table that holds several stations: stamps stand there again with other values.
func (g *loggerFile) repeated(a *axis) error {
	if a.conflicts*20 < int64(g.table.rows) || a.conflicts < 2 {
		return nil
	}
	key := g.keyColumn()
	if key == nil && a.conflicts < 10 {
		return nil
	}
	e := &ReadError{
		Reason: fmt.Sprintf("%d of %d rows have a stamp that another row has too, with other values", a.conflicts, g.table.rows),
		Remedy: "give one station or height a file, or name the column that tells them apart with the option only",
	}
	if key != nil {
		name := g.sheet.name(key.field)
		e.Column = key.field + 1
		e.Reason += fmt.Sprintf(": column %q holds several (%s)", name, strings.Join(key.values, ", "))
		e.Remedy = fmt.Sprintf("choose one with the option only, such as only=%s=%s", name, key.values[0])
	}
	return e
}

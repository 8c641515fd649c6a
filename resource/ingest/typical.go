package ingest

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"mastworth/resource"
)

// airportHeightM is the height of wind in weather files and airport observations, by agreement (WMO-No. 8), m.
const airportHeightM = 10

// typical is a typical year being read: rows told by month, day and the hour's end become one nominal year.
type typical struct {
	in       *input
	lx       lexer
	width    int // of a row; 0 before the first
	channels []channel
	need     int // columns that must be there
	table    *table
	years    []int
	stepS    int64
	place    *resource.Place
	offsetS  int64
}

// fixedChannel is a channel of a format that fixes everything about it.
func fixedChannel(field int, name string, q resource.Quantity, heightM float64, unitName string, missing ...float64) channel {
	u, ok := unitNamed(unitName)
	if !ok {
		panic("ingest: unknown unit in a fixed format")
	}
	c := channel{field: field, name: name, quantity: q, heightM: heightM, unit: *u, slope: 1, point: '.', plain: u.plain(),
		numbers: missing, below: -90, above: math.Inf(1)}
	for _, m := range missing {
		if m > 0 {
			c.above = min(c.above, m)
		}
	}
	return c
}

// open makes the table, once the channels are known, and lists the columns in the report.
func (t *typical) open() {
	t.table = newTable(len(t.channels), 8784)
	for i := range t.channels {
		c := &t.channels[i]
		t.need = max(t.need, c.field+1)
		c.report = len(t.in.rep.Columns)
		t.in.rep.Columns = append(t.in.rep.Columns, ColumnReport{Number: c.field + 1, Name: c.name, Quantity: c.quantity.String(),
			HeightM: c.heightM, Unit: c.unit.name, How: "by the format"})
	}
}

func (t *typical) columnName(i int) string {
	for c := range t.channels {
		if t.channels[c].field == i {
			return t.channels[c].name
		}
	}
	return "column " + itoa(i+1)
}

// rowFits counts the row in the lexer and says whether it is whole enough to be read.
func (t *typical) rowFits() bool {
	t.in.rep.Rows++
	if t.width == 0 {
		t.width = max(t.lx.n, t.need)
	}
	if t.lx.n > maxColumns {
		t.lx.n = maxColumns // the first ones are all that is wanted
	}
	if t.lx.n >= t.need && (t.lx.src.terminated || t.lx.n >= t.width) {
		return true
	}
	return t.lx.fit(t.need, max(t.width, t.lx.n), t.in.rep, t.columnName)
}

// add places the row in the nominal year: endS is the end of its step in seconds of the day, 0 to 86400.
func (t *typical) add(year, month, day, endS int) {
	rep, line := t.in.rep, t.lx.src.lineNo
	if month == 2 && day == 29 {
		if rep.counts(ProblemLeapDay) {
			rep.keep(line, 0, "", ProblemLeapDay, "a typical year has no 29 February; the row is left out")
		}
		return
	}
	if !realDate(nominalYear, month, day) {
		t.badStamp(0, fmt.Sprintf("month %d, day %d is no date; the row is left out", month, day))
		return
	}
	begin := daysFromCivil(nominalYear, month, day)*secondsPerDay + int64(endS) - t.stepS
	if start := daysFromCivil(nominalYear, 1, 1) * secondsPerDay; begin < start {
		begin += 365 * secondsPerDay
	}
	for i := range t.channels {
		c := &t.channels[i]
		b := t.lx.field(c.field)
		v, ok := c.value(b)
		if !ok && rep.counts(ProblemNumber) {
			rep.keep(line, c.field+1, c.name, ProblemNumber, clip(b)+" is no number; the value is missing")
		}
		t.table.values[i].add(v)
	}
	t.table.row(begin, line)
	if n := len(t.years); (n == 0 || t.years[n-1] != year) && n < 24 {
		t.years = append(t.years, year)
	}
}

func (t *typical) badStamp(field int, detail string) {
	if t.in.rep.counts(ProblemStamp) {
		t.in.rep.keep(t.lx.src.lineNo, field+1, t.columnName(field), ProblemStamp, detail)
	}
}

// finish makes the Series.
func (t *typical) finish() (*resource.Series, error) {
	rep := t.in.rep
	if err := t.lx.src.broken(); err != nil {
		return nil, err
	}
	if t.table.rows == 0 {
		e := &ReadError{Reason: fmt.Sprintf("none of its %d rows can be used", rep.Rows), Remedy: "download the file again"}
		if len(rep.Problems) > 0 {
			e.Line, e.Reason = rep.Problems[0].Line, e.Reason+": "+rep.Problems[0].Detail
		}
		return nil, e
	}
	a := t.table.settle(rep, t.offsetS)
	a.step, rep.StepS = t.stepS, t.stepS
	a.shift(-t.offsetS)
	s := &resource.Series{Times: a.times, StepS: t.stepS, UTCOffsetS: t.offsetS, Kind: resource.TypicalYear, Place: t.place}
	for i := range t.channels {
		c := &t.channels[i]
		rep.Columns[c.report].Missing, rep.Columns[c.report].Problems = c.missing, c.problems
		s.Channels = append(s.Channels, resource.Channel{Name: c.name, Quantity: c.quantity, HeightM: c.heightM, Values: a.values[i]})
	}
	t.conclude(len(a.times))
	return s, nil
}

// conclude notes what is peculiar to typical years.
func (t *typical) conclude(stamps int) {
	rep := t.in.rep
	months := slices.Clone(t.years)
	slices.Sort(months)
	months = slices.Compact(months)
	if len(months) > 1 {
		var words []string
		for _, y := range months {
			words = append(words, itoa(y))
		}
		rep.assume("a typical year: its months are from %s and are strung together as %d", strings.Join(words, ", "), nominalYear)
	} else {
		rep.assume("all rows are from one year (%d); the record is still taken for a typical year and told as %d", months[0], nominalYear)
	}
	rep.assume("wind in a file of this kind is told for %d m above ground", airportHeightM)
	if want := int(365 * secondsPerDay / t.stepS); stamps < want {
		rep.assume("the year is not whole: %d of %d steps are there", stamps, want)
	}
}

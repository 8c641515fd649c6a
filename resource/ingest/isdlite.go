package ingest

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// Fields of an ISD-lite line, from 0, end exclusive (NOAA, "ISD-Lite format").
const (
	liteYear        = 0
	liteMonth       = 5
	liteDay         = 8
	liteHour        = 11
	liteTemperature = 13
	liteDirection   = 31
	liteSpeed       = 37
	liteWidth       = 6
	liteLineBytes   = liteSpeed + liteWidth
)

// liteChannels are the elements that are read: tenths, but for the direction, with −9999 for missing.
func liteChannels() []channel {
	tenths := func(at int, name string, q resource.Quantity, heightM float64, base string) channel {
		c := fixedChannel(at, name, q, heightM, base, -9999)
		c.unit.name, c.unit.div, c.plain = "0.1 "+c.unit.name, 10, false
		return c
	}
	return []channel{
		tenths(liteSpeed, "wind speed", resource.Speed, airportHeightM, "m/s"),
		fixedChannel(liteDirection, "wind direction", resource.Direction, airportHeightM, "deg", -9999),
		tenths(liteTemperature, "air temperature", resource.Temperature, math.NaN(), "C"),
	}
}

// looksISDLite checks the fixed columns of the first line.
func looksISDLite(head []byte) bool {
	lines := firstLines(head, 1)
	if len(lines) == 0 || len(lines[0]) < liteLineBytes {
		return false
	}
	line := lines[0]
	if _, bad := liteStamp(line); bad != "" {
		return false
	}
	for at := liteTemperature; at+liteWidth <= liteLineBytes; at += liteWidth {
		if _, ok := number(line[at:at+liteWidth], '.'); !ok {
			return false
		}
	}
	return true
}

// readISDLite reads the hourly extract of NOAA's Integrated Surface Database: fixed columns, UTC. Its pressure is
// reduced to sea level, so it is not read.
func readISDLite(in *input) (*resource.Series, error) {
	rep := in.rep
	channels := liteChannels()
	for i := range channels {
		c := &channels[i]
		rep.Columns = append(rep.Columns, ColumnReport{Number: c.field + 1, Name: c.name, Quantity: c.quantity.String(), HeightM: c.heightM,
			Unit: c.unit.name, How: "by the format"})
	}
	table := newTable(len(channels), in.src.rowsAhead(liteLineBytes+19))
	for {
		line, ok := in.src.line()
		if !ok {
			break
		}
		if len(trim(line)) > 0 {
			liteRow(in, channels, table, line)
		}
		if most := in.o.MaxRows; rep.Rows > DefaultMaxRows || most > 0 && rep.Rows > most {
			return nil, &ReadError{Line: in.src.lineNo, Reason: "the record has more rows than are taken", Remedy: "cut it into pieces"}
		}
	}
	if err := in.src.broken(); err != nil {
		return nil, err
	}
	if table.rows == 0 {
		return nil, &ReadError{Line: 1, Reason: fmt.Sprintf("none of the %d lines can be used", rep.Rows), Remedy: "download the file again"}
	}
	a := table.settle(rep, 0)
	if a.step == 0 {
		a.step, rep.StepS = 3600, 3600
	}
	s := &resource.Series{Times: a.times, StepS: a.step, UTCOffsetS: orElse(in.o.UTCOffsetS, 0), Kind: kindOf(a.step)}
	for i := range channels {
		c := &channels[i]
		rep.Columns[i].Missing, rep.Columns[i].Problems = c.missing, c.problems
		s.Channels = append(s.Channels, resource.Channel{Name: c.name, Quantity: c.quantity, HeightM: c.heightM, Values: a.values[i]})
	}
	if in.o.UTCOffsetS == nil {
		rep.assume("%s", utcOnly)
	}
	rep.assume("the pressure in the file is reduced to sea level: it is not read, and the air density comes from the elevation")
	rep.assume("wind at weather stations is told for %d m above ground", airportHeightM)
	rep.assume("an observation stands for the time from its stamp to the next")
	return s, nil
}

// liteRow reads one line.
func liteRow(in *input, channels []channel, table *table, line []byte) {
	rep, no := in.rep, in.src.lineNo
	rep.Rows++
	if len(line) < liteLineBytes {
		code, what := ProblemShortRow, "the line ends before the wind speed; it is left out"
		if !in.src.terminated {
			code, what = ProblemCutRow, "the file ends in the middle of a line; it is left out"
		}
		if rep.counts(code) {
			rep.keep(no, len(line), "", code, what)
		}
		return
	}
	t, bad := liteStamp(line)
	if bad != "" {
		if rep.counts(ProblemStamp) {
			rep.keep(no, 1, "", ProblemStamp, clip(line[:liteTemperature])+" is no "+bad+"; the line is left out")
		}
		return
	}
	for i := range channels {
		c := &channels[i]
		b := line[c.field : c.field+liteWidth]
		v, ok := c.value(b)
		if !ok && rep.counts(ProblemNumber) {
			rep.keep(no, c.field+1, c.name, ProblemNumber, clip(b)+" is no number; the value is missing")
		}
		table.values[i].add(v)
	}
	table.row(t, no)
}

// liteStamp reads year, month, day and hour; bad names what is wrong.
func liteStamp(line []byte) (unix int64, bad string) {
	y := two(line[liteYear:])*100 + two(line[liteYear+2:])
	m, d, h := padded(line[liteMonth:]), padded(line[liteDay:]), padded(line[liteHour:])
	if line[4] != ' ' || line[7] != ' ' || line[10] != ' ' || !realDate(y, m, d) {
		return 0, "date"
	}
	if h > 23 {
		return 0, "hour"
	}
	return daysFromCivil(y, m, d)*secondsPerDay + int64(h)*3600, ""
}

// padded reads two digits of which the first may be a blank.
func padded(b []byte) int {
	if b[0] == ' ' && b[1]-'0' <= 9 {
		return int(b[1] - '0')
	}
	return two(b)
}

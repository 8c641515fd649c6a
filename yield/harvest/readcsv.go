package harvest

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"mastworth/resource"
)

// Fault says what is wrong with a table of readings, and where.
type Fault struct {
	Line   int // counted from 1; 0: the whole of it
	Column string
	Detail string
}

func (f *Fault) Error() string {
	switch {
	case f.Line > 0 && f.Column != "":
		return fmt.Sprintf("line %d, column %q: %s", f.Line, f.Column, f.Detail)
	case f.Line > 0:
		return fmt.Sprintf("line %d: %s", f.Line, f.Detail)
	}
	return f.Detail
}

// Faults are all faults found in a table, up to a few dozen.
type Faults []*Fault

func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i := range f {
		lines[i] = f[i].Error()
	}
	return strings.Join(lines, "\n")
}

const (
	mostFaults = 20
	// MostReadings is how many one table may hold: a year by the hour, and some.
	MostReadings = 10_000
	// MostKWh is the largest energy or counter that is taken for one.
	MostKWh = 1e9
)

// ReadCSV reads a table of readings. Its first line names the columns: a time, and meter_kwh (a counter) or energy_kwh (of the time since the
// reading before), and perhaps from, when an energy's time began; likely names are understood, Wh and MWh too. Columns are parted by comma,
// semicolon or tab; a decimal comma is understood where the comma does not part. See ParseStamp for times.
//
// An energy with a month for its time is the month's, and one with a day is that day's where most rows are a day apart; else it ends with
// that day. Where a clock without offset was put back, rows by the same hour again are told from a mistake by the counter that goes on:
// a counter's row is left out, an energy goes to the row before. Warnings say so. The error is Faults, with all of them.
func ReadCSV(text []byte, utcOffsetS int64) ([]Reading, []resource.Warning, error) {
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if !isText(text) {
		return nil, nil, Faults{{Detail: "this is no table of text; send a CSV file, " + expected + " (a spreadsheet can be saved as one)"}}
	}
	t := table{offset: utcOffsetS}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.TrimLeadingSpace = delimiter(text), -1, true
	t.comma = r.Comma != ','
	for len(t.faults) < mostFaults {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			var wrong *csv.ParseError
			if errors.As(err, &wrong) {
				return nil, nil, Faults{{Line: wrong.Line, Detail: wrong.Err.Error()}}
			}
			return nil, nil, Faults{{Detail: err.Error()}}
		}
		if len(row) == 1 && strings.TrimSpace(row[0]) == "" {
			continue
		}
		line, _ := r.FieldPos(0)
		if t.names == nil {
			if f := t.heading(row, line); f != nil {
				return nil, nil, Faults{f}
			}
			continue
		}
		if t.row(row, line); len(t.rows) > MostReadings {
			return nil, nil, Faults{{Line: line, Detail: fmt.Sprintf("there are more than %d readings; send them in parts", MostReadings)}}
		}
	}
	switch {
	case len(t.faults) > 0:
		return nil, nil, t.faults
	case t.names == nil:
		return nil, nil, Faults{{Detail: "the table is empty; its first line names the columns, such as time,meter_kwh"}}
	case len(t.rows) == 0:
		return nil, nil, Faults{{Detail: "the table has a heading and no readings"}}
	}
	out, g := t.readings()
	return out, g.told(), nil
}

// delimiter is what parts the first line.
func delimiter(text []byte) rune {
	first, _, _ := bytes.Cut(text, []byte("\n"))
	for _, d := range []rune{'\t', ';'} {
		if bytes.ContainsRune(first, d) {
			return d
		}
	}
	return ','
}

// table is what has been read so far.
type table struct {
	offset        int64
	comma         bool // a comma is a decimal one
	names         []string
	at, from, kwh int // columns; −1: none
	meter         bool
	unit          float64 // kWh
	rows          []tableRow
	faults        Faults
}

type tableRow struct {
	line     int
	at, from Moment
	began    bool // from is given
	kwh      float64
}

// likely are names of columns, in small letters and without their unit.
var (
	timeNames   = []string{"time", "date", "datetime", "date_time", "timestamp", "stamp", "read_at", "day", "month", "to", "end", "until"}
	fromNames   = []string{"from", "begin", "start", "since"}
	meterNames  = []string{"meter", "counter", "reading", "meter_reading", "total", "register"}
	energyNames = []string{"energy", "production", "yield", "made", "harvest", "generation", "kwh", "wh", "mwh"}
)

func (t *table) heading(row []string, line int) *Fault {
	t.at, t.from, t.kwh = -1, -1, -1
	t.names = row
	for i, cell := range row {
		name, unit := plain(cell)
		switch is := func(names []string) bool { return slices.Contains(names, name) }; {
		case t.at < 0 && is(timeNames):
			t.at = i
		case t.from < 0 && is(fromNames):
			t.from = i
		case is(meterNames), is(energyNames):
			if t.kwh >= 0 {
				return &Fault{line, cell, fmt.Sprintf("and %q both look like energies; leave one in, called meter_kwh or energy_kwh", row[t.kwh])}
			}
			t.kwh, t.meter, t.unit = i, is(meterNames), unit
		}
	}
	switch {
	case t.at < 0:
		return &Fault{line, "", fmt.Sprintf("no column of times among %s; call it time, %s", namesIn(row), expected)}
	case t.kwh < 0:
		return &Fault{line, "", fmt.Sprintf("no column of readings among %s; call it meter_kwh for a counter, energy_kwh for the energy since the row before, %s",
			namesIn(row), expected)}
	}
	return nil
}

// expected shows a table as it should be.
const expected = "as in this table of two lines: “time,meter_kwh” and “2026-01-31,1204.3”"

// namesIn lists the cells of a heading, as many as are worth telling.
func namesIn(row []string) string {
	const most, longest = 8, 40
	var names []string
	for i, cell := range row {
		if i == most {
			names = append(names, "…")
			break
		}
		if r := []rune(cell); len(r) > longest {
			cell = string(r[:longest]) + "…"
		}
		names = append(names, strconv.Quote(cell))
	}
	return strings.Join(names, ", ")
}

// isText reports whether bytes can be a table: pictures, spreadsheets and archives have control characters among their first ones.
func isText(b []byte) bool {
	const looked = 4096
	return !bytes.ContainsFunc(b[:min(len(b), looked)], func(r rune) bool { return r < ' ' && !strings.ContainsRune("\t\n\v\f\r", r) })
}

// plain is a column's name in small letters without its unit, and that unit in kWh.
func plain(cell string) (name string, unit float64) {
	name = strings.ToLower(strings.TrimSpace(cell))
	name = strings.NewReplacer(" ", "_", "(", "", ")", "", "[", "", "]", "", "-", "_").Replace(name)
	for _, u := range []struct {
		name string
		kwh  float64
	}{{"kwh", 1}, {"mwh", 1000}, {"wh", 0.001}} {
		if name == u.name {
			return name, u.kwh
		}
		if rest, is := strings.CutSuffix(name, "_"+u.name); is {
			return rest, u.kwh
		}
	}
	return name, 1
}

func (t *table) fault(line, column int, format string, args ...any) {
	f := &Fault{Line: line, Detail: fmt.Sprintf(format, args...)}
	if column < len(t.names) {
		f.Column = t.names[column]
	}
	t.faults = append(t.faults, f)
}

func (t *table) row(row []string, line int) {
	if need := max(t.at, t.from, t.kwh); len(row) <= need {
		t.fault(line, need, "is missing in this row")
		return
	}
	out := tableRow{line: line}
	var ok bool
	if out.at, ok = ParseStamp(row[t.at], t.offset); !ok {
		t.fault(line, t.at, "%q is no time; write %s", row[t.at], StampWords)
	}
	if t.from >= 0 && strings.TrimSpace(row[t.from]) != "" {
		out.began = true
		if out.from, ok = ParseStamp(row[t.from], t.offset); !ok {
			t.fault(line, t.from, "%q is no time; write %s", row[t.from], StampWords)
		} else if out.from.BeginUnix >= out.at.EndUnix {
			t.fault(line, t.from, "must be before the time in the same row")
		}
	}
	text := strings.TrimSpace(row[t.kwh])
	number := text
	if t.comma {
		number = decimalPoint(text)
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(number, " ", ""), 64)
	if v *= t.unit; err != nil || !(v >= 0 && v <= MostKWh) || math.IsInf(v, 0) {
		t.fault(line, t.kwh, "%q is no energy; it must be a number from 0 to %.0f kWh", text, float64(MostKWh))
	}
	out.kwh = v
	t.rows = append(t.rows, out)
}

// decimalPoint writes a number with a decimal comma the other way. Where there are both, the last one is the decimal one.
func decimalPoint(s string) string {
	comma, point := strings.LastIndexByte(s, ','), strings.LastIndexByte(s, '.')
	switch {
	case comma < 0:
		return s
	case comma > point:
		return strings.ReplaceAll(strings.ReplaceAll(s, ".", ""), ",", ".")
	}
	return strings.ReplaceAll(s, ",", "")
}

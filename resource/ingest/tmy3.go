package ingest

import (
	"bytes"
	"math"
	"slices"
	"strings"

	"mastworth/resource"
)

// tmy3Columns are the columns that are read, by the part of their name before the unit (NREL/TP-581-43156, table 1-3).
var tmy3Columns = []struct {
	name     string
	quantity resource.Quantity
	heightM  float64
	unit     string
}{
	{"wspd", resource.Speed, airportHeightM, "m/s"},
	{"wdir", resource.Direction, airportHeightM, "degrees"},
	{"dry-bulb", resource.Temperature, math.NaN(), "C"},
	{"pressure", resource.Pressure, math.NaN(), "mbar"},
	{"rhum", resource.Humidity, math.NaN(), "%"},
	{"ghi", resource.GlobalHorizontal, math.NaN(), "W/m2"},
	{"dni", resource.DirectNormal, math.NaN(), "W/m2"},
	{"dhi", resource.DiffuseHorizontal, math.NaN(), "W/m2"},
}

// tmy3Missing is the format's code for missing values; the others are what converters put in its place.
var tmy3Missing = []float64{-9900, -9999, 9999, 99999}

func looksTMY3(head []byte) bool {
	lines := firstLines(head, 2)
	return len(lines) == 2 && bytes.Contains(lines[1], []byte("Date (")) && bytes.Contains(lines[1], []byte("Time (")) &&
		(bytes.Contains(lines[1], []byte("Wspd")) || bytes.Contains(lines[1], []byte("GHI")))
}

// readTMY3 reads TMY3 as published and as spreadsheets save it again: with a first line padded by commas, dates without
// leading noughts, and 24:00 told as 24:00:00.
func readTMY3(in *input) (*resource.Series, error) {
	t := &typical{in: in, lx: lexer{src: in.src, delimiter: tmy3Delimiter(in)}, stepS: 3600}
	if err := t.tmy3Station(); err != nil {
		return nil, err
	}
	date, clock, err := t.tmy3Header()
	if err != nil {
		return nil, err
	}
	t.need = max(date, clock) + 1
	t.open()
	r := tmy3Row{typical: t, date: date, clock: clock}
	for t.lx.next() {
		if !t.lx.blank() && t.rowFits() {
			r.read()
		}
	}
	return t.finish()
}

// tmy3Delimiter allows for spreadsheets that save with semicolons.
func tmy3Delimiter(in *input) byte {
	head, _ := in.src.peek(headBytes)
	line := firstLines(head, 1)[0]
	if bytes.Count(line, []byte{';'}) > bytes.Count(line, []byte{','}) {
		return ';'
	}
	return ','
}

// tmy3Station reads number, name, state, time zone, latitude, longitude, elevation.
func (t *typical) tmy3Station() error {
	bad := func(column int) error {
		return &ReadError{Line: 1, Column: column,
			Reason: "the first line does not give time zone, latitude, longitude and elevation in columns 4 to 7",
			Remedy: "mend the line, or download the file again"}
	}
	if !t.lx.next() || t.lx.n < 7 {
		return bad(0)
	}
	var v [4]float64
	for i := range v {
		var ok bool
		if v[i], ok = number(t.lx.field(3+i), '.'); !ok {
			return bad(4 + i)
		}
	}
	return t.at(v[1], v[2], v[0], v[3], 5)
}

// tmy3Header finds the columns by their names.
func (t *typical) tmy3Header() (date, clock int, err error) {
	t.lx.next()
	date, clock = -1, -1
	for i := 0; i < min(t.lx.n, maxColumns); i++ {
		name := strings.TrimSpace(text(t.lx.field(i)))
		base, unitText, _ := strings.Cut(name, "(")
		base = strings.ToLower(strings.TrimSpace(base))
		switch base {
		case "date":
			date = i
		case "time":
			clock = i
		}
		for _, c := range tmy3Columns {
			if c.name != base {
				continue
			}
			unitText = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(unitText), ")"))
			if u, ok := unitNamed(unitText); !ok || u.of != unitOf(c.quantity) {
				unitText = c.unit
			}
			t.channels = append(t.channels, fixedChannel(i, name, c.quantity, c.heightM, unitText, tmy3Missing...))
		}
	}
	if date < 0 || clock < 0 || len(t.channels) == 0 {
		return 0, 0, &ReadError{Line: 2, Reason: "the line of column names has no date, time or measurements", Remedy: "download the file again"}
	}
	slices.SortFunc(t.channels, func(a, b channel) int { return int(a.quantity) - int(b.quantity) })
	return date, clock, nil
}

// tmy3Row reads rows, remembering the hour before.
type tmy3Row struct {
	*typical
	date, clock int
	lastDay     int // month·100 + day
	lastEnd     int
}

func (r *tmy3Row) read() {
	b := r.lx.field(r.date)
	s, ok := parseStamp(b)
	if !ok {
		r.badStamp(r.date, clip(b)+" is no date; the row is left out")
		return
	}
	order := s.order
	if order == anyOrder {
		order = orderMDY
	}
	year, month, day := arrange(order, s.a, s.b, s.c)
	b = r.lx.field(r.clock)
	end, _, rest, ok := parseTime(trim(b))
	if !ok || len(trim(rest)) > 0 || end%3600 != 0 {
		r.badStamp(r.clock, clip(b)+" is no hour; the row is left out")
		return
	}
	if end == 0 && r.lastDay == month*100+day && r.lastEnd == 23*3600 {
		end = secondsPerDay // a spreadsheet's 0:00 for 24:00
	}
	r.lastDay, r.lastEnd = month*100+day, end
	r.add(fullYear(year), month, day, end)
}

package ingest

import (
	"fmt"
	"strconv"
	"strings"
)

// Setting is an option as text, for query parameters and flags.
type Setting struct {
	Name     string // snake_case
	Doc      string // one line
	Repeated bool   // may be given several times
	set      func(o *Options, value string) error
}

var settings = []Setting{
	{"format", "kind of file; left out, it is found from the content", false,
		func(o *Options, v string) error { o.Format = v; return nil }},
	{"column", "what a column holds: NAME=QUANTITY[,height=M][,unit=U][,slope=A][,offset=B], NAME being its name or number", true,
		func(o *Options, v string) error {
			c, err := ParseColumn(v)
			o.Columns = append(o.Columns, c)
			return err
		}},
	{"only_columns", "leave out measurements that no column setting names", false,
		func(o *Options, v string) error { return setBool(&o.OnlyColumns, v) }},
	{"only", "keep the rows where a column holds a text: NAME=TEXT", true, setOnly},
	{"header_line", "line of the column names, counted from 1; -1 for none", false,
		func(o *Options, v string) error { return setInt(&o.HeaderLine, v) }},
	{"delimiter", "what separates columns: comma, semicolon, tab, pipe, space or the character itself", false, setDelimiter},
	{"decimal_comma", "numbers have a decimal comma", false,
		func(o *Options, v string) error { return setBool(&o.DecimalComma, v) }},
	{"missing", "a code for a missing value, besides the usual ones", true,
		func(o *Options, v string) error { o.Missing = append(o.Missing, v); return nil }},
	{"time_layout", "how stamps are written, such as DD.MM.YYYY hh:mm, or unix, unix_ms, spreadsheet", false,
		func(o *Options, v string) error { o.TimeLayout = v; return nil }},
	{"date_order", "ymd, dmy or mdy", false,
		func(o *Options, v string) error { o.DateOrder = v; return nil }},
	{"stamps_at", "which end of the step a stamp marks: begin, end or unknown", false,
		func(o *Options, v string) error { o.StampsAt = StampsAt(v); return nil }},
	{"utc_offset", "local standard time less UTC, such as +01:00, -5 or Z", false, setOffset},
	{"speed_unit", "unit of speed columns whose header has none: m/s, km/h, mph, knots", false,
		func(o *Options, v string) error { o.SpeedUnit = v; return nil }},
	{"default_height_m", "height above ground of wind columns whose name has none, m", false,
		func(o *Options, v string) error { return setFloat(&o.DefaultHeightM, v) }},
	{"pulse_slope", "anemometer calibration, m/s for one pulse a second", false,
		func(o *Options, v string) error { return setFloat(&o.Pulse.SlopeMSPerHz, v) }},
	{"pulse_offset", "anemometer calibration, m/s", false,
		func(o *Options, v string) error { return setFloat(&o.Pulse.OffsetMS, v) }},
	{"pulse_interval", "time over which pulses are counted, s; left out, the record's step", false,
		func(o *Options, v string) error { return setFloat(&o.Pulse.IntervalS, v) }},
	{"max_rows", "refuse more rows than this", false,
		func(o *Options, v string) error {
			n, err := strconv.ParseInt(v, 10, 64)
			o.MaxRows = n
			return err
		}},
}

// Settings lists the options that Set takes, in a fixed order.
func Settings() []Setting { return append([]Setting(nil), settings...) }

// Set sets one option from text; see Settings for the names. Repeated ones add to what is there. The error is an
// *OptionError. Set looks at the form alone; Validate judges the whole.
func (o *Options) Set(name, value string) error {
	for i := range settings {
		if s := &settings[i]; s.Name == name {
			if err := s.set(o, value); err != nil {
				return &OptionError{Option: name, Reason: err.Error()}
			}
			return nil
		}
	}
	return &OptionError{Option: name, Reason: "there is no such option"}
}

// ParseColumn reads a ColumnSpec from text such as
//
//	WS_top=speed,height=12.5,unit=mph
//	3=pulses,slope=0.75,offset=0.3
//
// The name ends at the last "=" before the first of the comma-separated fields that follow it.
func ParseColumn(s string) (ColumnSpec, error) {
	var c ColumnSpec
	fields := strings.Split(s, ",")
	n := len(fields)
	for n > 1 && isColumnField(fields[n-1]) {
		n--
	}
	head := strings.Join(fields[:n], ",")
	i := strings.LastIndexByte(head, '=')
	if i <= 0 {
		return c, fmt.Errorf("%q is not of the form NAME=QUANTITY[,height=M][,unit=U][,slope=A][,offset=B]", s)
	}
	c.Column, c.Quantity = strings.TrimSpace(head[:i]), strings.TrimSpace(head[i+1:])
	for _, f := range fields[n:] {
		key, value, _ := strings.Cut(f, "=")
		var err error
		switch strings.TrimSpace(key) {
		case "height", "height_m":
			err = setFloat(&c.HeightM, value)
		case "unit":
			c.Unit = strings.TrimSpace(value)
		case "slope":
			err = setFloat(&c.Slope, value)
		case "offset":
			err = setFloat(&c.Offset, value)
		}
		if err != nil {
			return c, fmt.Errorf("%q: %w", f, err)
		}
	}
	return c, nil
}

func isColumnField(s string) bool {
	key, _, ok := strings.Cut(s, "=")
	switch strings.TrimSpace(key) {
	case "height", "height_m", "unit", "slope", "offset":
		return ok
	}
	return false
}

func setOnly(o *Options, v string) error {
	i := strings.LastIndexByte(v, '=')
	if i <= 0 {
		return fmt.Errorf("%q is not of the form NAME=TEXT", v)
	}
	if o.Only == nil {
		o.Only = map[string]string{}
	}
	o.Only[strings.TrimSpace(v[:i])] = strings.TrimSpace(v[i+1:])
	return nil
}

func setDelimiter(o *Options, v string) error {
	switch v {
	case "comma":
		o.Delimiter = ','
	case "semicolon":
		o.Delimiter = ';'
	case "tab", `\t`:
		o.Delimiter = '\t'
	case "pipe":
		o.Delimiter = '|'
	case "space":
		o.Delimiter = ' '
	default:
		r := []rune(v)
		if len(r) != 1 {
			return fmt.Errorf("%q is not one character, nor comma, semicolon, tab, pipe or space", v)
		}
		o.Delimiter = r[0]
	}
	return nil
}

func setOffset(o *Options, v string) error {
	s, rest, ok := parseZone([]byte(strings.TrimSpace(v)))
	if !ok || len(rest) > 0 {
		return fmt.Errorf("%q is no offset from UTC such as +01:00, -5 or Z", v)
	}
	offset := int64(s)
	o.UTCOffsetS = &offset
	return nil
}

func setBool(p *bool, v string) error {
	b, err := strconv.ParseBool(v)
	if err != nil {
		return fmt.Errorf("%q is neither true nor false", v)
	}
	*p = b
	return nil
}

func setInt(p *int, v string) error {
	n, err := number1(v)
	if err != nil {
		return fmt.Errorf("%q is no whole number", v)
	}
	*p = n
	return nil
}

func setFloat(p *float64, v string) error {
	x, err := strconv.ParseFloat(strings.TrimSpace(v), 64)
	if err != nil || !finite(x) {
		return fmt.Errorf("%q is no number", v)
	}
	*p = x
	return nil
}

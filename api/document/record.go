package document

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"unicode/utf8"

	"mastworth/openapi"
	"mastworth/resource/ingest"
)

// RecordRef is how a request names its record, for the caller to load.
type RecordRef struct {
	File    string         // a path beside the document; empty where ID is given
	ID      string         // of a stored record; empty where File is given
	HeightM float64        // of its sensors, where it does not say; NaN: not given
	Options ingest.Options // how to read File

	input *openapi.RecordInput // for the echo
}

// Name is the file or the id, whichever is given.
func (r *RecordRef) Name() string {
	if r.File != "" {
		return r.File
	}
	return r.ID
}

func newRecordRef(in *openapi.RecordInput) *RecordRef {
	o, _ := readingOptions(in) // checkShape has seen its faults
	return &RecordRef{File: value(in.File, ""), ID: value(in.ID, ""), HeightM: value(in.HeightM, math.NaN()), Options: o, input: in}
}

// Patterns of the contract.
var (
	idPattern   = regexp.MustCompile(`^[A-Za-z0-9_-]{1,64}$`)
	zonePattern = regexp.MustCompile(`^(Z|[+-]((0[0-9]|1[0-3]):[0-5][0-9]|14:00))$`)
	onlyPattern = regexp.MustCompile(`(?s)^[^=].*=.*$`)
)

// IsID reports whether s can be the id of a record or a site.
func IsID(s string) bool { return idPattern.MatchString(s) }

const atRecord = "wind.record"

func (s *shape) record(in *openapi.RecordInput) {
	switch {
	case (in.File == nil) == (in.ID == nil):
		s.add(atRecord, "name the record by file or by id, one of the two")
	case in.ID != nil && !IsID(*in.ID):
		s.add(atRecord+".id", "is no id of a record, which is made of up to 64 letters, digits, - and _")
	case in.File != nil:
		s.length(atRecord+".file", *in.File, 1, 1000)
	}
	if in.ID != nil {
		if field := firstReadingField(in); field != "" {
			s.add(atRecord+"."+field, "tells how to read a file; a stored record has been read already, so leave it out")
			return
		}
	}
	s.reading(in)
}

// firstReadingField is the name of one field that is for files alone, or "".
func firstReadingField(in *openapi.RecordInput) string {
	for _, f := range []struct {
		name string
		is   bool
	}{
		{"format", in.Format != nil}, {"columns", in.Columns != nil}, {"only_columns", in.OnlyColumns != nil},
		{"only", in.Only != nil}, {"header_line", in.HeaderLine != nil}, {"delimiter", in.Delimiter != nil},
		{"decimal_comma", in.DecimalComma != nil}, {"missing", in.Missing != nil}, {"time_layout", in.TimeLayout != nil},
		{"date_order", in.DateOrder != nil}, {"stamps_at", in.StampsAt != nil}, {"utc_offset", in.UTCOffset != nil},
		{"speed_unit", in.SpeedUnit != nil}, {"pulse", in.Pulse != nil},
	} {
		if f.is {
			return f.name
		}
	}
	return ""
}

func (s *shape) length(at, text string, least, most int) {
	if n := utf8.RuneCountInString(text); n < least || n > most {
		s.add(at, "must be from %d to %d characters long, not %d", least, most, n)
	}
}

func (s *shape) list(at string, texts []string, least, most int) {
	const longest = 20
	if len(texts) > longest {
		s.add(at, "must have at most %d entries, not %d", longest, len(texts))
		return
	}
	for i, t := range texts {
		s.length(fmt.Sprintf("%s[%d]", at, i), t, least, most)
	}
}

// reading checks the options of reading a file: first their shape, then what the readers say.
func (s *shape) reading(in *openapi.RecordInput) {
	before := len(*s)
	if in.Missing != nil {
		s.list(atRecord+".missing", *in.Missing, 1, 40)
	}
	if in.Only != nil {
		s.list(atRecord+".only", *in.Only, 2, 300)
		for i, t := range *in.Only {
			if !onlyPattern.MatchString(t) {
				s.add(fmt.Sprintf("%s.only[%d]", atRecord, i), "must be NAME=TEXT, not %s", quoted(t))
			}
		}
	}
	if in.TimeLayout != nil {
		s.length(atRecord+".time_layout", *in.TimeLayout, 1, 60)
	}
	if in.HeaderLine != nil && (*in.HeaderLine < -1 || *in.HeaderLine > 1_000_000) {
		s.add(atRecord+".header_line", "must be from -1 to 1000000, not %d", *in.HeaderLine)
	}
	if in.UTCOffset != nil && !zonePattern.MatchString(*in.UTCOffset) {
		s.add(atRecord+".utc_offset", "must be Z or like +01:00, at most 14 hours, not %s", quoted(*in.UTCOffset))
	}
	s.columns(in.Columns)
	if len(*s) > before {
		return
	}
	_, faults := readingOptions(in)
	*s = append(*s, faults...)
}

func (s *shape) columns(c *openapi.Columns) {
	for _, l := range columnLists(c) {
		at := atRecord + ".columns." + l.quantity
		if n := len(l.columns); n < 1 || n > 20 {
			s.add(at, "must have from 1 to 20 columns, not %d", n)
			continue
		}
		for i, col := range l.columns {
			at := fmt.Sprintf("%s[%d]", at, i)
			s.length(at+".name", col.Name, 1, 200)
			if col.Unit != nil {
				s.length(at+".unit", *col.Unit, 1, 20)
			}
			if h := col.HeightM; h != nil && !(*h >= 0 && *h <= 1000) {
				s.add(at+".height_m", "must be from 0 to 1000 m, not %g", *h)
			}
		}
	}
}

type columnList struct {
	quantity string
	columns  openapi.ColumnList
}

// columnLists are the lists that are given, in the order of the contract.
func columnLists(c *openapi.Columns) []columnList {
	if c == nil {
		return nil
	}
	var out []columnList
	for _, l := range []struct {
		quantity string
		columns  *openapi.ColumnList
	}{
		{ingest.ColumnTime, c.Time}, {ingest.ColumnDate, c.Date}, {ingest.ColumnTimeOfDay, c.TimeOfDay},
		{ingest.ColumnYear, c.Year}, {ingest.ColumnMonth, c.Month}, {ingest.ColumnDay, c.Day},
		{ingest.ColumnYearDay, c.DayOfYear}, {ingest.ColumnHour, c.Hour}, {ingest.ColumnMinute, c.Minute},
		{ingest.ColumnSecond, c.Second}, {ingest.ColumnPulses, c.Pulses}, {"speed", c.Speed}, {"speed_sd", c.SpeedSD},
		{"gust", c.Gust}, {"direction", c.Direction}, {"temperature", c.Temperature}, {"pressure", c.Pressure},
		{"humidity", c.Humidity}, {"global_horizontal", c.GlobalHorizontal}, {"direct_normal", c.DirectNormal},
		{"diffuse_horizontal", c.DiffuseHorizontal}, {ingest.ColumnIgnore, c.Ignore},
	} {
		if l.columns != nil {
			out = append(out, columnList{l.quantity, *l.columns})
		}
	}
	return out
}

// readingOptions turns the fields of a record into options of its reader, and reports what the reader would refuse.
func readingOptions(in *openapi.RecordInput) (ingest.Options, []FieldError) {
	var (
		o ingest.Options
		s shape
	)
	set := func(name string, text *string) {
		if text == nil {
			return
		}
		if err := o.Set(name, *text); err != nil {
			s.optionErrors(err)
		}
	}
	set("delimiter", (*string)(in.Delimiter))
	set("utc_offset", in.UTCOffset)
	for _, t := range value(in.Only, nil) {
		set("only", &t)
	}
	o.Format = string(value(in.Format, ""))
	o.OnlyColumns = value(in.OnlyColumns, false)
	o.HeaderLine = value(in.HeaderLine, 0)
	o.DecimalComma = value(in.DecimalComma, false)
	o.Missing = value(in.Missing, nil)
	o.TimeLayout = value(in.TimeLayout, "")
	o.DateOrder = string(value(in.DateOrder, ""))
	o.StampsAt = ingest.StampsAt(value(in.StampsAt, ""))
	o.SpeedUnit = string(value(in.SpeedUnit, ""))
	o.DefaultHeightM = value(in.HeightM, 0)
	if p := in.Pulse; p != nil {
		o.Pulse = ingest.Pulse{SlopeMSPerHz: p.SlopeMSPerHz, OffsetMS: value(p.OffsetMS, 0), IntervalS: value(p.IntervalS, 0)}
	}
	for _, l := range columnLists(in.Columns) {
		for _, c := range l.columns {
			o.Columns = append(o.Columns, ingest.ColumnSpec{Column: c.Name, Quantity: l.quantity, HeightM: value(c.HeightM, 0),
				Unit: value(c.Unit, ""), Slope: value(c.Slope, 0), Offset: value(c.Offset, 0)})
		}
	}
	if err := o.Validate(); err != nil {
		s.optionErrors(err)
	}
	return o, s
}

// optionPlaces are the options whose place in the document is not their own name.
var optionPlaces = map[string]string{
	"column": "columns", "default_height_m": "height_m", "pulse_slope": "pulse.slope_m_s_per_hz",
	"pulse_offset": "pulse.offset_m_s", "pulse_interval": "pulse.interval_s",
}

func (s *shape) optionErrors(err error) {
	for _, e := range OptionErrors(err) {
		place, ok := optionPlaces[e.Option]
		if !ok {
			place = e.Option
		}
		s.add(atRecord+"."+place, "%s", e.Reason)
	}
}

// OptionErrors takes apart what ingest.Options.Set and Validate return. An error that names no option is not dropped: it
// comes back without one.
func OptionErrors(err error) []*ingest.OptionError {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var out []*ingest.OptionError
		for _, e := range joined.Unwrap() {
			out = append(out, OptionErrors(e)...)
		}
		return out
	}
	var one *ingest.OptionError
	if errors.As(err, &one) {
		return []*ingest.OptionError{one}
	}
	return []*ingest.OptionError{{Reason: err.Error()}}
}

// value is what p points to, or absent where it points to nothing.
func value[T any](p *T, absent T) T {
	if p == nil {
		return absent
	}
	return *p
}

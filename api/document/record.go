package document

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"unicode/utf8"

	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/resource/ingest"
	"mastworth/yield/assess"
)

// RecordRef is how a request names a record, for the caller to load.
type RecordRef struct {
	At        string                 // the place in the request, such as "wind.record"
	File      string                 // a path beside the document; empty where ID is given
	ID        string                 // of a stored record; empty where File is given
	HeightM   float64                // of its sensors, where it does not say; NaN: not given
	Options   ingest.Options         // how to read File
	Screening resource.ScreenOptions // which rules to screen it by

	input *openapi.RecordInput // for the echo
}

// Refs are the records a request names: that of the wind, the one by which it is stretched to the long run, and the log of the
// machine. Each is nil where the request names none.
type Refs struct {
	Wind, Reference, Log *RecordRef

	design  *openapi.DesignInput // for the echo
	testLog *openapi.TestLogInput
}

// All are the references that are not nil.
func (r Refs) All() []*RecordRef {
	var out []*RecordRef
	for _, ref := range []*RecordRef{r.Wind, r.Reference, r.Log} {
		if ref != nil {
			out = append(out, ref)
		}
	}
	return out
}

// Records pairs each reference with the record of the request that waits for its series.
func (r Refs) Records(in *assess.Request) []*assess.Record {
	var out []*assess.Record
	if r.Wind != nil {
		out = append(out, in.Wind.Record)
	}
	if r.Reference != nil {
		out = append(out, in.Wind.LongTerm.Reference)
	}
	if r.Log != nil {
		out = append(out, in.Turbine.TestLog.Record)
	}
	return out
}

// Name is the file or the id, whichever is given.
func (r *RecordRef) Name() string {
	if r.File != "" {
		return r.File
	}
	return r.ID
}

func newRecordRef(at string, in *openapi.RecordInput) *RecordRef {
	o, _ := readingOptions(at, in) // checkShape has seen its faults
	return &RecordRef{At: at, File: value(in.File, ""), ID: value(in.ID, ""), HeightM: value(in.HeightM, math.NaN()), Options: o,
		Screening: toScreening(in.Screening), input: in}
}

func toScreening(in *openapi.ScreeningInput) resource.ScreenOptions {
	if in == nil {
		return resource.ScreenOptions{}
	}
	o := resource.ScreenOptions{Off: in.LeaveOut}
	if len(in.Limits) > 0 {
		o.Limits = make(map[string]float64, len(in.Limits))
	}
	for _, l := range in.Limits {
		o.Limits[l.Name] = l.Value
	}
	return o
}

// Patterns of the contract.
var (
	zonePattern = regexp.MustCompile(`^(Z|[+-]((0[0-9]|1[0-3]):[0-5][0-9]|14:00))$`)
	onlyPattern = regexp.MustCompile(`(?s)^[^=].*=.*$`)
)

// IsID reports whether s can be the id of a record or a site.
func IsID(s string) bool {
	for i := range len(s) {
		switch c := s[i]; {
		case 'a' <= c && c <= 'z', 'A' <= c && c <= 'Z', '0' <= c && c <= '9', c == '-', c == '_':
		default:
			return false
		}
	}
	return 0 < len(s) && len(s) <= 64
}

const (
	atRecord    = "wind.record"
	atReference = "wind.long_term.reference"
)

func (s *shape) record(at string, in *openapi.RecordInput) {
	switch {
	case (in.File == nil) == (in.ID == nil):
		s.add(at, "name the record by file or by id, one of the two")
	case in.ID != nil && !IsID(*in.ID):
		s.add(at+".id", "is no id of a record, which is made of up to 64 letters, digits, - and _")
	case in.File != nil:
		s.length(at+".file", *in.File, 1, maxFileName)
	}
	if in.ID != nil {
		if field := firstReadingField(in); field != "" {
			s.add(at+"."+field, "tells how to read a file; a stored record has been read already, so leave it out")
			return
		}
	}
	s.bounds(at, []bound{{"height_m", in.HeightM, 0, 200, "m", true}})
	s.reading(at, in)
	s.screening(at+".screening", in.Screening)
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

// screening checks names and limits against the rules there are.
func (s *shape) screening(at string, in *openapi.ScreeningInput) {
	if in == nil {
		return
	}
	if len(in.LeaveOut) > 20 {
		s.add(at+".leave_out", "must have at most 20 entries, not %d", len(in.LeaveOut))
		return
	}
	if len(in.Limits) > 40 {
		s.add(at+".limits", "must have at most 40 entries, not %d", len(in.Limits))
		return
	}
	before := len(*s)
	for i, name := range in.LeaveOut {
		if err := (resource.ScreenOptions{Off: []string{name}}).Validate(); err != nil {
			s.add(fmt.Sprintf("%s.leave_out[%d]", at, i), "%s", err)
		}
	}
	seen := map[string]bool{}
	for i, l := range in.Limits {
		place := fmt.Sprintf("%s.limits[%d].name", at, i)
		if seen[l.Name] {
			s.add(place, "%s is set twice; keep one", quoted(l.Name))
		}
		seen[l.Name] = true
		if err := (resource.ScreenOptions{Limits: map[string]float64{l.Name: l.Value}}).Validate(); err != nil {
			s.add(place, "%s", err)
		}
	}
	if len(*s) > before {
		return
	}
	if err := toScreening(in).Validate(); err != nil { // what only all of them together get wrong
		s.add(at, "%s", err)
	}
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
func (s *shape) reading(at string, in *openapi.RecordInput) {
	before := len(*s)
	if in.Missing != nil {
		s.list(at+".missing", *in.Missing, 1, 40)
	}
	if in.Only != nil {
		s.list(at+".only", *in.Only, 2, 300)
		for i, t := range *in.Only {
			if !onlyPattern.MatchString(t) {
				s.add(fmt.Sprintf("%s.only[%d]", at, i), "must be NAME=TEXT, not %s", quoted(t))
			}
		}
	}
	if in.TimeLayout != nil {
		s.length(at+".time_layout", *in.TimeLayout, 1, 60)
	}
	if in.HeaderLine != nil && (*in.HeaderLine < -1 || *in.HeaderLine > 1_000_000) {
		s.add(at+".header_line", "must be from -1 to 1000000, not %d", *in.HeaderLine)
	}
	if in.UTCOffset != nil && !zonePattern.MatchString(*in.UTCOffset) {
		s.add(at+".utc_offset", "must be Z or like +01:00, at most 14 hours, not %s", quoted(*in.UTCOffset))
	}
	s.columns(at, in.Columns)
	if len(*s) > before {
		return
	}
	_, faults := readingOptions(at, in)
	*s = append(*s, faults...)
}

func (s *shape) columns(at string, c *openapi.Columns) {
	for _, l := range columnLists(c) {
		at := at + ".columns." + l.quantity
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
		{"diffuse_horizontal", c.DiffuseHorizontal}, {"power", c.Power}, {"voltage", c.Voltage}, {"current", c.Current},
		{"shaft_speed", c.ShaftSpeed}, {ingest.ColumnIgnore, c.Ignore},
	} {
		if l.columns != nil {
			out = append(out, columnList{l.quantity, *l.columns})
		}
	}
	return out
}

// readingOptions turns the fields of a record into options of its reader, and reports what the reader would refuse.
func readingOptions(at string, in *openapi.RecordInput) (ingest.Options, []FieldError) {
	var (
		o ingest.Options
		s shape
	)
	set := func(name string, text *string) {
		if text == nil {
			return
		}
		if err := o.Set(name, *text); err != nil {
			s.optionErrors(at, err)
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
		s.optionErrors(at, err)
	}
	return o, s
}

// optionPlaces are the options whose place in the document is not their own name.
var optionPlaces = map[string]string{
	"column": "columns", "default_height_m": "height_m", "pulse_slope": "pulse.slope_m_s_per_hz",
	"pulse_offset": "pulse.offset_m_s", "pulse_interval": "pulse.interval_s",
}

func (s *shape) optionErrors(at string, err error) {
	for _, e := range OptionErrors(err) {
		place, ok := optionPlaces[e.Option]
		if !ok {
			place = e.Option
		}
		s.add(at+"."+place, "%s", e.Reason)
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

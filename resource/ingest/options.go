package ingest

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"mastworth/resource"
)

// StampsAt says which end of the averaging step a stamp marks.
type StampsAt string

// The ends of a step. The zero value is StampsUnknown.
const (
	StampsUnknown StampsAt = "unknown" // taken from the file if it says so, else as the beginning, and reported
	StampsBegin   StampsAt = "begin"
	StampsEnd     StampsAt = "end" // the stamps are moved one step back
)

// The things a column can hold besides the quantities of package resource.
const (
	ColumnTime      = "time"        // date and time, or Unix seconds, or a spreadsheet's day number
	ColumnDate      = "date"        // the date alone
	ColumnTimeOfDay = "time_of_day" // the time alone
	ColumnYear      = "year"
	ColumnMonth     = "month"
	ColumnDay       = "day"
	ColumnYearDay   = "day_of_year"
	ColumnHour      = "hour"
	ColumnMinute    = "minute"
	ColumnSecond    = "second"
	ColumnPulses    = "pulses" // counts of a cup anemometer's contact within the step
	ColumnIgnore    = "ignore"
)

var columnRoles = []string{
	ColumnTime, ColumnDate, ColumnTimeOfDay, ColumnYear, ColumnMonth, ColumnDay, ColumnYearDay, ColumnHour, ColumnMinute,
	ColumnSecond, ColumnPulses, ColumnIgnore,
}

// ColumnSpec says what a column of a logger CSV holds, for when its name does not.
type ColumnSpec struct {
	Column   string  // its name in the header, or its 1-based number
	Quantity string  // a name of resource.Quantity, such as "speed", or one of the Column constants
	HeightM  float64 // above ground, m; 0: as the column's name says
	Unit     string  // such as "km/h"; empty: as the header says, else as usual for the quantity
	Slope    float64 // reading = Slope·raw + Offset, before the unit; 0: 1. For pulses: see Pulse.
	Offset   float64
}

// Pulse calibrates a column that counts an anemometer's pulses:
//
//	speed = SlopeMSPerHz · count / IntervalS + OffsetMS,   and no pulse at all is a calm, 0 m/s
type Pulse struct {
	SlopeMSPerHz float64 // m/s for one pulse a second; 0: pulse columns are left out
	OffsetMS     float64 // m/s
	IntervalS    float64 // time over which a count runs, s; 0: the record's own step
}

// Options steer reading. The zero value leaves everything to be found out from the content.
type Options struct {
	Format      string       // one of Formats; empty: found from the content
	Columns     []ColumnSpec // what some columns hold; the others are still recognised by their names
	OnlyColumns bool         // leave out every measurement that Columns does not list
	Only        map[string]string
	// Only keeps the rows that hold the given text in the named (or numbered) columns: {"origin": "JFK"}.

	HeaderLine     int           // 1-based line of the column names; 0: found; -1: there is none, columns go by number
	Delimiter      rune          // 0: found; ' ' means any run of blanks
	DecimalComma   bool          // false: found
	Missing        []string      // codes for a missing value besides the usual ones
	TimeLayout     string        // such as "DD.MM.YYYY hh:mm", "unix", "unix_ms" or "spreadsheet"; empty: found
	DateOrder      string        // "ymd", "dmy" or "mdy" where a date can be read in several ways; empty: from the whole file
	StampsAt       StampsAt      // empty: StampsUnknown
	UTCOffsetS     *int64        // local standard time less UTC, s; nil: as the file says, else the file's clock is taken as UTC
	SpeedUnit      string        // of speed columns whose header has no unit; empty: m/s
	DefaultHeightM float64       // of wind columns whose name has no height, m; 0: unknown
	Pulse          Pulse         // calibration of pulse columns
	MaxBytes       int64         // refuse more; 0: no limit
	MaxRows        int64         // refuse more data rows; 0: DefaultMaxRows
	SizeHint       int64         // bytes to come, if known: saves memory; 0: asked of the reader
	Progress       func(n int64) // called now and then with the bytes read so far; may be nil

	pieceBytes int // how long the pieces are in which a logger's table is read; 0: as suits, negative: it is read in one
}

// DefaultMaxRows is the most data rows read where Options.MaxRows is 0: ten-minute data for 190 years.
const DefaultMaxRows = 10_000_000

// OptionError says which option is wrong, by its name in Settings, and why.
type OptionError struct {
	Option string
	Reason string
}

func (e *OptionError) Error() string { return "option " + e.Option + ": " + e.Reason }

// Validate returns nil, or one or more *OptionError, joined.
func (o *Options) Validate() error {
	var errs []error
	wrong := func(bad bool, option, format string, args ...any) {
		if bad {
			errs = append(errs, &OptionError{Option: option, Reason: fmt.Sprintf(format, args...)})
		}
	}
	wrong(o.Format != "" && !slices.Contains(formatNames, o.Format), "format", "%q is none of %s", o.Format, strings.Join(formatNames, ", "))
	for i := range o.Columns {
		reason := o.Columns[i].check()
		wrong(reason != "", "column", "%s", reason)
	}
	for name := range o.Only {
		wrong(strings.TrimSpace(name) == "", "only", "a filter needs the name of a column")
	}
	wrong(o.HeaderLine < -1, "header_line", "%d is no line; lines count from 1, -1 means none", o.HeaderLine)
	wrong(!goodDelimiter(o.Delimiter), "delimiter", "%q cannot separate columns", o.Delimiter)
	if _, err := newTimeLayout(o.TimeLayout); err != nil {
		wrong(true, "time_layout", "%s", err)
	}
	_, okOrder := dateOrders[o.DateOrder]
	wrong(!okOrder, "date_order", "%q is none of ymd, dmy, mdy", o.DateOrder)
	switch o.StampsAt {
	case "", StampsUnknown, StampsBegin, StampsEnd:
	default:
		wrong(true, "stamps_at", "%q is none of begin, end, unknown", o.StampsAt)
	}
	wrong(o.UTCOffsetS != nil && !goodOffset(*o.UTCOffsetS), "utc_offset", "no place on earth is more than 14 hours away from UTC")
	u, ok := unitNamed(o.SpeedUnit)
	wrong(o.SpeedUnit != "" && !(ok && u.of == speedUnit), "speed_unit", "%q is no unit of speed; m/s, km/h, mph, knots and ft/s are", o.SpeedUnit)
	wrong(!goodHeight(o.DefaultHeightM), "default_height_m", "%g m is no height above ground", o.DefaultHeightM)
	p := o.Pulse
	wrong(!finite(p.SlopeMSPerHz) || p.SlopeMSPerHz < 0, "pulse_slope", "%g m/s per Hz is no slope of an anemometer", p.SlopeMSPerHz)
	wrong(!finite(p.OffsetMS), "pulse_offset", "%g m/s is no offset", p.OffsetMS)
	wrong(!finite(p.IntervalS) || p.IntervalS < 0, "pulse_interval", "%g s is no interval", p.IntervalS)
	wrong(o.MaxBytes < 0, "max_bytes", "it cannot be negative")
	wrong(o.MaxRows < 0, "max_rows", "it cannot be negative")
	return errors.Join(errs...)
}

// check says what is wrong with a column's specification; empty: nothing.
func (c *ColumnSpec) check() string {
	_, measured := resource.ParseQuantity(c.Quantity)
	switch {
	case strings.TrimSpace(c.Column) == "":
		return "a column needs its name in the header, or its number"
	case !measured && !slices.Contains(columnRoles, c.Quantity):
		return fmt.Sprintf("column %q cannot hold %q; it can hold %s", c.Column, c.Quantity, strings.Join(holdable(), ", "))
	case !goodHeight(c.HeightM):
		return fmt.Sprintf("column %q cannot be at %g m above ground", c.Column, c.HeightM)
	case !finite(c.Slope) || !finite(c.Offset):
		return fmt.Sprintf("column %q needs a finite slope and offset", c.Column)
	case c.Quantity == ColumnPulses && c.Slope < 0:
		return fmt.Sprintf("column %q: %g m/s per Hz is no slope of an anemometer", c.Column, c.Slope)
	case c.Unit == "" || !measured:
		return ""
	}
	q, _ := resource.ParseQuantity(c.Quantity)
	u, ok := unitNamed(c.Unit)
	if !ok || u.of != unitOf(q) {
		return fmt.Sprintf("column %q: %q is no unit of %s; %s are", c.Column, c.Unit, c.Quantity, unitsFor(unitOf(q)))
	}
	return ""
}

// holdable lists what a column can be said to hold.
func holdable() []string {
	var names []string
	for q := resource.Speed; q <= resource.ShaftSpeed; q++ {
		names = append(names, q.String())
	}
	return append(names, columnRoles...)
}

func finite(v float64) bool     { return !math.IsNaN(v) && !math.IsInf(v, 0) }
func goodHeight(m float64) bool { return m >= 0 && m <= 1000 }
func goodOffset(s int64) bool   { return s >= -14*3600 && s <= 14*3600 }
func goodDelimiter(r rune) bool {
	return r == 0 || r == '\t' || r >= ' ' && r < 0x7f && !strings.ContainsRune(`"+-.:`, r) && !isAlnum(byte(r))
}
func isAlnum(c byte) bool           { return c-'0' <= 9 || c|0x20 >= 'a' && c|0x20 <= 'z' }
func number1(s string) (int, error) { return strconv.Atoi(strings.TrimSpace(s)) }

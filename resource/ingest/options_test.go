package ingest

import (
	"errors"
	"reflect"
	"strings"
	"testing"
)

func TestSet(t *testing.T) {
	var o Options
	for _, kv := range [][2]string{
		{"format", "logger_csv"}, {"column", "WS top, m/s=speed,height=12.5,unit=mph"}, {"column", "3=pulses,slope=0.7,offset=0.3"}, {"only", "origin=JFK"},
		{"only_columns", "true"}, {"header_line", "-1"}, {"delimiter", "tab"}, {"decimal_comma", "1"}, {"missing", "-1"}, {"missing", "bad"},
		{"time_layout", "DD.MM.YYYY hh:mm"}, {"date_order", "dmy"}, {"stamps_at", "end"}, {"utc_offset", "-05:30"}, {"speed_unit", "knots"},
		{"default_height_m", "10"}, {"pulse_slope", "0.75"}, {"pulse_offset", "0.3"}, {"pulse_interval", "60"}, {"max_rows", "1000"},
	} {
		if err := o.Set(kv[0], kv[1]); err != nil {
			t.Error(err)
		}
	}
	offset := int64(-19800)
	want := Options{Format: "logger_csv", OnlyColumns: true, Only: map[string]string{"origin": "JFK"}, HeaderLine: -1, Delimiter: '\t', DecimalComma: true,
		Columns: []ColumnSpec{{Column: "WS top, m/s", Quantity: "speed", HeightM: 12.5, Unit: "mph"}, {Column: "3", Quantity: "pulses", Slope: 0.7, Offset: 0.3}},
		Missing: []string{"-1", "bad"}, TimeLayout: "DD.MM.YYYY hh:mm", DateOrder: "dmy", StampsAt: StampsEnd, UTCOffsetS: &offset, SpeedUnit: "knots",
		DefaultHeightM: 10, Pulse: Pulse{0.75, 0.3, 60}, MaxRows: 1000}
	if !reflect.DeepEqual(o, want) {
		t.Errorf("%+v\nwant %+v", o, want)
	}
	if err := o.Validate(); err != nil {
		t.Error(err)
	}
	for _, kv := range [][2]string{{"colour", "x"}, {"column", "x"}, {"column", "a=speed,height=high"}, {"only", "x"}, {"header_line", "two"}, {"delimiter", "ab"},
		{"decimal_comma", "perhaps"}, {"utc_offset", "CET"}, {"utc_offset", "+99"}, {"pulse_slope", "NaN"}, {"max_rows", "many"}} {
		var oe *OptionError
		if err := o.Set(kv[0], kv[1]); !errors.As(err, &oe) || oe.Option != kv[0] {
			t.Errorf("%v: %v", kv, err)
		}
	}
}

func TestValidate(t *testing.T) {
	far := int64(15 * 3600)
	for option, o := range map[string]Options{
		"format": {Format: "xyz"}, "column": {Columns: []ColumnSpec{{Column: "a", Quantity: "colour"}}}, "only": {Only: map[string]string{" ": "x"}},
		"header_line": {HeaderLine: -2}, "delimiter": {Delimiter: 'x'}, "time_layout": {TimeLayout: "hh"}, "date_order": {DateOrder: "ydm"},
		"stamps_at": {StampsAt: "middle"}, "utc_offset": {UTCOffsetS: &far}, "speed_unit": {SpeedUnit: "hPa"}, "default_height_m": {DefaultHeightM: -1},
		"pulse_slope": {Pulse: Pulse{SlopeMSPerHz: -1}}, "pulse_interval": {Pulse: Pulse{IntervalS: -1}}, "max_bytes": {MaxBytes: -1}, "max_rows": {MaxRows: -1},
	} {
		err := o.Validate()
		var oe *OptionError
		if !errors.As(err, &oe) || oe.Option != option || oe.Reason == "" {
			t.Errorf("%s: %v", option, err)
		}
		if _, _, rerr := Read(strings.NewReader("x"), o); rerr == nil || rerr.Error() != err.Error() {
			t.Errorf("%s: Read says %v", option, rerr)
		}
	}
	for _, c := range []ColumnSpec{{Quantity: "speed"}, {Column: "a", Quantity: "speed", HeightM: 1e6}, {Column: "a", Quantity: "speed", Unit: "hPa"},
		{Column: "a", Quantity: "pulses", Slope: -1}} {
		o := Options{Columns: []ColumnSpec{c}}
		if o.Validate() == nil {
			t.Errorf("%+v is taken", c)
		}
	}
}

// TestSettingsAreComplete holds Settings to have a name and a line each, and Formats to be what Options takes.
func TestSettingsAreComplete(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range Settings() {
		if s.Name == "" || s.Doc == "" || strings.Contains(s.Doc, "\n") || seen[s.Name] {
			t.Errorf("%+v", s)
		}
		seen[s.Name] = true
	}
	for _, f := range Formats() {
		o := Options{Format: f}
		if err := o.Validate(); err != nil {
			t.Error(err)
		}
	}
}

package ingest

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"
)

// fuzzRead holds arbitrary bytes to the promises: no panic; either a sound Series and a report that agrees with it, or
// an error that says why.
func fuzzRead(t *testing.T, data []byte, o Options) {
	if len(data) > 1<<16 {
		return
	}
	s, rep, err := Read(bytes.NewReader(data), o)
	if err != nil {
		var re *ReadError
		var oe *OptionError
		if !errors.As(err, &re) && !errors.As(err, &oe) {
			t.Fatalf("%T: %v", err, err)
		}
		if re != nil && (re.Reason == "" || re.Remedy == "") {
			t.Fatalf("reason %q, remedy %q", re.Reason, re.Remedy)
		}
		return
	}
	checkSeries(t, s)
	total := int64(0)
	for _, n := range rep.ProblemCounts {
		total += n
	}
	if rep.Kept != int64(s.Len()) || rep.StepS != s.StepS || rep.Rows < rep.Kept || total != rep.ProblemCount || len(rep.Problems) > keptProblems {
		t.Fatalf("%d stamps, step %d; report %+v", s.Len(), s.StepS, rep)
	}
	lines := 1 + bytes.Count(data, []byte{'\n'}) + bytes.Count(data, []byte{'\r'})
	if s.SourceFormat == "open_meteo_json" {
		lines = int(rep.Rows)
	}
	for _, p := range rep.Problems {
		if p.Line < 1 || p.Line > lines || p.Detail == "" {
			t.Fatalf("%+v in %d bytes", p, len(data))
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, tc := range loggerCases {
		f.Add([]byte(tc.text))
	}
	for _, s := range fixedSeeds() {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) { fuzzRead(t, data, Options{}) })
}

// fixedSeeds are small files of the formats other than the logger CSV.
func fixedSeeds() []string {
	return []string{
		epwHead + epwLine(1999, 1, 1, 1, "5", "3") + epwLine(1999, 1, 1, 2, "99.9", "999"),
		fmt.Sprintf(tmyHead, ",", ",") + "1/1/1988,1:00,0,5,-4.4,1018,260,7.2,A,65,\n1/1/1988,24:00:00,0,0,-5,1017,0,0,A,-9900,\n",
		"2015 01 01 00    79    61 10032   229   134 -9999     9    50\n2015 01 01 01 -9999 -9999 -9999 -9999 -9999 -9999 -9999 -9999\n",
		"-BEGIN HEADER-\nNASA/POWER x\nDates: in LST\nLocation: Latitude 1.5 Longitude 120.0\nElevation = 3.0 meters\nWS10M  Wind Speed (m/s)\n" +
			"-END HEADER-\nYEAR,MO,DY,HR,WS10M,PS\n2015,8,1,0,4.5,101.3\n2015,8,1,1,-999,101\n",
		`{"latitude":52,"longitude":6,"utc_offset_seconds":3600,"hourly_units":{"wind_speed_10m":"km/h"},"hourly":{"time":["2023-01-01T00:00","2023-01-01T01:00"],` +
			`"wind_speed_10m":[1,null],"shortwave_radiation":[1,2]}}`,
	}
}

func FuzzLoggerCSV(f *testing.F) {
	for _, tc := range loggerCases {
		f.Add([]byte(tc.text), "2=speed,height=10", "", uint8(0))
	}
	f.Add([]byte("a;b;c\n1,5;2;3\n"), "a=time", "spreadsheet", uint8(3))
	f.Add([]byte("a b c\n1 2 3\n"), "3=pulses,slope=0.7", "unix", uint8(9))
	f.Fuzz(func(t *testing.T, data []byte, column, layout string, bits uint8) {
		o := Options{Format: "logger_csv", TimeLayout: layout, DecimalComma: bits&1 != 0, OnlyColumns: bits&2 != 0}
		if bits&4 != 0 {
			o.StampsAt, o.HeaderLine, o.DateOrder = StampsEnd, 1, "mdy"
		}
		if bits&8 != 0 {
			o.Pulse, o.Missing, o.Delimiter = Pulse{SlopeMSPerHz: 1e300, OffsetMS: 1e308}, []string{"3", "x"}, ' '
		}
		if bits&16 != 0 {
			o.Only = map[string]string{"1": "3"}
		}
		if c, err := ParseColumn(column); err == nil {
			o.Columns = append(o.Columns, c)
		}
		fuzzRead(t, data, o)
	})
}

func fuzzFormat(f *testing.F, format string, seed int) {
	f.Add([]byte(fixedSeeds()[seed]))
	f.Add([]byte(strings.ReplaceAll(fixedSeeds()[seed], "\n", "\r\n")))
	f.Fuzz(func(t *testing.T, data []byte) { fuzzRead(t, data, Options{Format: format}) })
}

func FuzzEPW(f *testing.F)       { fuzzFormat(f, "epw", 0) }
func FuzzTMY3(f *testing.F)      { fuzzFormat(f, "tmy3", 1) }
func FuzzISDLite(f *testing.F)   { fuzzFormat(f, "isd_lite", 2) }
func FuzzPowerCSV(f *testing.F)  { fuzzFormat(f, "nasa_power_csv", 3) }
func FuzzOpenMeteo(f *testing.F) { fuzzFormat(f, "open_meteo_json", 4) }

// FuzzStamp holds a stamp that is read to be one that exists.
func FuzzStamp(f *testing.F) {
	for _, s := range []string{"2023-05-31 14:30", "5/31/23 2:30 PM", "31-May-2023", "20230531143015", "2023-05-31T14:30:15.5+02:00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, ok := parseStamp([]byte(text))
		if ok && (s.seconds < 0 || s.seconds > secondsPerDay || s.a < 0 || s.b < 0 || s.c < 0 || s.a > 9999 || s.b > 99 || s.c > 9999) {
			t.Fatalf("%q is %+v", text, s)
		}
	})
}

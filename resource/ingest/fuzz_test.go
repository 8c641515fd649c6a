package ingest

import (
	"bytes"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"testing"
)

// What reading may take of memory in all, garbage included: so much, and so much more for each byte that is given. Lists
// of the first hundred problems, with their words, are most of it for small files; what is compressed may grow 300-fold.
const (
	fuzzBase     = 8 << 20
	fuzzMultiple = 2000
)

// fuzzRead holds arbitrary bytes to the promises: no panic; either a sound Series and a report that agrees with it, or
// an error that says why.
func fuzzRead(t *testing.T, data []byte, o Options) {
	if len(data) > 1<<16 {
		return
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	s, rep, err := Read(bytes.NewReader(data), o)
	runtime.ReadMemStats(&after)
	if took := after.TotalAlloc - before.TotalAlloc; took > fuzzBase+fuzzMultiple*uint64(len(data)) {
		t.Fatalf("%d bytes took %d bytes of memory", len(data), took)
	}
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
	if compressed := rep.Member != "" || bytes.HasPrefix(data, []byte("\x1f\x8b")) || bytes.HasPrefix(data, []byte("PK")); compressed ||
		strings.HasSuffix(s.SourceFormat, "_json") || s.SourceFormat == "parquet" || bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		lines = 1 << 20 // rows, not lines of what is given
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
		powerJSONText(false, "LST", []string{"2020010100", "2020010101"}, map[string][]float64{"WS10M": {1, -999}}),
		openMeteoCSVText,
		"0054024130999992016010100004+60750+012767FM-12+020599999V0200901N003019999999N999999999-00221-00371999999ADDMA1101325099999AW1701OC100931REMSYN036=\n" +
			"0039024130999992016011714004+60750+012767FM-16+020599999V0209999C999999999999N999999999-01783-02011999999REMSYN\n",
		isdCSVHead + `"A","2020-01-01T00:00:00","40.0","-105.0","1609","X","FM-15","360,1,N,0051,1","+0100,7","10132,1","10132,1,08400,1"` + "\n",
		ghcnText(true, map[string]string{"wind_speed": "5.1", "wind_direction": "360", "altimeter": "1013"}, map[string]string{"wind_speed": "x"}),
		"#DEBUG: Time Zone     -> UTC\nstation\tvalid\tsknt\talti\tmetar\nX\t2023-05-01 00:00\t7\t29.92\tX 010000Z 21007G15MPS 03/M10 A3043 RMK T10211100\n" +
			"X\t2023-05-01 00:20\tM\tM\tSPECI VRB02KT\n",
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
		if len(data) < 1<<13 {
			inPieces(t, data, o, 1, 100)
		}
	})
}

// formatSeed is a format with the place of its example in fixedSeeds.
type formatSeed struct {
	format string
	seed   int
}

// fuzzFormats gives arbitrary bytes to the readers of formats that are akin: what one of them takes, its kin must refuse or
// read as soundly.
func fuzzFormats(f *testing.F, akin ...formatSeed) {
	for _, a := range akin {
		f.Add([]byte(fixedSeeds()[a.seed]))
		f.Add([]byte(strings.ReplaceAll(fixedSeeds()[a.seed], "\n", "\r\n")))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, a := range akin {
			fuzzRead(t, data, Options{Format: a.format})
		}
	})
}

func FuzzTypicalYear(f *testing.F) { fuzzFormats(f, formatSeed{"epw", 0}, formatSeed{"tmy3", 1}) }
func FuzzISD(f *testing.F)         { fuzzFormats(f, formatSeed{"isd_lite", 2}, formatSeed{"isd", 7}) }
func FuzzPower(f *testing.F) {
	fuzzFormats(f, formatSeed{"nasa_power_csv", 3}, formatSeed{"nasa_power_json", 5})
}
func FuzzOpenMeteo(f *testing.F) {
	fuzzFormats(f, formatSeed{"open_meteo_json", 4}, formatSeed{"open_meteo_csv", 6})
}
func FuzzStationCSV(f *testing.F) {
	fuzzFormats(f, formatSeed{"isd_csv", 8}, formatSeed{"ghcn_hourly", 9}, formatSeed{"airport_reports", 10})
}

func FuzzParquet(f *testing.F) {
	f.Add(parquetSample(f))
	f.Fuzz(func(t *testing.T, data []byte) { fuzzRead(t, data, Options{Format: "parquet"}) })
}

// FuzzCompressed packs arbitrary bytes, and takes arbitrary bytes for packed ones.
func FuzzCompressed(f *testing.F) {
	for _, s := range fixedSeeds() {
		f.Add([]byte(s))
	}
	f.Add(gzipped(f, []byte(loggerCases[0].text)))
	f.Add(zipped(f, "a.csv", loggerCases[0].text))
	f.Fuzz(func(t *testing.T, data []byte) {
		fuzzRead(t, data, Options{})
		if len(data) < 1<<12 {
			fuzzRead(t, gzipped(t, data), Options{})
			fuzzRead(t, zipped(t, "a", string(data)), Options{})
		}
	})
}

// FuzzClimatology reads arbitrary bytes as a climatology: twelve months or an error with words, within the bound of memory;
// months that are given to a request are within its bounds.
func FuzzClimatology(f *testing.F) {
	f.Add([]byte("-BEGIN HEADER-\nNASA/POWER\nT2M  Temperature (C)\n-END HEADER-\nPARAMETER,JAN,FEB,MAR,APR,MAY,JUN,JUL,AUG,SEP,OCT,NOV,DEC\nT2M,1,2,3,4,5,6,7,8,9,10,11,12\n"))
	f.Add([]byte(`{"properties":{"parameter":{"T2M":{"JAN":1}}},"header":{},"parameters":{"T2M":{"units":"C"}}}`))
	f.Add([]byte("-BEGIN HEADER-\nNASA/POWER\nMonthly Climatologies (January 2001 - December 2020)\nALLSKY_SFC_SW_DWN x (kW-hr/m^2/day)\nWS10M x (m/s)\n-END HEADER-\n" +
		"PARAMETER,JAN,FEB,MAR,APR,MAY,JUN,JUL,AUG,SEP,OCT,NOV,DEC\nALLSKY_SFC_SW_DWN,1,2,3,4,5,6,7,6,5,4,3,2\nWS10M,1,2,3,4,5,6,7,8,9,1,2,-999\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<16 {
			return
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		c, rep, err := ReadClimatology(bytes.NewReader(data))
		runtime.ReadMemStats(&after)
		if took := after.TotalAlloc - before.TotalAlloc; took > fuzzBase+fuzzMultiple*uint64(len(data)) {
			t.Fatalf("%d bytes took %d bytes of memory", len(data), took)
		}
		if months, err := c.Irradiation(); err == nil {
			for _, v := range months {
				if !(v >= 0 && v <= 400) {
					t.Fatalf("months %v", months)
				}
			}
		}
		for _, m := range c.MonthlyWindMS {
			if !goodHeight(m.HeightM) {
				t.Fatalf("wind at %g m", m.HeightM)
			}
		}
		if strings.ContainsFunc(c.Period, func(r rune) bool { return r < ' ' || r > '~' }) {
			t.Fatalf("period %q", c.Period)
		}
		var re *ReadError
		if err != nil && (!errors.As(err, &re) || re.Reason == "" || re.Remedy == "") {
			t.Fatalf("%T: %v", err, err)
		}
		if err == nil && (len(rep.Columns) == 0 || len(c.MonthlyWindMS) > len(rep.Columns)) {
			t.Fatalf("%+v", rep)
		}
	})
}

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

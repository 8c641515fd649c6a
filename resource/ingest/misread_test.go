package ingest

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"mastworth/resource"
)

// TestPackedColumns: a column called TMP whose fields pack value and quality together is no temperature, nor is
// precipitation a pressure.
func TestPackedColumns(t *testing.T) {
	text := "DATE,TMP,ws (m/s),p01m\n" + `2020-01-01T00:00:00,"+0020,1",3,5` + "\n" + `2020-01-01T01:00:00,"-0013,1",4,6` + "\n"
	s, rep, err := Read(strings.NewReader(text), Options{})
	if err != nil || len(s.Channels) != 1 || show(&s.Channels[0]) != "speed: 3 4" || rep.ProblemCount != 0 {
		t.Errorf("%v %+v", err, rep)
	}
	if !strings.Contains(rep.Columns[1].How, "packs several values") || !strings.Contains(rep.Columns[3].How, "precipitation") {
		t.Errorf("%+v", rep.Columns)
	}
}

// TestLateSensor: a sensor that writes words for hundreds of rows does not hide the column names above them.
func TestLateSensor(t *testing.T) {
	for _, n := range []int{1, 15, 101, 250, 500} {
		for _, head := range []string{"time,speed 30 m (m/s)\n", "logger 7,\nserial,12\ntime,speed 30 m (m/s)\n,m/s\n"} {
			var b strings.Builder
			b.WriteString(head)
			for i := range 1500 {
				word := "NOT_CONNECTED"
				if i >= n {
					word = fmt.Sprintf("%d.5", i%9)
				}
				fmt.Fprintf(&b, "2023-05-%02d %02d:%02d,%s\n", 1+i/144, i/6%24, i%6*10, word)
			}
			s, rep, err := Read(strings.NewReader(b.String()), Options{})
			if err != nil {
				t.Errorf("%d words: %v", n, err)
				continue
			}
			got := summarise(s.Channels[0].Values)
			if s.Channels[0].HeightM != 30 || s.Len() != 1500 || got.missing != n || rep.ProblemCounts[ProblemNumber] != int64(n) || rep.ProblemCount != int64(n) {
				t.Errorf("%d words: %d stamps at %g m, %d missing, problems %v", n, s.Len(), s.Channels[0].HeightM, got.missing, rep.ProblemCounts)
			}
		}
	}
}

// TestCutNumber: where all numbers have two decimals, a last one with fewer, without a line end behind it, was cut.
func TestCutNumber(t *testing.T) {
	var b strings.Builder
	b.WriteString("time,ws (m/s)\n")
	for i := range 20 {
		fmt.Fprintf(&b, "2023-05-01 %02d:00,%d.%02d\n", i, 10+i, i*3)
	}
	whole := strings.TrimSuffix(b.String(), "\n")
	for cut, want := range map[int]int{0: 20, 1: 19, 2: 19, 3: 19, 4: 19} {
		s, rep, err := Read(strings.NewReader(whole[:len(whole)-cut]), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if _, is := rep.CutRow(); s.Len() != want || is != (cut > 0) {
			t.Errorf("cut by %d: %d rows, problems %v", cut, s.Len(), rep.ProblemCounts)
		}
	}
	// With its line end the row is whole, whatever its decimals.
	if s, rep, err := Read(strings.NewReader(whole[:len(whole)-1]+"\n"), Options{}); err != nil || s.Len() != 20 || rep.ProblemCount != 0 {
		t.Errorf("%v %+v", err, rep)
	}
}

// TestTypicalTable reads a typical year under headers of its own: the hours of a real one, told as a logger's table. Rows,
// mean and calms are those of reference/weibull_fits.csv.
func TestTypicalTable(t *testing.T) {
	const name = "USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw"
	raw, err := os.ReadFile(shared(t, "data", "epw", name))
	if err != nil {
		t.Fatal(err)
	}
	want := referenceFits(t)["epw:"+name]
	model, _ := readFile(t, shared(t, "data", "epw", name), Options{})
	for _, ends := range []bool{true, false} {
		var b bytes.Buffer
		b.WriteString("Timestamp,Wind speed 10 m [m/s],Air temp [C]\n")
		for i, line := range strings.Split(strings.ReplaceAll(string(raw), "\r", ""), "\n") {
			f := strings.Split(line, ",")
			if i < 8 || len(f) < 22 {
				continue
			}
			hour := f[3]
			if !ends {
				hour = fmt.Sprint((i - 8) % 24)
			}
			fmt.Fprintf(&b, "%s-%02s-%02s %02s:00,%s,%s\n", f[0], f[1], f[2], hour, f[21], f[6])
		}
		s, rep, err := Read(&b, Options{UTCOffsetS: hours(-5)})
		if err != nil {
			t.Fatalf("%v %+v", err, rep)
		}
		checkSeries(t, s)
		got := summarise(channelOf(t, s, resource.Speed).Values)
		near(t, "mean", got.mean, want.mean, 1e-9*want.mean)
		if got.n != want.n || got.zero != want.zero || s.Kind != resource.TypicalYear || rep.ProblemCount != 0 || rep.GapCount != 0 {
			t.Errorf("ends %t: %+v, kind %d, problems %v, gaps %d", ends, got, s.Kind, rep.ProblemCounts, rep.GapCount)
		}
		if s.Times[0] != model.Times[0] || s.Times[s.Len()-1] != model.Times[model.Len()-1] {
			t.Errorf("ends %t: from %s to %s", ends, clockText(s.Times[0]), clockText(s.Times[s.Len()-1]))
		}
		if !strings.Contains(strings.Join(rep.Assumptions, "\n"), "typical year") {
			t.Errorf("%v", rep.Assumptions)
		}
	}
}

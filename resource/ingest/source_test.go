package ingest

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"mastworth/resource"
)

// TestBrokenReaders passes on what the reader says, and reads the same however the bytes come.
func TestBrokenReaders(t *testing.T) {
	var text strings.Builder
	text.WriteString("time,ws (m/s)\n")
	for i := range 2000 {
		fmt.Fprintf(&text, "2023-05-%02d %02d:%02d,%d.%d\n", 1+i/1440, i/60%24, i%60, i%20, i%10)
	}
	want, wantRep, err := Read(strings.NewReader(text.String()), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for name, r := range map[string]io.Reader{
		"byte by byte":     iotest.OneByteReader(strings.NewReader(text.String())),
		"half by half":     iotest.HalfReader(strings.NewReader(text.String())),
		"data with error":  iotest.DataErrReader(strings.NewReader(text.String())),
		"unknown size":     io.MultiReader(strings.NewReader(text.String())),
		"buffer":           bytes.NewBufferString(text.String()),
		"CRLF":             strings.NewReader(strings.ReplaceAll(text.String(), "\n", "\r\n")),
		"byte-order mark":  strings.NewReader("\ufeff" + text.String()),
		"end-of-file mark": strings.NewReader(text.String() + "\n\n"),
	} {
		got, rep, err := Read(r, Options{})
		if err != nil || !sameSeries(got, want) || fmt.Sprintf("%+v", rep) != fmt.Sprintf("%+v", wantRep) {
			t.Errorf("%s: %v", name, err)
		}
	}
	// Without its last line end a file may have been cut within its last number: it is read the same, and that is said.
	got, rep, err := Read(strings.NewReader(strings.TrimSuffix(text.String(), "\n")), Options{})
	if err != nil || !sameSeries(got, want) || len(rep.Assumptions) != len(wantRep.Assumptions)+1 ||
		!slices.ContainsFunc(rep.Assumptions, func(a string) bool { return strings.Contains(a, "no line end") }) {
		t.Errorf("no line end at the end: %v, %v", rep.Assumptions, err)
	}
	disk := errors.New("the disk is gone")
	for _, after := range []int{0, 10, 5000, 40000} {
		r := io.MultiReader(strings.NewReader(text.String()[:min(after, text.Len())]), iotest.ErrReader(disk))
		if s, _, err := Read(r, Options{}); !errors.Is(err, disk) || s != nil {
			t.Errorf("after %d bytes: %v", after, err)
		}
	}
	// An upload cut off by the network must not pass for a whole file.
	cut := io.MultiReader(strings.NewReader(text.String()), iotest.ErrReader(io.ErrUnexpectedEOF))
	if _, _, err := Read(cut, Options{}); !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Errorf("a connection that was cut: %v", err)
	}
	wide := io.MultiReader(strings.NewReader("\xff\xfea\x00"), iotest.ErrReader(disk))
	if _, _, err := Read(wide, Options{}); !errors.Is(err, disk) {
		t.Errorf("UTF-16 that breaks off: %v", err)
	}
	if _, _, err := Read(neverReader{}, Options{}); !errors.Is(err, io.ErrNoProgress) {
		t.Errorf("a reader that gives nothing: %v", err)
	}
}

type neverReader struct{}

func (neverReader) Read([]byte) (int, error) { return 0, nil }

// sameSeries compares bit by bit, NaN with NaN.
func sameSeries(a, b *resource.Series) bool {
	return fmt.Sprint(a.Times, a.StepS, a.UTCOffsetS, a.Kind, a.Channels) == fmt.Sprint(b.Times, b.StepS, b.UTCOffsetS, b.Kind, b.Channels)
}

// TestProgress counts up to the file's size; the size is asked of a file without moving in it.
func TestProgress(t *testing.T) {
	path := t.TempDir() + "/record.csv"
	text := "time,ws\n" + strings.Repeat("2023-05-01 00:00,1\n", 50_000)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if n := sizeOf(f); n != int64(len(text)) {
		t.Errorf("size %d, want %d", n, len(text))
	}
	last := int64(0)
	_, rep, err := Read(f, Options{Progress: func(n int64) {
		if n < last {
			t.Errorf("%d after %d bytes", n, last)
		}
		last = n
	}})
	if err != nil || last != int64(len(text)) {
		t.Errorf("%v; %d of %d bytes", err, last, len(text))
	}
	if rep.ProblemCount != 49_999 || rep.ProblemCounts[ProblemDuplicate] != 49_999 || len(rep.Problems) != 100 || rep.Rows != 50_000 || rep.Kept != 1 {
		t.Errorf("%d problems, %d kept of them, %d rows, %d stamps", rep.ProblemCount, len(rep.Problems), rep.Rows, rep.Kept)
	}
}

// TestSeveralStations reads the three airports in one file: without a filter the error names the remedy.
func TestSeveralStations(t *testing.T) {
	f, err := os.Open(shared(t, "data", "nycflights13", "weather.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	_, rep, err := Read(f, Options{SpeedUnit: "mph"})
	var re *ReadError
	if !errors.As(err, &re) || !strings.Contains(re.Reason, `column "origin" holds several (EWR, JFK, LGA)`) || re.Remedy != "choose one with the option only, such as only=origin=EWR" {
		t.Fatalf("%v", err)
	}
	if rep.Rows != 26115 || len(rep.Problems) != 100 {
		t.Errorf("%d rows, %d problems kept", rep.Rows, len(rep.Problems))
	}
}

// TestUnnamedStations reads daily means whose columns bear the names of stations: nothing tells that they are wind.
func TestUnnamedStations(t *testing.T) {
	f, err := os.Open(shared(t, "data", "irish_wind", "irish_wind_daily_knots_1961_1978_6stations.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	_, _, err = Read(f, Options{})
	var re *ReadError
	if !errors.As(err, &re) || !strings.Contains(re.Error(), "DUB") || !strings.Contains(re.Remedy, "column=NAME=speed") {
		t.Fatalf("%v", err)
	}
}

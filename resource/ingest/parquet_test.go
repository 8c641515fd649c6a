package ingest

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"

	"mastworth/resource"
)

// parquetFile writes rows the way this program's own files are: time in milliseconds, doubles that may be null, flags.
func parquetFile(t testing.TB, rows []map[string]any, columns ...string) []byte {
	t.Helper()
	group := parquet.Group{"time": parquet.Encoded(parquet.Timestamp(parquet.Millisecond), &parquet.DeltaBinaryPacked)}
	for _, c := range columns {
		switch {
		case strings.HasSuffix(c, "_flags"):
			group[c] = parquet.Int(32)
		default:
			group[c] = parquet.Compressed(parquet.Optional(parquet.Leaf(parquet.DoubleType)), &parquet.Snappy)
		}
	}
	var b bytes.Buffer
	w := parquet.NewGenericWriter[map[string]any](&b, parquet.NewSchema("record", group))
	if _, err := w.Write(rows); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func parquetSample(t testing.TB) []byte {
	return parquetFile(t, []map[string]any{
		{"time": int64(1_700_000_000_000), "speed_10m_m_s": 3.5, "speed_7p5m_m_s_2": 2.5, "speed_10m_m_s_flags": int32(0), "temperature_degc": nil},
		{"time": int64(1_700_000_600_000), "speed_10m_m_s": nil, "speed_7p5m_m_s_2": 1.5, "speed_10m_m_s_flags": int32(0), "temperature_degc": -1.0},
		{"time": int64(1_700_001_200_000), "speed_10m_m_s": 4.5, "speed_7p5m_m_s_2": 0.5, "speed_10m_m_s_flags": int32(16), "temperature_degc": -2.0},
	}, "speed_10m_m_s", "speed_7p5m_m_s_2", "speed_10m_m_s_flags", "temperature_degc")
}

func TestParquet(t *testing.T) {
	data := parquetSample(t)
	s, rep, err := Read(bytes.NewReader(data), Options{})
	if err != nil {
		t.Fatalf("%v %+v", err, rep)
	}
	checkSeries(t, s)
	for i, want := range []string{"speed@10: 3.5 - 4.5", "speed@7.5: 2.5 1.5 0.5", "temperature: - -1 -2"} {
		if got := show(&s.Channels[i]); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
	if f := s.Channels[0].Flags; len(f) != 3 || f[0] != 0 || f[2] != resource.FlagSource || s.Channels[1].Flags != nil {
		t.Errorf("flags %v", f)
	}
	if s.StepS != 600 || s.Times[0] != 1_700_000_000 || s.SourceFormat != "parquet" {
		t.Errorf("step %d, first %d, %s", s.StepS, s.Times[0], s.SourceFormat)
	}
	for n := range data { // cut anywhere, or with any byte changed, it is an error or a sound series
		if _, _, err := Read(bytes.NewReader(data[:n]), Options{}); err == nil {
			t.Errorf("%d of %d bytes were read without an error", n, len(data))
		}
		broken := bytes.Clone(data)
		broken[n] ^= 0x55
		s, _, err := Read(bytes.NewReader(broken), Options{Format: "parquet"})
		var re *ReadError
		if err == nil {
			checkSeries(t, s)
		} else if !errors.As(err, &re) {
			t.Errorf("byte %d: %v", n, err)
		}
	}
	foreign := parquetFile(t, []map[string]any{{"time": int64(0), "wind": 1.0}}, "wind")
	var re *ReadError
	if _, _, err := Read(bytes.NewReader(foreign), Options{}); !errors.As(err, &re) || !strings.Contains(err.Error(), "speed_10m_m_s") {
		t.Errorf("a file of other columns: %v", err)
	}
}

// TestParquetBomb: a column of nothing takes hardly a byte a row.
func TestParquetBomb(t *testing.T) {
	group := parquet.Group{"time": parquet.Encoded(parquet.Timestamp(parquet.Millisecond), &parquet.DeltaBinaryPacked),
		"speed_10m_m_s": parquet.Optional(parquet.Leaf(parquet.DoubleType))}
	var b bytes.Buffer
	w := parquet.NewGenericWriter[map[string]any](&b, parquet.NewSchema("record", group))
	rows := make([]map[string]any, 1<<16)
	for block := range 32 {
		for i := range rows {
			rows[i] = map[string]any{"time": int64(block<<16+i) * 1000, "speed_10m_m_s": nil}
		}
		if _, err := w.Write(rows); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	_, _, err := Read(bytes.NewReader(b.Bytes()), Options{})
	var re *ReadError
	if rows := 32 << 16; float64(rows*16) > parquetAllowance+parquetGrowth*float64(b.Len()) && !errors.As(err, &re) {
		t.Errorf("%d rows out of %d bytes were read: %v", rows, b.Len(), err)
	}
}

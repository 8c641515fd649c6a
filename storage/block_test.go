package storage

import (
	"bytes"
	"errors"
	"iter"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"
	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"mastworth/resource"
)

// invented is a made-up record of n ten-minute stamps from 30 August 2015 on, with gaps, missing values and flags.
func invented(n int) *resource.Series {
	rng := rand.New(rand.NewPCG(1, 2))
	s := &resource.Series{StepS: 600, UTCOffsetS: -18000, Kind: resource.Measured, SourceFormat: "logger_csv", Attribution: "nobody",
		Place: &resource.Place{Point: orb.Point{-73.8, 40.65}, ElevationM: nan},
		Channels: []resource.Channel{
			{Name: "wind top", Quantity: resource.Speed, HeightM: 10}, {Name: "wind, other", Quantity: resource.Speed, HeightM: 10},
			{Name: "t", Quantity: resource.Temperature, HeightM: nan},
		}}
	for i := range n {
		if i%997 == 5 {
			continue
		}
		s.Times = append(s.Times, 1440892800+int64(i)*600)
		for k := range s.Channels {
			v := math.Round(100*rng.Float64()) / 10
			if rng.IntN(50) == 0 {
				v = nan
			}
			s.Channels[k].Values = append(s.Channels[k].Values, v)
		}
		s.Channels[1].Flags = append(s.Channels[1].Flags, resource.Flag(rng.IntN(3)))
	}
	return s
}

// same compares series, NaN being NaN.
func same(a, b *resource.Series) bool {
	bits := func(s *resource.Series) resource.Series {
		c := *s
		c.Channels = slices.Clone(s.Channels)
		for i := range c.Channels {
			ch := &c.Channels[i]
			ch.Values = slices.Clone(ch.Values)
			for k, v := range ch.Values {
				if v != v {
					ch.Values[k] = -1e300
				}
			}
			if ch.HeightM != ch.HeightM {
				ch.HeightM = -1e300
			}
		}
		if p := c.Place; p != nil && p.ElevationM != p.ElevationM {
			c.Place = &resource.Place{Point: p.Point, ElevationM: -1e300}
		}
		return c
	}
	return reflect.DeepEqual(bits(a), bits(b))
}

func encode(t testing.TB, s *resource.Series) ([]byte, []Block) {
	t.Helper()
	m, err := EncodeMeta(s)
	if err != nil {
		t.Fatal(err)
	}
	var blocks []Block
	for b, err := range EncodeBlocks(s) {
		if err != nil {
			t.Fatal(err)
		}
		blocks = append(blocks, b)
	}
	return m, blocks
}

func sequence(blocks []Block) iter.Seq2[Block, error] {
	return func(emit func(Block, error) bool) {
		for _, b := range blocks {
			if !emit(b, nil) {
				return
			}
		}
	}
}

func TestBlocksRoundTrip(t *testing.T) {
	s := invented(20000)
	m, blocks := encode(t, s)
	got, err := DecodeBlocks(m, sequence(blocks))
	if err != nil {
		t.Fatal(err)
	}
	if !same(s, got) {
		t.Error("the series came back changed")
	}
	months := []string{"2015-08", "2015-09", "2015-10", "2015-11", "2015-12", "2016-01"}
	if len(blocks) != len(months) {
		t.Fatalf("%d blocks, want %d", len(blocks), len(months))
	}
	for i, b := range blocks {
		if b.Month != months[i] {
			t.Errorf("block %d is %s, want %s", i, b.Month, months[i])
		}
	}
	_, again := encode(t, s)
	if !reflect.DeepEqual(blocks, again) {
		t.Error("the same series gave other bytes")
	}
}

func TestDamagedBlocks(t *testing.T) {
	m, blocks := encode(t, invented(3000))
	rapid.Check(t, func(rt *rapid.T) {
		b := blocks[0]
		b.Data = slices.Clone(b.Data)
		b.Data[rapid.IntRange(0, len(b.Data)-1).Draw(rt, "byte")] ^= 1 << rapid.IntRange(0, 7).Draw(rt, "bit")
		if _, err := DecodeBlocks(m, sequence([]Block{b})); !errors.Is(err, ErrCorrupt) {
			rt.Fatalf("a flipped bit gave %v", err)
		}
	})
	other, _ := EncodeMeta(&resource.Series{})
	for name, description := range map[string][]byte{"no JSON": []byte("{"), "unknown quantity": []byte(`{"channels":[{"quantity":"mood"}]}`),
		"another record's": other} {
		if _, err := DecodeBlocks(description, sequence(blocks)); !errors.Is(err, ErrCorrupt) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestBlocksThatDoNotFit(t *testing.T) {
	m, blocks := encode(t, invented(20000))
	relabelled, miscounted := blocks[0], blocks[0]
	relabelled.Month = "2015-07"
	miscounted.Rows++
	rest := blocks[1:]
	for name, wrong := range map[string][]Block{
		"one missing": append([]Block{blocks[0]}, blocks[2:]...), "the last missing": blocks[:len(blocks)-1], "none": nil,
		"swapped": append([]Block{blocks[1], blocks[0]}, blocks[2:]...), "doubled": append([]Block{blocks[0]}, blocks...),
		"another month": append([]Block{relabelled}, rest...), "another count": append([]Block{miscounted}, rest...),
	} {
		if _, err := DecodeBlocks(m, sequence(wrong)); !errors.Is(err, ErrCorrupt) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestSeriesThatCannotBeStored(t *testing.T) {
	unordered, short := invented(10), invented(10)
	unordered.Times[3] = unordered.Times[2]
	short.Channels[0].Values = short.Channels[0].Values[:4]
	for name, s := range map[string]*resource.Series{"out of order": unordered, "short channel": short} {
		n := 0
		for _, err := range EncodeBlocks(s) {
			if n++; err == nil {
				t.Errorf("%s: it gave a block", name)
			}
		}
		if n != 1 {
			t.Errorf("%s: %d answers, want one error", name, n)
		}
	}
}

func TestErrorsFromTheSequence(t *testing.T) {
	m, blocks := encode(t, invented(300))
	broken := errors.New("the line is down")
	_, err := DecodeBlocks(m, func(emit func(Block, error) bool) {
		if emit(blocks[0], nil) {
			emit(Block{}, broken)
		}
	})
	if !errors.Is(err, broken) {
		t.Errorf("got %v", err)
	}
}

// A whole record as one file opens with the library's own generic reader, which knows nothing of this package.
func TestParquetForOthers(t *testing.T) {
	s := invented(5000)
	var b bytes.Buffer
	if err := WriteParquet(&b, s); err != nil {
		t.Fatal(err)
	}
	type row struct {
		Time  int64    `parquet:"time,timestamp(millisecond)"`
		Speed *float64 `parquet:"speed_10m_m_s,optional"`
		Flags int32    `parquet:"speed_10m_m_s_2_flags"`
	}
	rows, err := parquet.Read[row](bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != s.Len() {
		t.Fatalf("%d rows, want %d", len(rows), s.Len())
	}
	for i, r := range rows {
		v := s.Channels[0].Values[i]
		if r.Time != s.Times[i]*1000 || (r.Speed == nil) != (v != v) || r.Speed != nil && *r.Speed != v || r.Flags != int32(s.Channels[1].Flags[i]) {
			t.Fatalf("row %d is %+v", i, r)
		}
	}
}

func TestCSV(t *testing.T) {
	s := invented(3)
	s.Channels[0].Values[1] = nan
	var b strings.Builder
	if err := WriteCSV(&b, s); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(b.String(), "\n")
	if lines[0] != "time,speed_10m_m_s,speed_10m_m_s_2,speed_10m_m_s_2_flags,temperature_degc" {
		t.Errorf("names: %s", lines[0])
	}
	if !strings.HasPrefix(lines[2], "2015-08-30T00:10:00Z,,") || len(lines) != 5 {
		t.Errorf("rows: %q", lines)
	}
}

func BenchmarkEncodeMillionRows(b *testing.B) {
	s := invented(1_000_000)
	var size int
	b.ReportAllocs()
	for b.Loop() {
		size = 0
		for block, err := range EncodeBlocks(s) {
			if err != nil {
				b.Fatal(err)
			}
			size += len(block.Data)
		}
	}
	b.ReportMetric(float64(size)/float64(s.Len()), "bytes/row")
}

func BenchmarkDecodeMillionRows(b *testing.B) {
	m, blocks := encode(b, invented(1_000_000))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := DecodeBlocks(m, sequence(blocks)); err != nil {
			b.Fatal(err)
		}
	}
}

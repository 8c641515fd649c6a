package ingest

import (
	"bytes"
	"errors"
	"math"
	"testing"
	"testing/iotest"

	"pgregory.net/rapid"

	"mastworth/resource"
)

// TestRoundTrip writes arbitrary records and reads them back: stamps, step, offset, quantities, heights and every value
// to the last bit.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := drawSeries(t)
		var b bytes.Buffer
		if err := WriteCSV(&b, want); err != nil {
			t.Fatal(err)
		}
		got, rep, err := Read(&b, Options{})
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		if len(got.Times) != len(want.Times) || got.UTCOffsetS != want.UTCOffsetS || len(got.Channels) != len(want.Channels) {
			t.Fatalf("%d stamps, offset %d, %d channels; want %d, %d, %d\n%+v", len(got.Times), got.UTCOffsetS, len(got.Channels),
				len(want.Times), want.UTCOffsetS, len(want.Channels), rep)
		}
		for i := range want.Times {
			if got.Times[i] != want.Times[i] {
				t.Fatalf("stamp %d is %d, want %d", i, got.Times[i], want.Times[i])
			}
		}
		for c := range want.Channels {
			a, b := &got.Channels[c], &want.Channels[c]
			if a.Quantity != b.Quantity || math.Float64bits(a.HeightM) != math.Float64bits(b.HeightM) && !math.IsNaN(b.HeightM) {
				t.Fatalf("channel %d is %s at %g m, want %s at %g m", c, a.Quantity, a.HeightM, b.Quantity, b.HeightM)
			}
			for i := range b.Values {
				if a.Values[i] != b.Values[i] && !(math.IsNaN(a.Values[i]) && math.IsNaN(b.Values[i])) {
					t.Fatalf("%s %d is %v, want %v", a.Quantity, i, a.Values[i], b.Values[i])
				}
			}
		}
	})
}

func drawSeries(t *rapid.T) *resource.Series {
	s := &resource.Series{UTCOffsetS: int64(rapid.IntRange(-48, 56).Draw(t, "quarter hours")) * 900, StepS: 600}
	n := rapid.IntRange(2, 40).Draw(t, "rows")
	at := rapid.Int64Range(-60_000_000, 60_000_000).Draw(t, "minutes") * 60
	for range n {
		s.Times = append(s.Times, at)
		at += rapid.SampledFrom([]int64{1, 60, 600, 600, 600, 3600, 86400 * 40}).Draw(t, "step")
	}
	quantities := rapid.SliceOfN(rapid.IntRange(int(resource.Speed), int(resource.DiffuseHorizontal)), 1, 5).Draw(t, "quantities")
	for _, q := range quantities {
		c := resource.Channel{Quantity: resource.Quantity(q), HeightM: math.NaN()}
		if rapid.Bool().Draw(t, "high") {
			c.HeightM = float64(rapid.IntRange(1, 2000).Draw(t, "height")) / 10
		}
		for range n {
			v := rapid.OneOf(rapid.Float64Range(0, 60), rapid.Float64Range(-80, 80), rapid.Just(math.NaN()), rapid.Just(0.0)).Draw(t, "value")
			c.Values = append(c.Values, v)
		}
		s.Channels = append(s.Channels, c)
	}
	return s
}

func TestWriteFails(t *testing.T) {
	s := &resource.Series{Times: []int64{0}, Channels: []resource.Channel{{Quantity: resource.Speed, Values: []float64{1}}}}
	full := errors.New("the disk is full")
	if err := WriteCSV(failingWriter{full}, s); !errors.Is(err, full) {
		t.Errorf("%v", err)
	}
	if err := WriteCSV(iotest.TruncateWriter(&bytes.Buffer{}, 0), s); err != nil {
		t.Error(err)
	}
}

type failingWriter struct{ err error }

func (w failingWriter) Write([]byte) (int, error) { return 0, w.err }

package document

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"mastworth/openapi"
	"mastworth/yield/assess"
)

// A document with something different in every field, and one with nothing in any, must be written as encoding/json does.
func TestAppendEstimateIsEncodingJSON(t *testing.T) {
	var full openapi.Estimate
	n := 0
	fill(reflect.ValueOf(&full).Elem(), &n)
	for name, e := range map[string]*openapi.Estimate{"full": &full, "empty": {}} {
		var want bytes.Buffer
		if err := WriteJSON(&want, e); err != nil {
			t.Fatal(err)
		}
		if got := append(AppendEstimate(nil, e), '\n'); !bytes.Equal(got, want.Bytes()) {
			t.Errorf("%s: wrote\n%s\nencoding/json\n%s", name, got, want.Bytes())
		}
	}
	if n < 150 {
		t.Errorf("only %d values were tried", n)
	}
}

// Every decimal of up to ten digits must be written as strconv writes it, and read back the same.
func TestAppendFloatIsShortest(t *testing.T) {
	check := func(f float64) {
		want, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		if got := appendFloat(nil, f); !bytes.Equal(got, want) {
			t.Fatalf("wrote %s for %s", got, want)
		}
	}
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200_000 {
		f := math.Ldexp(rng.Float64()-0.5, rng.IntN(80)-45)
		check(f)
		check(rounded(f))
		check(float64(rng.IntN(1e9)) / tens[rng.IntN(12)])
	}
	for _, f := range []float64{1e-6, 9.9999999999e-7, 0.000001234567890123, 999999999.9, 999999999.95, 1e9, 0.1, 0.3, 1.0 / 3} {
		check(f)
		check(rounded(f))
	}
}

// Every byte in every place of a text must be quoted as encoding/json quotes it.
func TestAppendTextIsEncodingJSON(t *testing.T) {
	check := func(s string) {
		var want bytes.Buffer
		if err := WriteJSON(&want, s); err != nil {
			t.Fatal(err)
		}
		if got := append(appendText(nil, s), '\n'); !bytes.Equal(got, want.Bytes()) {
			t.Fatalf("%q: wrote %s, want %s", s, got, want.Bytes())
		}
	}
	for c := range 256 {
		for at := range 11 {
			text := []byte("abcdefghijk")
			text[at] = byte(c)
			check(string(text))
			for _, beside := range []byte{0x00, 0x1f, 0x20, 0x21, 0x22, 0x23, 0x5b, 0x5c, 0x5d, 0x7f, 0x80} {
				text[(at+1)%len(text)] = beside
				check(string(text))
			}
		}
	}
}

func TestRounded(t *testing.T) {
	for v, want := range map[float64]float64{
		1234.567890123456: 1234.56789, 0.001234567890123: 0.001234567890, -2.0 / 3: -0.6666666667, 9.99999999999: 10, 999999999.99: 1e9,
		1.23456789012345e-9: 1.234567890e-9, 1.23456789012345e12: 1.234567890e12, 0: 0, 5: 5,
	} {
		if got := rounded(v); got != want {
			t.Errorf("%v: %v, want %v", v, got, want)
		}
	}
	if !math.IsNaN(rounded(math.NaN())) || !math.IsInf(rounded(math.Inf(-1)), -1) {
		t.Error("what is not finite must stay")
	}
}

// fill puts a value into everything, two into every list.
func fill(v reflect.Value, n *int) {
	texts := []string{"plain", "", `"quoted" \`, "line\nbreak", "é €", "\u2028", "\xff", "<&>", "�"}
	numbers := []float64{0.1, 1, -0.5, 1e-7, -1e-12, 1e21, 1e300, 0, math.Copysign(0, -1), 123456789012345678, 1e15, 999999999999999, math.Pi, math.MaxFloat64, 5e-324}
	*n++
	if t, ok := v.Addr().Interface().(*time.Time); ok {
		*t = time.Unix(int64(*n)*1e7, int64(*n%2)*5e8).UTC()
		return
	}
	if m, ok := v.Addr().Interface().(*openapi.SiteMap); ok {
		*m = openapi.SiteMap(`{"type":"FeatureCollection","features":[]}`)
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem(), n)
	case reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i), n)
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		fill(v.Index(0), n)
		fill(v.Index(1), n)
	case reflect.String:
		v.SetString(texts[*n%len(texts)])
	case reflect.Float64:
		v.SetFloat(numbers[*n%len(numbers)])
	case reflect.Int, reflect.Int64:
		v.SetInt(int64(*n))
	case reflect.Bool:
		v.SetBool(*n%2 == 0)
	}
}

// BenchmarkAnswer is the way from the domain's estimate to bytes on the wire, at four heights.
func BenchmarkAnswer(b *testing.B) {
	r, ref := ToRequest(mustDecode(b, orchard, YAML))
	for _, h := range []float64{24, 30} {
		r.Towers = append(r.Towers, assess.Tower{HubHeightM: h, Cost: 100 * h})
	}
	e, err := assess.Run(r)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("FromEstimate", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			FromEstimate(&e, ref, "bench")
		}
	})
	wire := FromEstimate(&e, ref, "bench")
	text := AppendEstimate(nil, &wire)
	b.Run("AppendAnswer", func(b *testing.B) {
		b.ReportAllocs()
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			text = AppendAnswer(text[:0], &e, ref, "bench")
		}
	})
	b.Run("AppendEstimate", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			text = AppendEstimate(text[:0], &wire)
		}
	})
	b.Run("encoding_json", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		var buf bytes.Buffer
		for b.Loop() {
			buf.Reset()
			if err := WriteJSON(&buf, &wire); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func TestEightDigits(t *testing.T) {
	check := func(n uint64) {
		var text [8]byte
		binary.LittleEndian.PutUint64(text[:], eightDigits(n)|'0'*0x0101010101010101)
		if want := fmt.Sprintf("%08d", n); string(text[:]) != want {
			t.Fatalf("%s instead of %s", text, want)
		}
	}
	for n := range uint64(20_000) {
		check(n)
		check(n * 5000)
		check(99_999_999 - n)
	}
}

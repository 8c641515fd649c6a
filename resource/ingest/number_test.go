package ingest

import (
	"bytes"
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// TestNumber compares with strconv, the trusted parser, bit by bit, in a buffer with and without room behind.
func TestNumber(t *testing.T) {
	for _, s := range []string{
		"0", "-0", "1", "-1", "+1.5", "12.5", "99999999", "123456789", "1234567.8", "0.0000001", ".5", "5.", "-.25", "10.357019999999999",
		"9007199254740993", "1e3", "1E-7", "12345678901234567890", "0.1", "360", "1013.25", "-999.9", "4.35", "0.000001", "3.14159265358979",
	} {
		want, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range [][]byte{[]byte(s)[:len(s):len(s)], append([]byte(s), ",77,88,99,11"...)[:len(s)], []byte("  " + s + "\t ")} {
			got, ok := number(b, '.')
			if !ok || math.Float64bits(got) != math.Float64bits(want) {
				t.Errorf("%q: %v %v, want %v", s, got, ok, want)
			}
		}
		comma := bytes.Replace([]byte(s), []byte("."), []byte(","), 1)
		if got, ok := number(comma, ','); !ok || got != want {
			t.Errorf("%q with a comma: %v %v, want %v", comma, got, ok, want)
		}
	}
	for _, s := range []string{"", " ", "-", "+", ".", "-.", "1.2.3", "1..2", "1,5", "inf", "NaN", "0x10", "1_000", "1e999", "e5", "--1", "1-2",
		"12:30", "1/2", "/", ":", "3.4 m/s", "\x00\x00", "1e", "١"} {
		for _, b := range [][]byte{[]byte(s)[:len(s):len(s)], append([]byte(s), "00000000000"...)[:len(s)]} {
			if v, ok := number(b, '.'); ok {
				t.Errorf("%q was read as %v", s, v)
			}
		}
	}
}

func TestNumberProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`-?[0-9]{0,10}(\.[0-9]{0,10})?`).Draw(t, "text")
		want, err := strconv.ParseFloat(s, 64)
		b := append([]byte(s), rapid.SampledFrom([]string{"", ",1", "00000000", ";9.9;"}).Draw(t, "behind")...)[:len(s)]
		got, ok := number(b, '.')
		if ok != (err == nil) || ok && math.Float64bits(got) != math.Float64bits(want) {
			t.Fatalf("%q: %v %v, want %v %v", s, got, ok, want, err)
		}
	})
}

func TestMissingWords(t *testing.T) {
	for _, s := range []string{"", "NA", "NaN", "nan", "M", " - ", "N/A", "null", "#N/A", "---"} {
		if !isMissingWord([]byte(s), nil) {
			t.Errorf("%q is not taken for missing", s)
		}
	}
	for _, s := range []string{"0", "calm", "error", "a very long text that is no code for missing"} {
		if isMissingWord([]byte(s), nil) {
			t.Errorf("%q is taken for missing", s)
		}
	}
	if !isMissingWord([]byte("calm"), []string{"calm"}) {
		t.Error("the user's own word is not taken")
	}
}

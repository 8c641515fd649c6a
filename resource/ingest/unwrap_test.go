package ingest

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"
)

func gzipped(tb testing.TB, text []byte) []byte {
	tb.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	w.Name = "record.csv"
	if _, err := w.Write(text); err != nil {
		tb.Fatal(err)
	}
	if err := w.Close(); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

// zipped packs pairs of name and content.
func zipped(tb testing.TB, pairs ...string) []byte {
	tb.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for i := 0; i < len(pairs); i += 2 {
		f, err := w.Create(pairs[i])
		if err == nil {
			_, err = io.WriteString(f, pairs[i+1])
		}
		if err != nil {
			tb.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

// TestCompressed reads a record the same, packed or not.
func TestCompressed(t *testing.T) {
	var text strings.Builder
	text.WriteString("time,ws 10 m (m/s)\n")
	for i := range 5000 {
		fmt.Fprintf(&text, "2023-05-%02d %02d:%02d,%d.%d\n", 1+i/1440, i/60%24, i%60, i%23, i%10)
	}
	plain := text.String()
	want, wantRep, err := Read(strings.NewReader(plain), Options{})
	if err != nil {
		t.Fatal(err)
	}
	utf16 := utf16Text(plain)
	for name, tc := range map[string]struct {
		data   []byte
		member string
	}{
		"gzip":             {gzipped(t, []byte(plain)), "record.csv"},
		"two gzip members": {append(gzipped(t, []byte(plain[:1000])), gzipped(t, []byte(plain[1000:]))...), "record.csv"},
		"gzip of UTF-16":   {gzipped(t, []byte(utf16)), "record.csv"},
		"zip":              {zipped(t, "a/record.csv", plain), "a/record.csv"},
		"zip with company": {zipped(t, "readme.txt", "x", "a/", "", "__MACOSX/a/._record.csv", "x", "a/record.csv", plain, "a/map.pdf", "x"), "a/record.csv"},
		"zip, odd name":    {zipped(t, "744860-2009", plain), "744860-2009"},
	} {
		for _, r := range []io.Reader{bytes.NewReader(tc.data), iotest.HalfReader(bytes.NewReader(tc.data))} {
			last := int64(0)
			s, rep, err := Read(r, Options{Progress: func(n int64) { last = n }})
			if err != nil || !sameSeries(s, want) || rep.Member != tc.member || last != int64(len(tc.data)) {
				t.Errorf("%s: %v, member %q, progress %d of %d", name, err, rep.Member, last, len(tc.data))
			}
			if rep.Member = ""; fmt.Sprintf("%+v", rep) != fmt.Sprintf("%+v", wantRep) {
				t.Errorf("%s: %+v", name, rep)
			}
		}
	}
	for _, data := range [][]byte{gzipped(t, []byte(plain)), zipped(t, "record.csv", plain)} {
		disk := errors.New("the disk is gone")
		broken := io.MultiReader(bytes.NewReader(data[:len(data)/2]), iotest.ErrReader(disk))
		if _, _, err := Read(broken, Options{}); !errors.Is(err, disk) {
			t.Errorf("a disk that fails: %v", err)
		}
		for _, n := range []int{3, 11, len(data) / 2, len(data) - 1} {
			refused(t, fmt.Sprintf("%d bytes of %d", n, len(data)), data[:n], Options{}, "")
		}
		if data[0] == 'P' {
			continue
		}
		changed := bytes.Clone(data)
		changed[len(changed)-6] ^= 1
		refused(t, "another checksum", changed, Options{}, "damaged")
	}
}

// refused holds data to an error with words.
func refused(t *testing.T, name string, data []byte, o Options, words string) {
	t.Helper()
	s, _, err := Read(bytes.NewReader(data), o)
	var re *ReadError
	if s != nil || !errors.As(err, &re) || re.Reason == "" || re.Remedy == "" || !strings.Contains(err.Error(), words) {
		t.Errorf("%s: %v does not say %q", name, err, words)
	}
}

func TestCompressedRefusals(t *testing.T) {
	row := "2023-05-01 00:00,1\n"
	two := zipped(t, "north.csv", row, "south.csv", row)
	refused(t, "two files", two, Options{}, "north.csv, south.csv")
	refused(t, "none", zipped(t, "map.pdf", "x"), Options{}, "no file that can be a record")
	refused(t, "empty archive", zipped(t), Options{}, "no file that can be a record")
	refused(t, "workbook", zipped(t, "[Content_Types].xml", "x", "xl/sheet.xml", "x"), Options{}, "workbook")
	refused(t, "gzip in gzip", gzipped(t, gzipped(t, []byte(row))), Options{}, "another compressed file")
	refused(t, "zip in gzip", gzipped(t, two), Options{}, "another compressed file")
	refused(t, "too large when unpacked", gzipped(t, []byte(strings.Repeat(row, 10_000))), Options{MaxBytes: 50_000}, "larger than 50000 bytes")
	refused(t, "nothing inside", gzipped(t, nil), Options{}, "empty")
	bomb := bytes.Repeat([]byte(row), 1<<20) // 19 MiB that pack to less than a three-hundredth
	refused(t, "gzip bomb", gzipped(t, bomb), Options{}, "more than any record does")
	refused(t, "zip bomb", zipped(t, "a.csv", string(bomb)), Options{}, "more than any record does")
}

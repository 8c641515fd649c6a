package ingest

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"unicode/utf16"
	"unicode/utf8"
)

// maxLineBytes is the longest line a record may have. No logger writes one a hundredth as long.
const maxLineBytes = 1 << 20

// source hands out the lines of a reader as slices of its one buffer, counts bytes and keeps the limits.
type source struct {
	r        io.Reader
	buf      []byte
	pos, end int // buf[pos:end] is read but not handed out
	read     int64
	limit    int64 // 0: none
	size     int64 // of the whole input, 0: unknown
	eol      byte
	err      error // sticky; io.EOF at the end
	progress func(int64)

	lineNo     int  // of the last line handed out, 1-based
	terminated bool // whether that line ended in a line end
}

func newSource(r io.Reader, o *Options) *source {
	s := &source{r: r, buf: make([]byte, headBytes), limit: o.MaxBytes, eol: '\n', progress: o.Progress, size: o.SizeHint}
	if s.size <= 0 {
		s.size = sizeOf(r)
	}
	for s.end < 3 && s.err == nil {
		s.fill()
	}
	switch head := s.buf[:s.end]; {
	case bytes.HasPrefix(head, []byte{0xef, 0xbb, 0xbf}):
		s.pos = 3
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}):
		s.recode(binary.LittleEndian)
	case bytes.HasPrefix(head, []byte{0xfe, 0xff}):
		s.recode(binary.BigEndian)
	}
	return s
}

// recode puts what has been read, and what follows, through a change from UTF-16 to UTF-8.
func (s *source) recode(order binary.ByteOrder) {
	rest := s.r
	if s.err != nil {
		rest = endedReader{s.err}
	}
	s.r = &utf16Reader{r: io.MultiReader(bytes.NewReader(bytes.Clone(s.buf[2:s.end])), rest), order: order}
	s.end, s.read, s.err, s.size = 0, 0, nil, s.size/2
}

// endedReader repeats how a reader ended.
type endedReader struct{ err error }

func (e endedReader) Read([]byte) (int, error) { return 0, e.err }

// sizeOf asks the reader how much it holds; 0 when it cannot tell.
func sizeOf(r io.Reader) int64 {
	switch v := r.(type) {
	case interface{ Len() int }:
		return int64(v.Len())
	case io.Seeker:
		at, err := v.Seek(0, io.SeekCurrent)
		if err != nil {
			return 0
		}
		end, err := v.Seek(0, io.SeekEnd)
		if err != nil {
			return 0
		}
		if _, err = v.Seek(at, io.SeekStart); err != nil {
			return 0
		}
		return end - at
	}
	return 0
}

// fail notes how reading ended, if it did.
func (s *source) fail(err error) {
	switch {
	case err == nil || s.err != nil:
	case errors.Is(err, io.EOF):
		s.err = io.EOF
	default:
		s.err = fmt.Errorf("reading the record: %w", err)
	}
}

// fill reads more behind what is there, making room first. It returns after one successful read or sets s.err.
func (s *source) fill() {
	if s.pos > 0 {
		s.end = copy(s.buf, s.buf[s.pos:s.end])
		s.pos = 0
	}
	if s.end == len(s.buf) {
		s.buf = append(s.buf, make([]byte, len(s.buf))...)
	}
	for range 100 {
		n, err := s.r.Read(s.buf[s.end:])
		s.end += n
		s.read += int64(n)
		s.fail(err)
		if s.limit > 0 && s.read > s.limit {
			s.err = &ReadError{
				Reason: fmt.Sprintf("the record is larger than %d bytes, the most that is taken", s.limit),
				Remedy: "cut it into pieces, or average it to longer steps",
			}
		}
		if n > 0 || s.err != nil {
			if s.progress != nil {
				s.progress(s.read)
			}
			return
		}
	}
	s.err = fmt.Errorf("reading the record: %w", io.ErrNoProgress)
}

// peek shows up to n of the first bytes without taking them, and learns the line end from them.
func (s *source) peek(n int) ([]byte, error) {
	for s.end-s.pos < n && s.err == nil {
		s.fill()
	}
	if s.err != nil && !errors.Is(s.err, io.EOF) {
		return nil, s.err
	}
	head := s.buf[s.pos:min(s.end, s.pos+n)]
	if bytes.IndexByte(head, '\n') < 0 && bytes.IndexByte(head, '\r') >= 0 {
		s.eol = '\r'
	}
	return head, nil
}

// line hands out the next line without its end; ok is false at the end of the input or after an error (see broken).
// The slice is good, and may be written to, until the next call.
func (s *source) line() (line []byte, ok bool) {
	for seen := 0; ; {
		if i := bytes.IndexByte(s.buf[s.pos+seen:s.end], s.eol); i >= 0 {
			line = s.buf[s.pos : s.pos+seen+i]
			s.pos += seen + i + 1
			s.terminated = true
			break
		}
		seen = s.end - s.pos
		if seen > maxLineBytes {
			s.err = &ReadError{
				Line:   s.lineNo + 1,
				Reason: fmt.Sprintf("the line is longer than %d bytes", maxLineBytes),
				Remedy: "this is hardly a table of measurements: give a text file with a row for each time step",
			}
		}
		if s.err != nil {
			if !errors.Is(s.err, io.EOF) || seen == 0 {
				return nil, false
			}
			line = s.buf[s.pos:s.end]
			s.pos = s.end
			s.terminated = false
			break
		}
		s.fill()
	}
	s.lineNo++
	if n := len(line); n > 0 && line[n-1] == '\r' {
		line = line[:n-1]
	}
	return line, true
}

// lines appends whole lines to b: as many as n bytes hold, or else one; none at the end, before a last line without an end, before one
// that is too long, or after an error that comes before the next one's end.
func (s *source) lines(b []byte, n int) []byte {
	for ; ; n *= 2 {
		for s.end-s.pos < n && s.err == nil {
			s.fill()
		}
		whole := bytes.LastIndexByte(s.buf[s.pos:min(s.end, s.pos+n)], s.eol) + 1
		if whole > 0 || s.end-s.pos < n || n > maxLineBytes {
			b = append(b, s.buf[s.pos:s.pos+whole]...)
			s.pos += whole
			return b
		}
	}
}

// rest hands out whatever is at hand, for readers that do not go by lines; ok is false at the end.
func (s *source) rest() (b []byte, ok bool) {
	if s.pos == s.end && s.err == nil {
		s.fill()
	}
	b = s.buf[s.pos:s.end]
	s.pos = s.end
	return b, len(b) > 0
}

// broken is the error that ended reading, nil at an orderly end.
func (s *source) broken() error {
	if errors.Is(s.err, io.EOF) {
		return nil
	}
	return s.err
}

// rowsAhead estimates from a row's mean length how many rows the input holds; 0 when its size is not known.
func (s *source) rowsAhead(rowBytes float64) int {
	if s.size <= 0 || rowBytes < 2 {
		return 0
	}
	return int(min(float64(s.size)/rowBytes*1.02, mostRowsReserved)) + 64
}

// utf16Reader turns UTF-16, which spreadsheets call "Unicode text", into UTF-8.
type utf16Reader struct {
	r     io.Reader
	order binary.ByteOrder
	in    [4096]byte
	held  int    // bytes in in that are not yet decoded
	high  uint16 // first half of a surrogate pair, 0: none
	out   []byte
}

func (u *utf16Reader) Read(p []byte) (int, error) {
	if len(u.out) == 0 {
		n, err := u.r.Read(u.in[u.held:])
		u.held += n
		u.decode()
		if err != nil && len(u.out) == 0 {
			return 0, err
		}
	}
	n := copy(p, u.out)
	u.out = u.out[n:]
	return n, nil
}

func (u *utf16Reader) decode() {
	out, whole := u.out[:0], u.held&^1
	for i := 0; i < whole; i += 2 {
		c := u.order.Uint16(u.in[i:])
		switch {
		case u.high != 0:
			out = utf8.AppendRune(out, utf16.DecodeRune(rune(u.high), rune(c)))
			u.high = 0
		case c >= 0xd800 && c < 0xdc00:
			u.high = c
		default:
			out = utf8.AppendRune(out, rune(c))
		}
	}
	u.held = copy(u.in[:], u.in[whole:u.held])
	u.out = out
}

// text makes a string of bytes that are UTF-8 or, failing that, Latin-1, in which loggers write their degree signs.
func text(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	runes := make([]rune, len(b))
	for i, c := range b {
		runes[i] = rune(c)
	}
	return string(runes)
}

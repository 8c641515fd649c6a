package ingest

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/bits"
)

// maxColumns is the most columns a table may have.
const maxColumns = 500

// lexer cuts lines into fields. The fields are slices of the source's buffer and good until the next line.
type lexer struct {
	src        *source
	delimiter  byte // ' ' means any run of blanks
	line       []byte
	start, end [maxColumns]int32
	n          int  // fields in the line; maxColumns+1 when there are more
	unclosed   bool // a quoted field did not end
}

// next takes the next line; false at the end of the input.
func (l *lexer) next() bool {
	line, ok := l.src.line()
	if ok {
		l.split(line)
	}
	return ok
}

func (l *lexer) field(i int) []byte { return l.line[l.start[i]:l.end[i]] }

// split cuts one line. Quoted fields are unquoted in place.
func (l *lexer) split(line []byte) {
	l.line, l.unclosed = line, false
	switch {
	case l.delimiter == ' ':
		l.splitBlanks()
	case bytes.IndexByte(line, '"') >= 0:
		l.splitQuoted()
	default:
		l.splitPlain()
	}
}

// splitPlain looks at eight bytes at a time.
func (l *lexer) splitPlain() {
	line := l.line
	n, from, i := 0, 0, 0
	for same := everyByte * uint64(l.delimiter); i+8 <= len(line); i += 8 {
		for found := zeroBytes(binary.LittleEndian.Uint64(line[i:]) ^ same); found != 0; found &= found - 1 {
			if n == maxColumns {
				l.n = maxColumns + 1
				return
			}
			at := i + bits.TrailingZeros64(found)>>3
			l.start[n], l.end[n] = int32(from), int32(at)
			n++
			from = at + 1
		}
	}
	for ; i < len(line); i++ {
		if line[i] == l.delimiter {
			if n == maxColumns {
				l.n = maxColumns + 1
				return
			}
			l.start[n], l.end[n] = int32(from), int32(i)
			n++
			from = i + 1
		}
	}
	l.last(n, from)
}

// last adds the field that runs to the line's end.
func (l *lexer) last(n, from int) {
	if n == maxColumns {
		l.n = maxColumns + 1
		return
	}
	l.start[n], l.end[n] = int32(from), int32(len(l.line))
	l.n = n + 1
}

func (l *lexer) splitBlanks() {
	n, line := 0, l.line
	for i := 0; i < len(line); {
		for i < len(line) && (line[i] == ' ' || line[i] == '\t') {
			i++
		}
		from := i
		for i < len(line) && line[i] != ' ' && line[i] != '\t' {
			i++
		}
		if i == from {
			break
		}
		if n == maxColumns {
			l.n = maxColumns + 1
			return
		}
		l.start[n], l.end[n] = int32(from), int32(i)
		n++
	}
	l.n = n
}

// splitQuoted follows RFC 4180, but takes a quote inside an unquoted field for a character, and ends a quoted field
// that nothing closes with the line.
func (l *lexer) splitQuoted() {
	line, d := l.line, l.delimiter
	n, i := 0, 0
	for {
		if n == maxColumns {
			l.n = maxColumns + 1
			return
		}
		for i < len(line) && line[i] == ' ' && d != ' ' {
			i++
		}
		if i == len(line) || line[i] != '"' {
			to := len(line)
			if k := bytes.IndexByte(line[i:], d); k >= 0 {
				to = i + k
			}
			l.start[n], l.end[n] = int32(i), int32(to)
			i = to
		} else {
			i = l.unquote(n, i+1)
		}
		n++
		if i >= len(line) {
			l.n = n
			return
		}
		i++
	}
}

// unquote takes the quoted field n from i on and returns where its delimiter is, or the line's length.
func (l *lexer) unquote(n, i int) int {
	line := l.line
	l.start[n] = int32(i)
	for w := i; ; i++ {
		if i >= len(line) {
			l.end[n], l.unclosed = int32(w), true
			return i
		}
		if c := line[i]; c != '"' {
			line[w] = c
			w++
			continue
		}
		if i+1 < len(line) && line[i+1] == '"' {
			line[w] = '"'
			w++
			i++
			continue
		}
		l.end[n] = int32(w)
		if k := bytes.IndexByte(line[i:], l.delimiter); k >= 0 {
			return i + k
		}
		return len(line)
	}
}

// blank reports a line without content: empty, or separators alone.
func (l *lexer) blank() bool {
	for _, c := range l.line {
		if c != ' ' && c != '\t' && c != l.delimiter {
			return false
		}
	}
	return true
}

// tooWide is the error for a line with more columns than any table has.
func (l *lexer) tooWide() error {
	return &ReadError{
		Line:   l.src.lineNo,
		Reason: fmt.Sprintf("the line has more than %d columns", maxColumns),
		Remedy: "give a table with fewer columns; if the file is no such table, name its separator with the option delimiter",
	}
}

// fit deals with a row of unusual width and says whether it can be read all the same. width is the table's, at most
// what a row may have; need is the number of columns that are read.
func (l *lexer) fit(need, width int, rep *Report, name func(int) string) bool {
	n, line := l.n, l.src.lineNo
	if l.unclosed && rep.counts(ProblemQuote) {
		rep.keep(line, n, name(n-1), ProblemQuote, "a quoted field does not end in its line")
	}
	for n > width && len(trim(l.field(n-1))) == 0 {
		n--
	}
	switch {
	case n > width:
		if rep.counts(ProblemLongRow) {
			rep.keep(line, width+1, "", ProblemLongRow, fmt.Sprintf("the row has %d columns, the table %d; it is left out", n, width))
		}
		return false
	case n < width && !l.src.terminated:
		if rep.counts(ProblemCutRow) {
			rep.keep(line, n, name(n-1), ProblemCutRow,
				fmt.Sprintf("the file ends in the middle of a row, in column %d of %d; the row is left out", n, width))
		}
		return false
	case n < need:
		if rep.counts(ProblemShortRow) {
			rep.keep(line, n+1, name(n), ProblemShortRow, fmt.Sprintf("the row has %d columns, the table %d; the rest is missing", n, width))
		}
		for i := n; i < need; i++ {
			l.start[i], l.end[i] = int32(len(l.line)), int32(len(l.line))
		}
	}
	return true
}

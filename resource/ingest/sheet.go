package ingest

import (
	"bytes"
)

// sampleRows is how many data rows are looked at to understand the columns.
const sampleRows = 400

// sheet is what the head of a file shows about its table.
type sheet struct {
	delimiter  byte
	point      byte // decimal sign
	fields     int  // columns of a row
	names      []string
	units      []string // from a row of units below the names, else empty
	headerLine int      // 0: none
	firstData  int      // line of the first data row
	sample     [][]string
	stray      []int // lines between names and data that are neither
	decimals   int   // of every number in the last column, −1 when they differ or are too few to tell
}

// fieldKind is what a field looks like.
type fieldKind uint8

const (
	emptyField fieldKind = iota // or a code for missing
	numberField
	stampField // a date, a time or both
	textField
)

// headLine is a line of the head, cut.
type headLine struct {
	no      int
	comment bool
	fields  []string
	kinds   []fieldKind
}

// inspect finds separator, names and first data row. whole says that the head is the whole file.
func inspect(head []byte, eol byte, whole bool, o *Options) (*sheet, error) {
	lines := logicalLines(bytes.Clone(head), eol, whole)
	delimiter, err := findDelimiter(lines, o)
	if err != nil {
		return nil, err
	}
	sh := &sheet{delimiter: delimiter}
	cut := cutLines(lines, delimiter)
	sh.point = decimalSign(cut, o)
	sh.fields = usualWidth(cut)
	if sh.fields < 2 {
		return nil, &ReadError{
			Reason: "the rows do not fall into columns",
			Remedy: "give a table separated by commas, semicolons, tabs or |, or name its separator with the option delimiter",
			err:    ErrUnknownFormat,
		}
	}
	first := sh.findData(cut, o)
	if first < 0 {
		return nil, &ReadError{
			Reason: "no data row was found: no line holds numbers or stamps in the columns where most others do",
			Remedy: "give a table with a row for each time step; name the line of its column names with the option header_line",
		}
	}
	sh.firstData = cut[first].no
	sh.findHeader(cut, first, o)
	sh.decimals = sh.lastDecimals(cut[first:], whole)
	for _, l := range cut[first:] {
		if len(l.fields) == sh.fields && !l.comment && len(sh.sample) < sampleRows {
			sh.sample = append(sh.sample, l.fields)
		}
	}
	return sh, nil
}

// rawLine is a line of the head with its number. A quoted name that runs over several lines makes one of them.
type rawLine struct {
	no   int
	text []byte
}

func logicalLines(head []byte, eol byte, whole bool) []rawLine {
	var lines []rawLine
	for no := 1; len(head) > 0; no++ {
		end := bytes.IndexByte(head, eol)
		if end < 0 {
			if !whole {
				break // the row is cut off
			}
			end = len(head)
		}
		start := no
		for joined := 0; no < 40 && joined < 5 && bytes.Count(head[:end], []byte{'"'})%2 == 1; joined++ {
			more := bytes.IndexByte(head[min(end+1, len(head)):], eol)
			if more < 0 {
				break
			}
			end += 1 + more
			no++
		}
		lines = append(lines, rawLine{no: start, text: bytes.TrimRight(head[:end], "\r")})
		head = head[min(end+1, len(head)):]
	}
	return lines
}

// isComment reports a line that begins as comments do.
func isComment(b []byte) bool {
	b = trim(b)
	return len(b) > 0 && b[0] == '#' || bytes.HasPrefix(b, []byte("//"))
}

// cutLines splits lines into fields and looks at each.
func cutLines(lines []rawLine, delimiter byte) []headLine {
	lx := lexer{delimiter: delimiter}
	cut := make([]headLine, 0, len(lines))
	for i := range lines {
		l := headLine{no: lines[i].no, comment: isComment(lines[i].text)}
		raw := lines[i].text
		if l.comment {
			raw = bytes.TrimLeft(raw, "#/ \t")
		}
		lx.split(bytes.ReplaceAll(raw, []byte{'\n'}, []byte{' '}))
		for f := 0; f < min(lx.n, maxColumns) && !lx.blank(); f++ {
			b := trim(lx.field(f))
			l.fields = append(l.fields, text(b))
			l.kinds = append(l.kinds, kindOfField(b))
		}
		cut = append(cut, l)
		if len(cut) > 3*sampleRows {
			break
		}
	}
	return cut
}

func kindOfField(b []byte) fieldKind {
	if isMissingWord(b, nil) {
		return emptyField
	}
	if packedField(b) {
		return textField
	}
	if _, ok := number(b, '.'); ok {
		return numberField
	}
	if _, ok := number(b, ','); ok {
		return numberField
	}
	if _, ok := parseStamp(b); ok {
		return stampField
	}
	if _, _, rest, ok := parseTime(b); ok && len(trim(rest)) == 0 {
		return stampField
	}
	return textField
}

// findDelimiter tries the usual separators and takes the one that leaves the most readable fields.
func findDelimiter(lines []rawLine, o *Options) (byte, error) {
	if o.Delimiter != 0 {
		return byte(o.Delimiter), nil
	}
	some := lines[:min(len(lines), 300)]
	best, bestScore := byte(0), 0.0
	for _, d := range []byte{',', ';', '\t', '|', ' '} {
		if d == ' ' && best != 0 {
			break
		}
		for i := range some { // a table wider than any is not cut at its first columns
			if bytes.Count(some[i].text, []byte{d}) >= maxColumns && d != ' ' {
				return 0, (&lexer{src: &source{lineNo: some[i].no}}).tooWide()
			}
		}
		copied := make([]rawLine, len(some))
		for i := range some {
			copied[i] = rawLine{no: some[i].no, text: bytes.Clone(some[i].text)}
		}
		if s := readable(cutLines(copied, d)); s > bestScore {
			best, bestScore = d, s
		}
	}
	if best == 0 {
		best = ','
	}
	return best, nil
}

// readable scores a way of cutting lines: the share of lines with the usual width, times the share of their fields
// that are numbers or stamps.
func readable(cut []headLine) float64 {
	width := usualWidth(cut)
	if width < 2 {
		return 0
	}
	all, rows, data, fields := 0, 0, 0, 0
	for _, l := range cut {
		if l.comment || len(l.fields) == 0 {
			continue
		}
		all++
		if len(l.fields) != width {
			continue
		}
		rows++
		for _, k := range l.kinds {
			switch k {
			case numberField, stampField:
				data++
				fields++
			case textField:
				fields++
			}
		}
	}
	if fields == 0 {
		return 0
	}
	return float64(rows) / float64(all) * float64(data) / float64(fields) * (1 - 1/float64(width*width))
}

// usualWidth is the width of most lines, wide ones counting for more: preambles are narrow.
func usualWidth(cut []headLine) int {
	var counts [maxColumns + 1]int
	for _, l := range cut {
		if !l.comment {
			counts[len(l.fields)]++
		}
	}
	best := 0
	for n := 2; n <= maxColumns; n++ {
		if counts[n]*n > counts[best]*best {
			best = n
		}
	}
	return best
}

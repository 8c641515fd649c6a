package ingest

import (
	"math"
	"slices"
	"strings"
)

// shape is what the sampled fields of one column have in common.
type shape struct {
	seen      int // fields that are not empty
	full      int // date and time
	date      int // date alone
	clock     int // time alone
	number    int
	whole     int // whole numbers
	digitRuns int // whole numbers that read as compact stamps
	zoned     int
	midnight  int // of the full stamps, those at 00:00
	rising    int // numbers greater than the one before
	least     float64
	most      float64
	width     int // of every field, −1 when they differ
	suffix    string
	suffixed  int // numbers with the same text behind them
	packed    int // several values with commas between them, no number among many
	middle    float64
}

// shapeOf looks at column f of the sample.
func shapeOf(sample [][]string, f int, point byte) shape {
	s := shape{least: math.Inf(1), most: math.Inf(-1), width: -2}
	last := math.Inf(-1)
	var numbers []float64
	for _, row := range sample {
		b := []byte(row[f])
		if isMissingWord(b, nil) {
			continue
		}
		s.seen++
		if s.width == -2 {
			s.width = len(b)
		} else if s.width != len(b) {
			s.width = -1
		}
		if v, ok := number(b, point); ok && !packedField(b) {
			s.numeric(b, v, last)
			last = v
			numbers = append(numbers, v)
			continue
		}
		s.textual(b, point)
	}
	if len(numbers) > 0 {
		slices.Sort(numbers)
		s.middle = numbers[len(numbers)/2]
	}
	return s
}

func (s *shape) numeric(b []byte, v, last float64) {
	s.number++
	s.least, s.most = min(s.least, v), max(s.most, v)
	if v > last {
		s.rising++
	}
	if v == math.Trunc(v) {
		s.whole++
		if st, ok := parseStamp(b); ok && len(b) >= 8 && realDate(st.a, st.b, st.c) {
			s.digitRuns++
			if st.timed {
				s.full++
			} else {
				s.date++
			}
		}
	}
}

func (s *shape) textual(b []byte, point byte) {
	if st, ok := parseStamp(b); ok {
		if st.timed {
			s.full++
			if st.seconds == 0 {
				s.midnight++
			}
		} else {
			s.date++
		}
		if st.zoned {
			s.zoned++
		}
		return
	}
	if _, _, rest, ok := parseTime(b); ok && strings.Contains(string(b), ":") && len(trim(rest)) <= 6 {
		s.clock++
		return
	}
	if strings.Contains(string(b), ",") {
		s.packed++
	}
	n := len(b)
	for n > 0 && (b[n-1]-'0' > 9) {
		n--
	}
	if _, ok := number(b[:n], point); ok && n < len(b) {
		if suffix := string(b[n:]); s.suffixed == 0 || suffix == s.suffix {
			s.suffix = suffix
			s.suffixed++
		}
	}
}

// mostly reports whether n is at least half of the fields seen: a sample may hold many broken rows.
func (s *shape) mostly(n int) bool { return s.seen > 0 && 2*n >= s.seen }

// compact reports digits that are stamps, such as 202305311400, rather than counts of seconds.
func (s *shape) compact() bool { return s.mostly(s.digitRuns) }

// unix reports counts of seconds, or of milliseconds, since 1970 between the years 1980 and 2100.
func (s *shape) unix() (seconds, milliseconds bool) {
	if !s.mostly(s.number) || s.rising*2 < s.number || s.compact() {
		return false, false
	}
	return s.least > 3.1e8 && s.most < 4.2e9, s.least > 3.1e11 && s.most < 4.2e12
}

// packedField recognises a value with its quality code behind a comma, as the Integrated Surface Database writes them:
// +0020,1 is 2.0 °C of quality 1, not 20.1, and 10132,1 is 1013.2 hPa.
func packedField(b []byte) bool {
	n := len(b)
	if n != 7 || b[n-2] != ',' || !isAlnum(b[n-1]) || !allDigits(b[1:n-2]) {
		return false
	}
	return b[0] == '+' || b[0] == '-' || b[0]-'0' <= 9
}

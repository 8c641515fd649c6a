package ingest

import (
	"fmt"
	"slices"
	"strings"
)

// keptProblems and keptGaps are how many of each a report keeps in full; it counts them all.
const (
	keptProblems = 100
	keptGaps     = 100
)

// Report says how a file was understood and what was wrong with it.
type Report struct {
	Format     string
	Member     string // name of the file within the archive that the record was packed in; empty: none, or it has no name
	Rows       int64  // data rows in the file, those that Options.Only left out included
	LeftOut    int64  // rows left out by Options.Only
	Kept       int64  // stamps in the series
	HeaderLine int    // line of the column names, 1-based; 0: the file has none, or needs none
	StepS      int64  // the averaging step, s: the commonest difference between stamps
	Columns    []ColumnReport
	Problems   []Problem // the first 100
	// ProblemCount counts all problems, ProblemCounts each code's.
	ProblemCount  int64
	ProblemCounts map[string]int64
	Gaps          []Gap // the first 100
	GapCount      int64
	MissingStamps int64    // steps that the gaps leave out
	Assumptions   []string // sentences; each names the option that settles the matter, where one does
}

// ColumnReport says what became of one column.
type ColumnReport struct {
	Number   int    // 1-based
	Name     string // as the file calls it; its number in words where it has none
	Quantity string // a name of resource.Quantity, one of the Column constants, or empty: not used
	HeightM  float64
	Unit     string // as read, before conversion; empty where there is none
	How      string // how the column was recognised, or why it is not used
	Missing  int64  // missing values, by code or by absence
	Problems int64  // values that could not be read
}

// Problem is one thing that is wrong in a file.
type Problem struct {
	Line       int // 1-based; in JSON, which has no rows, the place in its lists
	Column     int // 1-based; 0 for the whole row
	ColumnName string
	Code       string // one of the Problem codes
	Detail     string
}

// The codes of problems, and what is done about each.
const (
	ProblemNumber      = "unreadable_number"  // a field is neither a number nor a code for missing: the value is missing
	ProblemStamp       = "unreadable_stamp"   // the row has no place in time: left out
	ProblemShortRow    = "short_row"          // a row ends early: the values that are not there are missing
	ProblemLongRow     = "long_row"           // a row has more columns than the table: left out
	ProblemCutRow      = "cut_row"            // the file ends in the middle of a row: left out
	ProblemQuote       = "unclosed_quote"     // a quoted field does not end in its line: taken to the line's end
	ProblemHeaderAgain = "header_repeated"    // the column names stand among the data, as after joining files: skipped
	ProblemOutOfOrder  = "out_of_order"       // the stamps jump back: the rows are sorted by time
	ProblemDuplicate   = "duplicate_row"      // stamp and values stand there twice: the first stays
	ProblemConflict    = "duplicate_stamp"    // another row has the same stamp but other values: the first stays
	ProblemIrregular   = "irregular_stamp"    // the stamp is not a whole number of steps after the one before: kept
	ProblemClockBack   = "clock_set_back"     // an hour is told twice, as when daylight saving ends
	ProblemClockAhead  = "clock_set_forward"  // an hour is left out on a Sunday night, as when daylight saving begins
	ProblemLeapDay     = "leap_day"           // 29 February in a typical year, which has none: left out
	ProblemStray       = "unexpected_content" // a line that is no row of the table: skipped
)

// Gap is a stretch without stamps.
type Gap struct {
	FromUnix int64 // first stamp that is missing
	ToUnix   int64 // next stamp that is there
	Missing  int64 // steps left out
}

// counts counts a problem and says whether there is room to keep it in full.
func (r *Report) counts(code string) bool {
	if r.ProblemCounts == nil {
		r.ProblemCounts = map[string]int64{}
	}
	r.ProblemCounts[code]++
	r.ProblemCount++
	return len(r.Problems) < keptProblems
}

// keep adds a problem that counts made room for.
func (r *Report) keep(line, column int, name, code, detail string) {
	r.Problems = append(r.Problems, Problem{Line: line, Column: column, ColumnName: name, Code: code, Detail: detail})
}

// assume notes an assumption, once.
func (r *Report) assume(format string, args ...any) {
	s := fmt.Sprintf(format, args...)
	for _, a := range r.Assumptions {
		if a == s {
			return
		}
	}
	r.Assumptions = append(r.Assumptions, s)
}

// retract takes back the assumptions that begin so.
func (r *Report) retract(prefix string) {
	r.Assumptions = slices.DeleteFunc(r.Assumptions, func(s string) bool { return strings.HasPrefix(s, prefix) })
}

// CutRow is the problem of a file that ends in the middle of a row, if it does: it was most likely cut short on its way
// here, and what is missing is not known. Beyond the problems kept in full its line is 0.
func (r *Report) CutRow() (Problem, bool) {
	for _, p := range r.Problems {
		if p.Code == ProblemCutRow {
			return p, true
		}
	}
	return Problem{Code: ProblemCutRow}, r.ProblemCounts[ProblemCutRow] > 0
}

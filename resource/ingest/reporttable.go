package ingest

import (
	"fmt"
	"strings"
)

// reportTable is a delimited file of weather stations' reports, read by the names of its columns.
type reportTable struct {
	*observations
	lx    lexer
	names []string
	need  int // columns that must be there
	width int
	only  []filter
}

// openReports reads up to the line of names.
func openReports(in *input, delimiter byte, rowBytes float64, comment func(line []byte)) (*reportTable, error) {
	r := &reportTable{observations: newObservations(in, rowBytes), lx: lexer{src: in.src, delimiter: delimiter}}
	for r.lx.next() {
		if r.lx.blank() {
			continue
		}
		if isComment(r.lx.line) {
			if comment != nil {
				comment(r.lx.line)
			}
			continue
		}
		break
	}
	if r.lx.n > maxColumns {
		return nil, r.lx.tooWide()
	}
	in.rep.HeaderLine = in.src.lineNo
	r.width = r.lx.n
	r.names = make([]string, r.width)
	for i := range r.names {
		r.names[i] = strings.TrimSpace(text(r.lx.field(i)))
	}
	for name, want := range in.o.Only {
		i := r.find(name)
		if i < 0 {
			return nil, &ReadError{Line: in.rep.HeaderLine, Reason: fmt.Sprintf("there is no column %q, which the option only names", name),
				Remedy: "the columns are " + some(r.names, 30)}
		}
		r.only = append(r.only, filter{field: i, want: want})
		r.need = max(r.need, i+1)
	}
	return r, nil
}

// find is the index of the first column with one of the names, case aside; −1 for none.
func (r *reportTable) find(names ...string) int {
	for _, name := range names {
		for i, n := range r.names {
			if strings.EqualFold(n, name) {
				r.need = max(r.need, i+1)
				return i
			}
		}
	}
	return -1
}

// optional is the field of a column that may not be there.
func (r *reportTable) optional(i int) []byte {
	if i < 0 {
		return nil
	}
	return r.lx.field(i)
}

// each calls read for every row that is whole and wanted.
func (r *reportTable) each(read func()) error {
	rep, open := r.in.rep, false
	for r.lx.next() {
		if r.lx.blank() || isComment(r.lx.line) {
			continue
		}
		open = !r.in.src.terminated
		rep.Rows++
		if err := r.tooMany(); err != nil {
			return err
		}
		if r.lx.n > maxColumns {
			return r.lx.tooWide()
		}
		if (r.lx.n != r.width || r.lx.unclosed) && !r.lx.fit(r.need, r.width, rep, r.name) {
			continue
		}
		if r.again() || !r.wanted() {
			continue
		}
		read()
	}
	if open && rep.Rows > 1 && rep.ProblemCounts[ProblemCutRow] == 0 {
		rep.assume("%s", openEnd)
	}
	return nil
}

func (r *reportTable) name(i int) string {
	if i >= 0 && i < len(r.names) && r.names[i] != "" {
		return r.names[i]
	}
	return "column " + itoa(i+1)
}

// again recognises the names standing among the rows.
func (r *reportTable) again() bool {
	if string(trim(r.lx.field(0))) != r.names[0] || r.names[0] == "" {
		return false
	}
	r.in.rep.Rows--
	if r.in.rep.counts(ProblemHeaderAgain) {
		r.in.rep.keep(r.in.src.lineNo, 0, "", ProblemHeaderAgain, "the column names stand here again; the line is skipped")
	}
	return true
}

func (r *reportTable) wanted() bool {
	for _, f := range r.only {
		if string(trim(r.lx.field(f.field))) != f.want {
			r.in.rep.LeftOut++
			return false
		}
	}
	return true
}

func (r *reportTable) badStamp(field int) {
	if rep := r.in.rep; rep.counts(ProblemStamp) {
		rep.keep(r.in.src.lineNo, field+1, r.name(field), ProblemStamp, clip(r.lx.field(field))+" is no date and time; the row is left out")
	}
}

// decimal reads a field as a number of the named unit; NaN when it is empty, a code for missing or no number, which is
// reported.
func (r *reportTable) decimal(element, field int, u *unit, missing ...float64) float64 {
	if field < 0 {
		return nan
	}
	b := r.lx.field(field)
	v, ok := number(b, '.')
	if !ok {
		if !isMissingWord(b, r.in.o.Missing) {
			r.problem(element, field+1, trim(b))
		}
		return nan
	}
	for _, m := range missing {
		if v == m {
			return nan
		}
	}
	if v = u.convert(v); !finite(v) {
		return nan
	}
	return v
}

// coordinate is a number in a row that tells the place; NaN when it is none.
func (r *reportTable) coordinate(field int) float64 {
	if field >= 0 {
		if v, ok := number(r.lx.field(field), '.'); ok {
			return v
		}
	}
	return nan
}

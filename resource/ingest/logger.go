package ingest

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"runtime"

	"mastworth/resource"
)

// loggerFile is a logger CSV being read.
type loggerFile struct {
	*plan
	lx    lexer
	table *table
	keys  []keyColumn
	most  int64
	// oneTable: a blank line ends the rows.
	oneTable bool
}

// readLogger reads tables with a row for each time step, whatever their columns are called.
func readLogger(in *input) (*resource.Series, error) {
	head, err := in.src.peek(headBytes)
	if err != nil {
		return nil, err
	}
	whole := len(head) < headBytes
	sh, err := inspect(head, in.src.eol, whole, in.o)
	if err != nil {
		return nil, err
	}
	in.rep.HeaderLine = sh.headerLine
	p, err := newPlan(sh, in.o, in.rep)
	if err != nil {
		return nil, err
	}
	g := &loggerFile{plan: p, lx: lexer{src: in.src, delimiter: sh.delimiter}, most: in.o.MaxRows}
	if g.most == 0 {
		g.most = DefaultMaxRows
	}
	for _, line := range sh.stray {
		if in.rep.counts(ProblemStray) {
			in.rep.keep(line, 0, "", ProblemStray, "the line stands between the column names and the first data row and is neither")
		}
	}
	rowBytes := float64(len(head)) / float64(max(1, bytes.Count(head, []byte{in.src.eol})))
	g.table = newTable(len(p.channels), in.src.rowsAhead(rowBytes))
	g.keys = newKeys(p)
	if err = g.rows(); err != nil {
		return nil, err
	}
	return g.finish()
}

// rows reads all rows.
func (g *loggerFile) rows() error {
	few := g.lx.src.err != nil || runtime.GOMAXPROCS(0) == 1 // all of the file is at hand already, or nobody is there to help
	if size := g.o.pieceBytes; !g.oneTable && (size > 0 || size == 0 && !few) {
		if err := g.rowsByPieces(cmp.Or(size, usualPieceBytes)); err != nil {
			return err
		}
	}
	return g.run()
}

// run reads the rows that its source has.
func (g *loggerFile) run() error {
	open := false // whether the last line so far has no line end
	for g.lx.next() {
		open = !g.lx.src.terminated && !g.lx.blank()
		if g.oneTable && g.lx.blank() && g.rep.Rows > 0 {
			break
		}
		if g.lx.src.lineNo < g.sheet.firstData || g.lx.blank() {
			continue
		}
		if g.lx.line[0] == '#' || g.lx.line[0] == '/' && isComment(g.lx.line) {
			continue
		}
		if g.rep.Rows++; g.rep.Rows > g.most {
			return &ReadError{Line: g.lx.src.lineNo,
				Reason: fmt.Sprintf("the record has more than %d rows, the most that are taken", g.most),
				Remedy: "average it to longer steps, or cut it into pieces"}
		}
		if g.lx.n > maxColumns {
			return g.lx.tooWide()
		}
		if !g.lx.src.terminated && g.cutNumber() {
			continue
		}
		if g.lx.n == g.sheet.fields && !g.lx.unclosed || g.lx.fit(g.sheet.fields, g.sheet.fields, g.rep, g.sheet.name) {
			g.row()
		}
	}
	if open && g.rep.Rows > 1 && g.rep.ProblemCounts[ProblemCutRow] == 0 {
		g.rep.assume("%s", openEnd)
	}
	return g.lx.src.broken()
}

const openEnd = "the last line has no line end: if the file was cut there, its last value may be a part of the true one"

// cutNumber recognises a last row that ends within its last number, by the decimals that all others have: 12.3 may be
// all that has come of 12.34.
func (g *loggerFile) cutNumber() bool {
	d := g.sheet.decimals
	if d <= 0 || g.lx.n != g.sheet.fields {
		return false
	}
	b := trim(g.lx.field(g.lx.n - 1))
	if _, ok := number(bytes.TrimRight(b, string(g.sheet.point)), g.sheet.point); !ok || decimalsOf(b, g.sheet.point) >= d {
		return false
	}
	if g.rep.counts(ProblemCutRow) {
		g.rep.keep(g.lx.src.lineNo, g.lx.n, g.sheet.name(g.lx.n-1), ProblemCutRow,
			fmt.Sprintf("the file ends in the middle of a number: %s has fewer decimals than the %d of all others; the row is left out", clip(b), d))
	}
	return true
}

// row reads one row of full width.
func (g *loggerFile) row() {
	l := &g.lx
	for _, f := range g.only {
		if string(trim(l.field(f.field))) != f.want {
			g.rep.LeftOut++
			return
		}
	}
	raw, bad := g.clock.at(l)
	if bad >= 0 {
		g.badStamp(bad)
		return
	}
	for i := range g.channels {
		ch := &g.channels[i]
		b := l.field(ch.field)
		v, ok := ch.value(b)
		if !ok {
			g.badNumber(ch, b)
		}
		g.table.values[i].add(v)
	}
	g.table.row(raw, l.src.lineNo)
	g.trackKeys()
}

func (g *loggerFile) badStamp(field int) {
	b := g.lx.field(field)
	if name := g.sheet.names[field]; name != "" && name == text(trim(b)) {
		g.rep.Rows--
		if g.rep.counts(ProblemHeaderAgain) {
			g.rep.keep(g.lx.src.lineNo, 0, "", ProblemHeaderAgain, "the column names stand here again; the line is skipped")
		}
		return
	}
	if g.rep.counts(ProblemStamp) {
		g.rep.keep(g.lx.src.lineNo, field+1, g.sheet.name(field), ProblemStamp, clip(b)+" is no stamp like the others; the row is left out")
	}
}

func (g *loggerFile) badNumber(ch *channel, b []byte) {
	if g.rep.counts(ProblemNumber) {
		g.rep.keep(g.lx.src.lineNo, ch.field+1, ch.name, ProblemNumber, clip(b)+" is no number that can be used; the value is missing")
	}
}

// finish puts the rows in order and makes a Series of them.
func (g *loggerFile) finish() (*resource.Series, error) {
	if g.table.rows == 0 {
		return nil, g.nothingLeft()
	}
	if g.clock.packed {
		raw := g.table.stamps.join()
		g.clock.settleOrder(raw, g.rep)
		g.table.stamps = chunks[int64]{last: raw}
	}
	g.reportUndated()
	for i := range g.channels {
		if g.channels[i].doubted {
			g.channels[i].judge(&g.table.values[i], g.rep)
		}
	}
	typical := g.typicalYear()
	clock, local := g.offsets()
	a := g.table.settle(g.rep, int64(g.clock.least))
	if len(a.times) == 0 {
		return nil, g.nothingLeft()
	}
	if err := g.repeated(a); err != nil {
		return nil, err
	}
	g.stepAssumed(a)
	by := -clock
	if g.stampsAtEnd() {
		by -= a.step
	}
	a.shift(by)
	s := &resource.Series{Times: a.times, StepS: a.step, UTCOffsetS: local, Kind: kindOf(a.step)}
	if typical && s.Kind != resource.Daily {
		s.Kind = resource.TypicalYear
	}
	for i := range g.channels {
		s.Channels = append(s.Channels, g.series(&g.channels[i], a.values[i], a.step))
	}
	g.conclude(s)
	return s, nil
}

// series makes the channel's final form and its column's report.
func (g *loggerFile) series(ch *channel, values []float64, step int64) resource.Channel {
	if ch.pulses {
		ch.speeds(values, step)
	}
	r := &g.rep.Columns[ch.report]
	r.Missing, r.Problems = ch.missing, ch.problems
	n := g.table.rows - int(ch.missing+ch.problems)
	ch.tellCodes(g.rep)
	if n > 0 && !ch.pulses {
		g.doubt(ch, values, ch.sum/float64(n))
	}
	return resource.Channel{Name: ch.name, Quantity: ch.quantity, HeightM: ch.heightM, Values: values}
}

const tooSmooth = "the step is %s: means over so long a time are too smooth for a distribution of wind speeds"

// conclude notes what the whole record says.
func (g *loggerFile) conclude(s *resource.Series) {
	if s.Kind == resource.Daily {
		g.rep.assume(tooSmooth, duration(s.StepS))
	}
	usable := false
	for i := range s.Channels {
		if s.Channels[i].Quantity != resource.Speed {
			continue
		}
		for _, v := range s.Channels[i].Values {
			if !math.IsNaN(v) {
				usable = true
				break
			}
		}
	}
	if !usable {
		g.rep.assume("no wind speed can be read from this record; if it holds any, say in which column (column=NAME=speed)")
	}
}

package ingest

import (
	"bytes"
	"io"
	"runtime"
	"sync"
)

// usualPieceBytes is about how long a piece of a table is.
const usualPieceBytes = 256 << 10

// piece is a run of whole lines that is read beside others by a reader of its own, and joined to the table in its turn. Should it hold
// anything to report, what was read is thrown away and the lines are read again in their turn: all that a report tells of order, and
// when it has told enough, stays where it is.
type piece struct {
	text   []byte
	before int // lines before it
	src    source
	plan   plan
	report Report
	reader loggerFile
	clean  bool          // all of it was read, and there is nothing to report
	done   chan struct{} // one when that is known
}

// rowsByPieces reads all whole lines, as many pieces at once as there are processors. The reading itself, and all that changes the
// table, is done here alone.
func (g *loggerFile) rowsByPieces(pieceBytes int) error {
	hands := runtime.GOMAXPROCS(0)
	work := make(chan *piece, hands)
	var busy sync.WaitGroup
	for range hands {
		busy.Go(func() {
			for p := range work {
				p.read()
			}
		})
	}
	defer busy.Wait()
	defer close(work)

	var ahead, idle []*piece
	for more := true; ; {
		for more && len(ahead) < 2*hands {
			p := &piece{done: make(chan struct{}, 1)}
			if n := len(idle); n > 0 {
				p, idle = idle[n-1], idle[:n-1]
			}
			if more = p.cut(g, pieceBytes); more {
				ahead = append(ahead, p)
				work <- p
			}
		}
		if len(ahead) == 0 {
			return nil
		}
		p := ahead[0]
		ahead = ahead[1:]
		if <-p.done; p.clean && g.fits(p) {
			g.join(p)
		} else if err := g.again(p); err != nil {
			return err
		}
		idle = append(idle, p)
	}
}

// cut takes the next lines of a table and makes a reader for them; false where there are none.
func (p *piece) cut(g *loggerFile, pieceBytes int) bool {
	from := g.lx.src
	if p.text = from.lines(p.text[:0], pieceBytes); len(p.text) == 0 {
		return false
	}
	p.before = from.lineNo
	n := bytes.Count(p.text, []byte{from.eol})
	from.lineNo += n

	channels := append(p.plan.channels[:0], g.channels...)
	for i := range channels {
		c := &channels[i]
		c.missing, c.coded, c.doubted, c.problems, c.sum = 0, nil, false, 0, 0
	}
	p.plan, p.report = *g.plan, Report{}
	p.plan.channels, p.plan.rep, p.plan.clock.misfits = channels, &p.report, [4]int64{}
	r := &p.reader
	r.plan, r.most = &p.plan, g.most
	r.lx.delimiter, r.lx.src = g.lx.delimiter, p.source(from.eol)
	r.keys = r.keys[:0]
	for i := range g.keys {
		r.keys = append(r.keys, keyColumn{field: g.keys[i].field})
	}
	if r.table == nil {
		r.table = newTable(len(channels), n+n/8)
	}
	r.table.clear()
	return true
}

// source is the piece's own, from its first line on.
func (p *piece) source(eol byte) *source {
	p.src = source{buf: p.text, end: len(p.text), eol: eol, err: io.EOF, lineNo: p.before}
	return &p.src
}

// read reads the piece.
func (p *piece) read() {
	p.clean = false
	defer func() {
		_ = recover() // what panics here does so again in its turn, where it is seen to
		p.done <- struct{}{}
	}()
	if bytes.Contains(p.text, []byte(`""`)) {
		return // unquoting it would change the lines, which may be needed again
	}
	p.clean = p.reader.run() == nil && p.report.ProblemCount == 0
}

// again reads a piece as if there were no pieces.
func (g *loggerFile) again(p *piece) error {
	from := g.lx.src
	g.lx.src = p.source(from.eol)
	defer func() { g.lx.src = from }()
	return g.run()
}

// fits reports whether a piece reads the same in its turn as it did by itself.
func (g *loggerFile) fits(p *piece) bool {
	one, other := g.clock.zoned, p.plan.clock.zoned
	return g.rep.Rows+p.report.Rows <= g.most && (one == other || one == 0 || other == 0)
}

// join adds what was read of a piece.
func (g *loggerFile) join(p *piece) {
	g.rep.Rows += p.report.Rows
	g.rep.LeftOut += p.report.LeftOut
	g.clock.join(&p.plan.clock)
	g.table.join(p.reader.table)
	for i := range g.channels {
		c, more := &g.channels[i], &p.plan.channels[i]
		c.missing += more.missing
		for number, times := range more.coded {
			c.count(number, times)
		}
		c.doubted = c.doubted || more.doubted
		for part := range p.reader.table.values[i].parts {
			for _, v := range part { // one after the other, so that the sum is the same to the last bit
				if v == v {
					c.sum += v
				}
			}
		}
	}
	g.joinKeys(p.reader.keys)
}

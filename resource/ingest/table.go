package ingest

import "sort"

// Rows are allocated for an estimate of the file's rows and, beyond it, by the chunk: growing one long slice by
// copying would need twice the memory.
const (
	chunkRows        = 1 << 14
	mostRowsReserved = 1 << 21
)

// chunks is a list that grows without copying.
type chunks[T any] struct {
	full [][]T
	last []T
}

func reserve[T any](rows int) chunks[T] {
	return chunks[T]{last: make([]T, 0, min(max(rows, 64), mostRowsReserved))}
}

func (c *chunks[T]) add(v T) {
	if len(c.last) == cap(c.last) {
		c.grow()
	}
	c.last = append(c.last, v)
}

// grow begins a new chunk, the last being full.
func (c *chunks[T]) grow() {
	c.full = append(c.full, c.last)
	c.last = make([]T, 0, chunkRows)
}

// parts lists what there is.
func (c *chunks[T]) parts(yield func([]T) bool) {
	for _, f := range c.full {
		if !yield(f) {
			return
		}
	}
	yield(c.last)
}

// addAll adds what another list has.
func (c *chunks[T]) addAll(other *chunks[T]) {
	for part := range other.parts {
		for len(part) > 0 {
			if len(c.last) == cap(c.last) {
				c.grow()
			}
			n := min(len(part), cap(c.last)-len(c.last))
			c.last = append(c.last, part[:n]...)
			part = part[n:]
		}
	}
}

// clear empties the list and keeps its last chunk to be filled again.
func (c *chunks[T]) clear() { c.full, c.last = nil, c.last[:0] }

// join returns one slice and lets go of the chunks.
func (c *chunks[T]) join() []T {
	defer func() { *c = chunks[T]{} }()
	if len(c.full) == 0 && len(c.last) >= cap(c.last)/4*3 {
		return c.last[:len(c.last):len(c.last)]
	}
	n := len(c.last)
	for _, f := range c.full {
		n += len(f)
	}
	out := make([]T, 0, n)
	for i, f := range c.full {
		out = append(out, f...)
		c.full[i] = nil
	}
	return append(out, c.last...)
}

// table collects rows: raw stamps, one list of values a channel, and the line each row stood in.
type table struct {
	stamps chunks[int64]
	values []chunks[float64]
	rows   int
	lines  lineRuns
}

func newTable(channels, rows int) *table {
	t := &table{stamps: reserve[int64](rows), values: make([]chunks[float64], channels)}
	for i := range t.values {
		t.values[i] = reserve[float64](rows)
	}
	return t
}

// row ends a row whose values have been added.
func (t *table) row(raw int64, line int) {
	t.stamps.add(raw)
	t.lines.note(t.rows, line)
	t.rows++
}

// join adds the rows of a table that was read from further down the same file.
func (t *table) join(next *table) {
	t.stamps.addAll(&next.stamps)
	for i := range t.values {
		t.values[i].addAll(&next.values[i])
	}
	for i, row := range next.lines.from {
		t.lines.note(t.rows+int(row), int(row+next.lines.offset[i]))
	}
	t.rows += next.rows
}

// clear takes all rows out.
func (t *table) clear() {
	t.stamps.clear()
	for i := range t.values {
		t.values[i].clear()
	}
	t.rows, t.lines = 0, lineRuns{from: t.lines.from[:0], offset: t.lines.offset[:0]}
}

// lineRuns remembers the line of every row in little space: a row's line is the row's number plus an offset that
// changes only where lines are skipped.
type lineRuns struct {
	from   []int32 // rows at which the offset changes
	offset []int32
}

func (l *lineRuns) note(row, line int) {
	d := int32(line - row)
	if n := len(l.offset); n == 0 || l.offset[n-1] != d {
		l.from = append(l.from, int32(row))
		l.offset = append(l.offset, d)
	}
}

// line is the line in which a row stood.
func (l *lineRuns) line(row int) int {
	i := sort.Search(len(l.from), func(i int) bool { return int(l.from[i]) > row })
	if i == 0 {
		return row + 1
	}
	return row + int(l.offset[i-1])
}

package document

import (
	"sync"

	"mastworth/openapi"
	"mastworth/yield/assess"
	"mastworth/yield/cost"
)

// memory is what the longest parts of an answer lie in, each in one piece.
type memory struct {
	numbers
	years []openapi.CashYear
	rows  []openapi.SplitRow
}

// memories are those of answers that are written and forgotten, for the next.
var memories = sync.Pool{New: func() any { return new(memory) }}

// AppendAnswer appends the answer that FromEstimate makes, as AppendEstimate does, and leaves next to nothing of it behind.
func AppendAnswer(b []byte, e *assess.Estimate, refs Refs, version string) []byte {
	whole := memories.Get().(*memory)
	whole.fit(e)
	left := *whole
	out := fromEstimate(e, refs, version, &left)
	b = AppendEstimate(b, &out)
	memories.Put(whole)
	return b
}

// fit sees to room for about what an estimate has.
func (m *memory) fit(e *assess.Estimate) {
	const request, height, row = 64, 48, 3
	numbers, years, rows := request+height*len(e.Heights), 0, 0
	if s := e.Decision.Split; s != nil {
		rows = len(s.Rows)
	}
	for _, cash := range []*cost.Flow{e.Decision.Cash, e.Decision.SolarCash} {
		if cash != nil {
			years += len(cash.Years)
		}
	}
	m.free = grown(m.free, numbers+row*rows)
	m.years = grown(m.years, years)
	m.rows = grown(m.rows, rows)
}

// grown is room for n at least; what was in it is of no use.
func grown[T any](room []T, n int) []T {
	if len(room) < n {
		return make([]T, n)
	}
	return room
}

// cut takes n from what is left. All of them are to be written to.
func cut[T any](left *[]T, n int) []T {
	if n > len(*left) {
		return make([]T, n)
	}
	out := (*left)[:n:n]
	*left = (*left)[n:]
	return out
}

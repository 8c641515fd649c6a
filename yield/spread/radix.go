package spread

import "math"

// sorter sorts numbers by their bytes, the lowest first (a radix sort, Knuth vol. 3, 5.2.5): on the thousand or so of a draw it is
// several times as fast as comparing, and a draw sorts every output of every height. It keeps its room from one sort to the next.
type sorter struct {
	rows, spare   []sortRow
	sorted, parts []float64
}

// sortRow is a number on its way, turned so that keys rise as the numbers do, and the block it is from.
type sortRow struct {
	key   uint64
	block int
}

// sort gives values without NaN in order, and besides each block of a size in its own; infinities are welcome. Both are good until
// the next sort.
func (s *sorter) sort(values []float64, size int) (sorted, parts []float64) {
	n := len(values)
	if cap(s.rows) < n {
		s.rows, s.spare = make([]sortRow, n), make([]sortRow, n)
		s.sorted, s.parts = make([]float64, n), make([]float64, n)
	}
	rows, spare := s.rows[:n], s.spare[:n]
	var counts [8][256]int32
	for i, v := range values {
		k := math.Float64bits(v)
		k ^= uint64(int64(k)>>63) | 1<<63 // all bits of negative ones, the sign alone of others
		rows[i] = sortRow{k, i / size}
		for b := range counts {
			counts[b][byte(k>>(8*b))]++
		}
	}
	for b := range counts {
		c := &counts[b]
		if c[byte(rows[0].key>>(8*b))] == int32(n) {
			continue // the same in all
		}
		sum := int32(0)
		for i, n := range c {
			c[i] = sum
			sum += n
		}
		for _, r := range rows {
			place := &c[byte(r.key>>(8*b))]
			spare[*place] = r
			*place++
		}
		rows, spare = spare, rows
	}
	sorted, parts = s.sorted[:n], s.parts[:n]
	next := make([]int, (n+size-1)/size)
	for b := range next {
		next[b] = b * size
	}
	for i, r := range rows {
		k := r.key
		k ^= ^uint64(int64(k)>>63) | 1<<63
		sorted[i] = math.Float64frombits(k)
		parts[next[r.block]] = sorted[i]
		next[r.block]++
	}
	return sorted, parts
}

package spread

import "math"

// sorter sorts blocks of numbers by their bytes, the lowest first (a radix sort, Knuth vol. 3, 5.2.5): on the thousand or so of a
// block it is several times as fast as comparing, and a draw sorts every output of every height.
type sorter struct{ keys, spare []uint64 }

// sort sorts values without NaN in place; infinities are welcome.
func (s *sorter) sort(values []float64) {
	if cap(s.keys) < len(values) {
		s.keys, s.spare = make([]uint64, len(values)), make([]uint64, len(values))
	}
	keys, spare := s.keys[:len(values)], s.spare[:len(values)]
	var counts [8][256]int32
	for i, v := range values {
		// Turned so that keys rise as the numbers do: all bits of negative ones, the sign alone of others.
		k := math.Float64bits(v)
		k ^= uint64(int64(k)>>63) | 1<<63
		keys[i] = k
		for b := range counts {
			counts[b][byte(k>>(8*b))]++
		}
	}
	for b := range counts {
		c := &counts[b]
		if c[byte(keys[0]>>(8*b))] == int32(len(keys)) {
			continue // the same in all
		}
		sum := int32(0)
		for i, n := range c {
			c[i] = sum
			sum += n
		}
		for _, k := range keys {
			place := &c[byte(k>>(8*b))]
			spare[*place] = k
			*place++
		}
		keys, spare = spare, keys
	}
	for i, k := range keys {
		k ^= ^uint64(int64(k)>>63) | 1<<63
		values[i] = math.Float64frombits(k)
	}
}

package spread

// stream is a small generator with a counter for its state: splitmix64 (Steele, Lea & Flood 2014; constants from memory). It
// serves shifts, scrambles and orders, whose quality the nets do not lean on.
type stream struct{ state uint64 }

// newStream makes a stream of its own for each set of keys under a seed.
func newStream(seed uint64, keys ...uint64) *stream {
	s := &stream{seed}
	for _, k := range keys {
		s.state = s.next() ^ (k * 0xd1342543de82ef95)
	}
	return s
}

func (s *stream) next() uint64 {
	s.state += 0x9e3779b97f4a7c15
	z := s.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// below is an even number from 0 to n−1, by multiplication; for n of some thousands the unevenness is below 2⁻³².
func (s *stream) below(n int) int { return int((s.next() >> 32) * uint64(n) >> 32) }

// latin fills out with one even number from each of len(out) equal parts of (0, 1), in a random order: a Latin hypercube, one
// dimension at a time (McKay, Beckman & Conover 1979).
func (s *stream) latin(out []float64) {
	width := 1 / float64(len(out))
	for i := range out {
		j := s.below(i + 1)
		out[i] = out[j]
		out[j] = (float64(i) + (float64(s.next()>>32)+0.5)*0x1p-32) * width
	}
}

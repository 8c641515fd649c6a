package document

// numbers hands out pointers to numbers, some dozens from one piece of memory; a document has many that may be absent.
type numbers struct{ free []float64 }

// some is a pointer to v.
func (n *numbers) some(v float64) *float64 {
	if len(n.free) == 0 {
		n.free = make([]float64, 64)
	}
	p := &n.free[0]
	n.free = n.free[1:]
	*p = v
	return p
}

// or is a pointer to v, or nil where v is NaN or infinite.
func (n *numbers) or(v float64) *float64 {
	if v-v != 0 {
		return nil
	}
	return n.some(v)
}

// figure is or of a computed figure, rounded.
func (n *numbers) figure(v float64) *float64 {
	if v-v != 0 {
		return nil
	}
	return n.some(rounded(v))
}

// all are computed figures, rounded; nil of nil.
func (n *numbers) all(v []float64) []float64 {
	if v == nil || len(v) > len(n.free) {
		return roundedAll(v)
	}
	out := n.free[:len(v):len(v)]
	n.free = n.free[len(v):]
	for i, x := range v {
		out[i] = rounded(x)
	}
	return out
}

package cost

import "math"

// The rates a year that InternalRates looks between, as shares: below, next to all is lost every year; above, a tower
// has become a printing press.
const (
	LowestRate  = -0.99
	HighestRate = 100
)

// InternalRates are the rates a year, as shares, ascending, at which a stream of payments is worth nothing today: the
// first at the start, the others at the ends of the years (internal rates of return). Only rates from LowestRate to
// HighestRate are found. A stream whose sign never changes has none, one that changes once has at most one, and one
// that changes n times may have up to n (rule of signs, Descartes 1637). All are found, save two so near one another
// that rounding hides them. A payment that is not finite gives none.
//
// Between two neighbouring rates of the derivative the worth only rises or only falls (Rolle), so each such stretch is
// halved until no number is left inside it: no first guess, nothing that fails to converge.
func InternalRates(flows []float64) []float64 {
	for _, v := range flows {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil
		}
	}
	// levels[0] is the stream; each next one is the derivative, the earliest payment divided out, until one change of
	// sign is left: from there the search climbs back.
	levels := [][]float64{scaled(flows)}
	for signChanges(levels[len(levels)-1]) > 1 {
		levels = append(levels, scaled(derivative(levels[len(levels)-1])))
	}
	if signChanges(levels[0]) == 0 {
		return nil
	}
	var at []float64 // where the level before turns, as ln(1+rate)
	for i := len(levels) - 1; i >= 0; i-- {
		at = crossings(levels[i], at)
	}
	for i, u := range at {
		at[i] = math.Expm1(u)
	}
	return at
}

// signChanges counts how often a stream goes from paying to receiving or back, years without either left out.
func signChanges(flows []float64) int {
	n, last := 0, 0.0
	for _, v := range flows {
		if v == 0 {
			continue
		}
		if last*math.Copysign(1, v) < 0 {
			n++
		}
		last = math.Copysign(1, v)
	}
	return n
}

// scaled is a stream over its largest payment: derivatives of a long stream would grow out of range.
func scaled(flows []float64) []float64 {
	largest := 0.0
	for _, v := range flows {
		largest = math.Max(largest, math.Abs(v))
	}
	out := make([]float64, len(flows))
	if largest == 0 {
		return out
	}
	for i, v := range flows {
		out[i] = v / largest
	}
	return out
}

// derivative of a stream by the discount factor, its earliest payment brought to today first, so that it falls out.
func derivative(flows []float64) []float64 {
	first := 0
	for first < len(flows) && flows[first] == 0 {
		first++
	}
	out := make([]float64, len(flows))
	for k := first + 1; k < len(flows); k++ {
		out[k] = flows[k] * float64(k-first)
	}
	return out
}

// crossings are the places, as ln(1+rate), where a stream's worth changes sign, or is nothing at a turn.
func crossings(flows, turns []float64) []float64 {
	ends := make([]float64, 0, len(turns)+2)
	ends = append(ends, math.Log1p(LowestRate))
	ends = append(ends, turns...)
	ends = append(ends, math.Log1p(HighestRate))
	var out []float64
	from := worthSign(flows, ends[0])
	if from == 0 {
		out = append(out, ends[0])
	}
	for i := 1; i < len(ends); i++ {
		to := worthSign(flows, ends[i])
		switch {
		case to == 0:
			out = append(out, ends[i])
		case from != 0 && from != to:
			out = append(out, halve(flows, ends[i-1], ends[i], from))
		}
		from = to
	}
	return out
}

// halve closes in on the one change of sign between two places.
func halve(flows []float64, low, high, atLow float64) float64 {
	for {
		mid := low + (high-low)/2
		if mid <= low || mid >= high {
			return mid
		}
		if worthSign(flows, mid) == atLow {
			low = mid
		} else {
			high = mid
		}
	}
}

// worthSign is the sign of a stream's worth at u = ln(1+rate): −1, 0 or 1. At rates below 0 the worth is counted at the
// end of the stream, which has the same sign and does not overflow.
func worthSign(flows []float64, u float64) float64 {
	sum := 0.0
	if u >= 0 {
		x := math.Exp(-u)
		for i := len(flows) - 1; i >= 0; i-- {
			sum = sum*x + flows[i]
		}
	} else {
		x := math.Exp(u)
		for _, v := range flows {
			sum = sum*x + v
		}
	}
	switch {
	case sum > 0:
		return 1
	case sum < 0:
		return -1
	}
	return 0
}

package cost

import (
	"math"
	"slices"
)

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
// Between two neighbouring rates of the derivative the worth only rises or only falls (Rolle), so each such stretch holds
// one at most: Newton's steps, and a halving wherever one of them would leave the stretch. No first guess, nothing that fails
// to converge.
func InternalRates(flows []float64) []float64 {
	for _, v := range flows {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil
		}
	}
	// levels[0] is the stream; each next one is the derivative, the earliest payment divided out, until one change of
	// sign is left: from there the search climbs back.
	levels := append(make([][]float64, 0, 4), scaled(slices.Clone(flows)))
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

// scaled makes a stream begin with its first payment, which changes no rate, and divides it by its largest: derivatives of a
// long stream would grow out of range.
func scaled(flows []float64) []float64 {
	for len(flows) > 0 && flows[0] == 0 {
		flows = flows[1:]
	}
	largest := 0.0
	for _, v := range flows {
		largest = max(largest, math.Abs(v))
	}
	for i := range flows {
		flows[i] /= largest
	}
	return flows
}

// derivative of a stream by the discount factor; its first payment falls out.
func derivative(flows []float64) []float64 {
	out := make([]float64, len(flows)-1)
	for i := range out {
		out[i] = flows[i+1] * float64(i+1)
	}
	return out
}

// crossings are the places, as ln(1+rate), where a stream's worth changes sign, or is nothing at a turn.
func crossings(flows, turns []float64) []float64 {
	out := make([]float64, 0, len(turns)+1)
	low := math.Log1p(LowestRate)
	from, _ := worth(flows, low)
	if from == 0 {
		out = append(out, low)
	}
	for i := range len(turns) + 1 {
		high := math.Log1p(HighestRate)
		if i < len(turns) {
			high = turns[i]
		}
		to, _ := worth(flows, high)
		switch {
		case to == 0:
			out = append(out, high)
		case from < 0 && to > 0 || from > 0 && to < 0:
			out = append(out, closeIn(flows, low, high, from < 0))
		}
		low, from = high, to
	}
	return out
}

// closeIn finds the one change of sign between two places, where the worth rises through nothing or falls. Each of Newton's steps
// leaves about the square of its length to go, so that the step after a small one would be lost in rounding: there it ends, or
// where nothing is left to halve.
func closeIn(flows []float64, low, high float64, rises bool) float64 {
	const small = 0x1p-40
	at, last := low+(high-low)/2, high-low
	for {
		w, slope := worth(flows, at)
		switch {
		case w == 0:
			return at
		case w < 0 == rises:
			low = at
		default:
			high = at
		}
		step := w / slope
		next := at - step
		if math.Abs(step) <= small && next >= low && next <= high {
			return next
		}
		// One that leads out of the stretch, or is hardly shorter than the one before, is not taken; a NaN is neither. Far out Newton's
		// steps on such a stream shrink by a third, and halving the whole stretch instead would cost what they gained.
		if step = math.Abs(step); next > low && next < high && step <= 0.8*last {
			at, last = next, step
			continue
		}
		mid := low + (high-low)/2
		if mid <= low || mid >= high {
			return mid
		}
		at, last = mid, high-low
	}
}

// worth is what a stream is worth at u = ln(1+rate), and how that changes with u. At rates below 0 both are of the worth at the
// end of the stream, which has the same sign and does not overflow.
func worth(flows []float64, u float64) (sum, slope float64) {
	// Horner's rule, the derivative by x beside it.
	if u >= 0 {
		x := math.Exp(-u)
		for i := len(flows) - 1; i >= 0; i-- {
			slope = slope*x + sum
			sum = sum*x + flows[i]
		}
		return sum, -slope * x
	}
	x := math.Exp(u)
	for _, v := range flows {
		slope = slope*x + sum
		sum = sum*x + v
	}
	return sum, slope * x
}

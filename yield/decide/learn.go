package decide

import "math"

// How many widths from its middle a normal density, and a normal distribution, still move. The first need place a turn only, and
// the gain hardly moves with the place of a turn, since nothing is at stake there.
const (
	densityEnds      = 6.5
	distributionEnds = 9.0
)

// learn is what a campaign does whose answer u, standard normal as seen today, correlates with the truth z by rho; rest is
// √(1 − rho²). It returns the probability that the decision flips and the expected gain.
//
// After an answer u the truth is normal about rho·u with standard deviation rest; the mean of Value then decides. Smoothing by
// a normal distribution makes no new changes of sign (it diminishes variation; Schoenberg 1950, from memory), so one turn of
// Value gives one turn of the decision at most, and none none.
func (b *belief) learn(rho, rest float64) (flips, gain float64) {
	if b.gains == 0 || b.losses == 0 {
		return 0, 0
	}
	turns, negative := b.decisionTurns(rho, rest)
	if len(turns) == 0 {
		return 0, 0
	}
	// Answers that flip lie below the first turn, between the second and third and so on, or else in the other gaps.
	first := negative == (b.mean > 0)
	marks := make([]float64, len(turns))
	for i, u := range turns {
		marks[i] = u / rho
	}
	flips = alternate(turns, first, 0, 1)
	weight := func(z float64) float64 { return alternate(turns, first, rho*z, rest) }
	gain = b.integrate(weight, marks, rest/rho, false)
	if b.mean > 0 {
		gain = -gain
	}
	return flips, gain
}

// alternate is the probability of every other gap between turns under a normal distribution: with first, those from the gap below
// all turns on, else those from the next one on.
func alternate(turns []float64, first bool, mean, sd float64) float64 {
	sum, from, on := 0.0, 0.0, first
	for _, u := range turns {
		to := upTo((u - mean) / sd)
		if on {
			sum += to - from
		}
		from, on = to, !on
	}
	if on {
		sum += upTo((mean - turns[len(turns)-1]) / sd)
	}
	return sum
}

// lastAnswer is the farthest answer looked at, in standard deviations: beyond it lies a probability of 1e-15.
const lastAnswer = 8.0

// answer is what a campaign may show, in standard deviations, and the mean of Value after it.
type answer struct{ u, mean float64 }

// decisionTurns are the answers at which the mean of Value changes its sign, rising, and whether it is negative below them.
func (b *belief) decisionTurns(rho, rest float64) (turns []float64, negative bool) {
	f := func(u float64) float64 { return b.after(rho, rest, u) }
	steps := 1
	if len(b.turns) > 1 {
		steps = 16
	}
	seen := make([]answer, 0, steps+1)
	for i := range steps + 1 {
		u := lastAnswer * (2*float64(i)/float64(steps) - 1)
		seen = append(seen, answer{u, f(u)})
	}
	seen = dips(f, seen)
	for i, s := range seen[1:] {
		if last := seen[i]; (s.mean < 0) != (last.mean < 0) {
			below, above := root(f, last.u, last.mean, s.u, s.mean, 1e-10)
			turns = append(turns, (below+above)/2)
		}
	}
	return turns, seen[0].mean < 0
}

// dips adds answers where the mean comes near to zero between its neighbours and may cross it there and back: by golden sections
// towards zero until it has crossed, or has settled.
func dips(f func(float64) float64, seen []answer) []answer {
	const golden = 0.6180339887498949
	for i := 1; i < len(seen)-1; i++ {
		from, middle, to := seen[i-1], seen[i], seen[i+1]
		sign := math.Copysign(1, middle.mean)
		if !(sign*from.mean > sign*middle.mean && sign*to.mean > sign*middle.mean) {
			continue
		}
		for range 40 {
			wide := to
			if middle.u-from.u > to.u-middle.u {
				wide = from
			}
			x := middle.u + (1-golden)*(wide.u-middle.u)
			at := answer{x, f(x)}
			inner, outer := at, middle
			if sign*at.mean >= sign*middle.mean {
				inner, outer = middle, at
			}
			// What is left is between the outer one and the end on the inner one's far side.
			switch {
			case outer.u < inner.u:
				from = outer
			default:
				to = outer
			}
			if middle = inner; sign*middle.mean < 0 {
				break
			}
		}
		seen[i] = middle
	}
	return seen
}

// after is the mean of Value once the answer u is known, up to what lies beyond reach.
func (b *belief) after(rho, rest, u float64) float64 {
	centre := rho * u
	// The new density over the old one.
	ratio := func(z float64) float64 {
		d := (z - centre) / rest
		return math.Exp((z*z-d*d)/2) / rest
	}
	return b.integrate(ratio, []float64{centre}, rest, true)
}

// integrate is the integral of Value times the prior's density times a weight that varies over a width about marks. A local
// weight is nothing farther away, another one steady.
func (b *belief) integrate(weight func(z float64) float64, marks []float64, width float64, local bool) float64 {
	sum := 0.0
	for i := range b.panels {
		sum += b.piece(&b.panels[i], weight, marks, width, local)
	}
	return sum
}

func (b *belief) piece(p *panel, weight func(z float64) float64, marks []float64, width float64, local bool) float64 {
	near, ends := false, distributionEnds*width
	if local {
		ends = densityEnds * width
	}
	for _, m := range marks {
		near = near || p.to > m-ends && p.from < m+ends
	}
	switch {
	case !near && local:
		return 0
	case !near:
		return p.sum * weight((p.from+p.to)/2)
	case p.to-p.from <= 2*width || p.to-p.from < narrowest:
		sum := 0.0
		for i, m := range p.mass {
			sum += m * weight(p.z[i])
		}
		return sum
	}
	middle := (p.from + p.to) / 2
	left, right := b.panel(p.from, middle), b.panel(middle, p.to)
	return b.piece(&left, weight, marks, width, local) + b.piece(&right, weight, marks, width, local)
}

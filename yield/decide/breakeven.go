package decide

import (
	"math"
	"slices"
)

// Question asks how large one number must be for building to cost no more than the alternative.
type Question struct {
	Name, Unit string // such as "hub height" and "m"; for the answer alone
	// At is what building and the alternative cost with the number at x, in the same money. NaN where it is not known; +Inf,
	// such as the cost of a kWh where there is none, is understood. It need not rise or fall throughout, nor be continuous.
	At func(x float64) (cost, alternative float64)
	// Now is the number as it stands, Lowest and Highest what is within reason: Lowest ≤ Now ≤ Highest, Lowest < Highest.
	Now, Lowest, Highest float64
	// Steps is into how many the range is parted to look for a change, 2 to 10000; 0 stands for 64. Two changes within one step
	// are not seen.
	Steps int
}

// Why says why there is no answer.
type Why string

// The reasons for no answer.
const (
	Already   Why = "already"    // it costs no more as it is
	NotWithin Why = "not_within" // nothing between Lowest and Highest does
	NotKnown  Why = "unknown"    // neither is known anywhere, or not at Now
)

// Answer is what a Question came to.
type Answer struct {
	Name, Unit string
	// Value is where building begins to cost no more (or, of Turn, ceases to), the one nearest to Now, on the side where it costs
	// no more. NaN if not Found.
	Value float64
	Found bool
	Why   Why // empty if Found
	// Holds is whether building costs no more as it is now.
	Holds bool
	// Jump says that the two costs do not meet at Value but pass each other in a jump, of more than a thousandth of what their
	// difference changes by within the step of the scan.
	Jump bool
	// Unknown is how many of the places looked at gave NaN: an answer may hide there.
	Unknown int
}

// place is a number and how much dearer the alternative is than building.
type place struct{ x, ahead float64 }

// Solve finds the value nearest to Now at which building begins to cost no more than the alternative. If it does so already,
// the answer is Already. The error is a *Fault.
func Solve(q Question) (Answer, error) {
	a, err := Turn(q)
	if err == nil && a.Holds {
		a.Value, a.Found, a.Jump, a.Why = math.NaN(), false, false, Already
	}
	return a, err
}

// Turn finds the value nearest to Now at which the comparison turns either way: what would make building the cheaper, or, if it
// is now, the alternative. The error is a *Fault.
func Turn(q Question) (Answer, error) {
	if err := q.validate(); err != nil {
		return Answer{}, err
	}
	a := Answer{Name: q.Name, Unit: q.Unit, Value: math.NaN()}
	now := q.place(q.Now)
	if math.IsNaN(now.ahead) {
		a.Why, a.Unknown = NotKnown, 1
		return a, nil
	}
	a.Holds = now.ahead >= 0
	low, high := q.grid()
	for _, side := range [2][]float64{low, high} {
		q.nearest(&a, now, side)
	}
	switch {
	case a.Found:
	case a.Unknown == len(low)+len(high):
		a.Why = NotKnown
	default:
		a.Why = NotWithin
	}
	return a, nil
}

func (q *Question) validate() error {
	known := func(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
	switch {
	case q.At == nil:
		return faultf("at", "must be given: both costs as a function of the number")
	case !known(q.Lowest):
		return faultf("lowest", "must be a number, not %g", q.Lowest)
	case !known(q.Highest) || !(q.Highest > q.Lowest):
		return faultf("highest", "must be a number above lowest, which is %g, not %g", q.Lowest, q.Highest)
	case !(q.Now >= q.Lowest && q.Now <= q.Highest):
		return faultf("now", "must lie within what is asked about, %g to %g, not at %g", q.Lowest, q.Highest, q.Now)
	case q.Steps != 0 && (q.Steps < 2 || q.Steps > 10000):
		return faultf("steps", "must be from 2 to 10000, or 0 for 64, not %d", q.Steps)
	}
	return nil
}

// place looks at one value. Costs that are both infinite cannot be told apart.
func (q *Question) place(x float64) place {
	cost, alternative := q.At(x)
	return place{x, alternative - cost}
}

// grid is the range below and above Now, each going away from it: even steps of ratio where all is above 0, else even steps.
func (q *Question) grid() (low, high []float64) {
	n := q.Steps
	if n == 0 {
		n = 64
	}
	for i := range n + 1 {
		t := float64(i) / float64(n)
		x := q.Lowest + t*(q.Highest-q.Lowest)
		if q.Lowest > 0 {
			x = q.Lowest * math.Pow(q.Highest/q.Lowest, t)
		}
		switch i {
		case 0:
			x = q.Lowest
		case n:
			x = q.Highest
		}
		switch {
		case x < q.Now:
			low = append(low, x)
		case x > q.Now:
			high = append(high, x)
		}
	}
	slices.Reverse(low)
	return low, high
}

// nearest looks along one side for the first change and keeps it if it is nearer than what was found. A place that is not known
// parts the side: what lies between known places about it may be a change, but where is not known.
func (q *Question) nearest(a *Answer, now place, side []float64) {
	last := now
	for _, x := range side {
		if a.Found && math.Abs(last.x-q.Now) >= math.Abs(a.Value-q.Now) {
			return
		}
		this := q.place(x)
		if math.IsNaN(this.ahead) {
			a.Unknown++
			last = this
			continue
		}
		if !math.IsNaN(last.ahead) && (this.ahead < 0) != (last.ahead < 0) {
			q.refine(a, last, this)
			return
		}
		last = this
	}
}

// refine closes in on a change between two places.
func (q *Question) refine(a *Answer, near, far place) {
	f := func(x float64) float64 { return q.place(x).ahead }
	value, other := root(f, near.x, near.ahead, far.x, far.ahead, 0)
	at, beside := f(value), f(other)
	if at < 0 || beside >= 0 {
		value, at, beside = other, beside, at
	}
	if a.Found && math.Abs(value-q.Now) >= math.Abs(a.Value-q.Now) {
		return
	}
	// Where they meet, the gap at the change is next to nothing beside the gap over the whole step.
	size := math.Abs(near.ahead - far.ahead)
	if math.IsInf(size, 0) {
		size = math.Min(math.Abs(near.ahead), math.Abs(far.ahead))
	}
	gap := math.Abs(at - beside)
	a.Found, a.Value = true, value
	a.Jump = math.IsInf(gap, 0) || !(gap <= 1e-3*size)
}

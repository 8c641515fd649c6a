package drive

import "math"

// Aero is a rotor over its tip-speed ratio λ = ωR/V. Torque is Cq·½ρ·A·R·V², so that Cp = λ·Cq, and thrust is Ct·½ρ·A·V².
// Cq(0) is the torque at standstill. Beyond the runaway ratio, where the free rotor turns, Cq is negative. The methods must
// give finite numbers from 0 to MaxLambda and be safe for several goroutines. A curve asks some thousand times, so let them
// look up a table.
type Aero interface {
	Cq(lambda float64) float64
	Cp(lambda float64) float64
	Ct(lambda float64) float64
}

// MaxLambda is the tip-speed ratio by which a rotor's torque must have fallen to nothing. Free rotors of one slim blade
// reach about 25, slim ones of the best sections on paper several times that (judgement).
const MaxLambda = 100

const (
	scanSteps = 1000 // of λ from 0 to MaxLambda, to find the best and the runaway ratio
	gridSteps = 128  // of λ from 0 to runaway, in which an equilibrium is looked for
)

// rotorFacts is what an operating point needs of the rotor, worked out once.
type rotorFacts struct {
	aero    Aero
	best    float64 // λ of the highest Cp
	bestCp  float64
	runaway float64 // the highest λ with torque; NaN if there is none by MaxLambda, 0 for a rotor without torque
	finite  bool

	lambda [gridSteps + 1]float64 // from 0 to just above runaway
	cq     [gridSteps + 1]float64
}

// study scans a rotor. Power is λ·Cq throughout, so that torque and power cannot disagree.
func study(aero Aero) *rotorFacts {
	f := &rotorFacts{aero: aero, finite: true}
	step := float64(MaxLambda) / scanSteps
	bestAt, lastPositive := 0, -1
	for i := range scanSteps + 1 {
		l := float64(i) * step
		cq := aero.Cq(l)
		if math.IsNaN(cq) || math.IsInf(cq, 0) {
			f.finite = false
			return f
		}
		if cq > 0 {
			lastPositive = i
		}
		if cp := l * cq; cp > f.bestCp {
			f.bestCp, bestAt = cp, i
		}
	}
	switch lastPositive {
	case -1:
		return f
	case scanSteps:
		f.runaway = math.NaN()
		return f
	}
	lo, hi := float64(lastPositive)*step, float64(lastPositive+1)*step
	f.runaway = zeroBetween(aero.Cq, lo, hi, aero.Cq(lo), aero.Cq(hi))
	f.best = peak(func(l float64) float64 { return l * aero.Cq(l) }, max(0, float64(bestAt-1)*step), float64(bestAt+1)*step)
	f.bestCp = f.best * aero.Cq(f.best)
	top := hi
	if f.runaway > 0 && f.runaway < hi { // just above, for the grid is to be fine below
		top = f.runaway + (hi-f.runaway)*1e-3
	}
	for i := range f.lambda {
		f.lambda[i] = top * float64(i) / gridSteps
		f.cq[i] = aero.Cq(f.lambda[i])
	}
	return f
}

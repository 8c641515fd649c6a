package rotor

import (
	"math"
	"sort"
)

// Table is a rotor's coefficients over the tip-speed ratio at one wind, for whoever asks for them many times. Between its
// nodes runs a cubic that keeps the nodes' rise and fall (Fritsch and Carlson 1980), beyond its last a straight line. It
// does not change once made.
type Table struct {
	step    float64
	cq, ct  []float64
	cqSlope []float64 // per step
	ctSlope []float64

	bestCp, bestLambda float64
	runaway            float64
}

const (
	tableNodes   = 49
	tableBeyond  = 1.15 // of the runaway ratio
	idleLambda   = 8    // end of the table of a rotor that never drives itself
	runawayDigit = 1e-6
	leastTorque  = 1e-9 // coefficient under which a torque is rounding
)

// searchLambdas are looked at for the last tip-speed ratio with a driving torque.
var searchLambdas = []float64{0, 0.25, 0.5, 1, 1.5, 2, 3, 4, 5.5, 7.5, 10, 13, 17, 22, 29, 38, 50, 80}

// Table tabulates the rotor for a wind in m/s and air of a density in kg/m³, which fix the Reynolds numbers. Every value
// is NaN where either is not above 0.
func (p *Prepared) Table(windMS, rho float64) *Table {
	t := &Table{step: idleLambda / float64(tableNodes-1), cq: make([]float64, tableNodes), ct: make([]float64, tableNodes)}
	if !(windMS > 0 && rho > 0) || math.IsInf(windMS+rho, 1) {
		for i := range t.cq {
			t.cq[i], t.ct[i] = math.NaN(), math.NaN()
		}
		t.bestCp, t.bestLambda, t.runaway = math.NaN(), math.NaN(), math.NaN()
		t.cqSlope, t.ctSlope = t.cq, t.ct
		return t
	}
	reynolds := rho * windMS / AirViscosityPaS
	t.runaway = p.runaway(reynolds)
	if t.runaway > 0 {
		t.step = tableBeyond * t.runaway / float64(tableNodes-1)
	}
	for i := range t.cq {
		t.cq[i], t.ct[i] = p.coefficients(float64(i)*t.step, reynolds)
	}
	t.cqSlope, t.ctSlope = slopes(t.cq), slopes(t.ct)
	t.findBest()
	return t
}

// runaway is the highest tip-speed ratio at which the torque falls to nothing; 0 when no torque drives the rotor anywhere.
func (p *Prepared) runaway(reynolds float64) float64 {
	torque := func(lambda float64) float64 { cq, _ := p.coefficients(lambda, reynolds); return cq }
	lo, hi, atLo, atHi := -1.0, 0.0, 0.0, 0.0
	last := 0.0
	for _, lambda := range searchLambdas {
		now := torque(lambda)
		switch {
		case now > leastTorque:
			lo, atLo, hi = lambda, now, math.Inf(1)
		case math.IsInf(hi, 1):
			hi, atHi = lambda, now
		case lo >= 0 && lambda > 2.5*hi && lambda > 4:
			// Well past the fall, where no blade drives again.
			last = lambda
		}
		if last > 0 {
			break
		}
	}
	if lo < 0 {
		return 0
	}
	if math.IsInf(hi, 1) {
		return lo
	}
	for range 60 {
		if hi-lo < runawayDigit*hi {
			break
		}
		// The secant, kept off the ends; its kept end is halved so that neither stays.
		x := lo + (hi-lo)*min(max(atLo/(atLo-atHi), 0.01), 0.99)
		if now := torque(x); now > 0 {
			lo, atLo, atHi = x, now, atHi/2
		} else {
			hi, atHi, atLo = x, now, atLo/2
		}
	}
	return (lo + hi) / 2
}

// Cq is the torque coefficient at a tip-speed ratio from 0; NaN for NaN and below 0.
func (t *Table) Cq(lambda float64) float64 { return t.read(t.cq, t.cqSlope, lambda) }

// Ct is the thrust coefficient at a tip-speed ratio from 0; NaN for NaN and below 0.
func (t *Table) Ct(lambda float64) float64 { return t.read(t.ct, t.ctSlope, lambda) }

// Cp is the power coefficient at a tip-speed ratio from 0; NaN for NaN and below 0.
func (t *Table) Cp(lambda float64) float64 { return lambda * t.Cq(lambda) }

// MaxCp is the highest power coefficient and the tip-speed ratio it is at; 0 and 0 for a rotor that never drives itself.
func (t *Table) MaxCp() (cp, lambda float64) { return t.bestCp, t.bestLambda }

// Runaway is the highest tip-speed ratio at which the torque falls to nothing: that of a rotor without load, should it get
// there. It is 0 for a rotor that never drives itself.
func (t *Table) Runaway() float64 { return t.runaway }

// Standstill is Cq at 0: what the wind has to start the rotor with.
func (t *Table) Standstill() float64 { return t.cq[0] }

func (t *Table) read(values, slopes []float64, lambda float64) float64 {
	if !(lambda >= 0) {
		return math.NaN()
	}
	x := lambda / t.step
	last := len(values) - 1
	if x >= float64(last) {
		return values[last] + slopes[last]*(x-float64(last))
	}
	i := int(x)
	x -= float64(i)
	rise := values[i+1] - values[i]
	return values[i] + x*(slopes[i]+x*(3*rise-2*slopes[i]-slopes[i+1]+x*(slopes[i]+slopes[i+1]-2*rise)))
}

// slopes are a monotone cubic's slopes at evenly spaced values, per step: the harmonic mean of the rises on either side, 0
// where they differ in sign.
func slopes(values []float64) []float64 {
	n := len(values)
	out := make([]float64, n)
	out[0], out[n-1] = values[1]-values[0], values[n-1]-values[n-2]
	for i := 1; i < n-1; i++ {
		if before, after := values[i]-values[i-1], values[i+1]-values[i]; before*after > 0 {
			out[i] = 2 * before * after / (before + after)
		}
	}
	return out
}

// findBest seeks the highest Cp near the best node, by golden section.
func (t *Table) findBest() {
	best := 0
	for i := range t.cq {
		if float64(i)*t.cq[i] > float64(best)*t.cq[best] {
			best = i
		}
	}
	if best == 0 {
		return
	}
	const golden = 0.6180339887498949
	lo, hi := float64(best-1)*t.step, float64(min(best+1, len(t.cq)-1))*t.step
	for range 40 {
		a, b := hi-golden*(hi-lo), lo+golden*(hi-lo)
		if t.Cp(a) > t.Cp(b) {
			hi = b
		} else {
			lo = a
		}
	}
	t.bestLambda = (lo + hi) / 2
	t.bestCp = t.Cp(t.bestLambda)
}

// Lambdas are n tip-speed ratios from 0 to the end of what the rotor does by itself, evenly spaced, for a drawing; n is at
// least 2.
func (t *Table) Lambdas(n int) []float64 {
	end := t.runaway
	if !(end > 0) {
		end = idleLambda
	}
	out := make([]float64, max(n, 2))
	for i := range out {
		out[i] = end * float64(i) / float64(len(out)-1)
	}
	return out
}

// Hang is the tip-speed ratio that must be passed by hand or gust before the rotor drives itself up to Runaway, by the
// table's nodes; 0 when it does so from standstill. The drag of bearings and generator comes on top.
func (t *Table) Hang() float64 {
	end := sort.Search(len(t.cq), func(i int) bool { return float64(i)*t.step >= t.runaway }) - 1
	for i := end; i >= 0; i-- {
		if !(t.cq[i] > 0) {
			return float64(i+1) * t.step
		}
	}
	return 0
}

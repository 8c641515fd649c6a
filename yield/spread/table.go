package spread

import (
	"math"
)

const (
	// fineParts is into how many equal parts a table is cut for fast look-up.
	fineParts     = 256
	maxNodes      = 1000
	maxMultiplier = 10.0
)

// EnergyTable is a year's energy as a function of a factor on every wind speed, from the real energy calculation at some
// factors. Between them it rises and falls only where the nodes do. It does not change once made.
//
// Smooth curves at 23 nodes or more from 0.5 to 1.6 come back to better than 1e-4. Below the lowest node the energy falls to 0
// at no wind by the power law it has there; above the highest it stays.
type EnergyTable struct {
	x, y, slope        []float64 // the nodes, as logarithms where all energies are above 0, and the slopes there
	logs               bool
	lo, hi             float64
	lowEnergy, topKWh  float64
	lowExponent, scale float64
	fine               [fineParts][4]float64
}

// Multipliers are n factors from 0.5 to 1.6 that suit a backyard's uncertainty, 1 being one of them where n is 12, 23, 34, 45, ….
// A useful n is from 23 to 45; below 2 is a mistake in the program.
func Multipliers(n int) []float64 {
	if n < 2 {
		panic("spread: fewer than two multipliers")
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = math.FMA(1.1, float64(i)/float64(n-1), 0.5)
		if math.Abs(out[i]-1) < 1e-12 {
			out[i] = 1
		}
	}
	return out
}

// NewEnergyTable makes a table of energies in kWh at rising factors above 0 on every wind speed; from 5 to 1000 of them, with 1
// inside. Energies are numbers from 0. Anything else is a *Fault.
func NewEnergyTable(multipliers, kWh []float64) (*EnergyTable, error) {
	n := len(multipliers)
	if n < 5 || n > maxNodes || len(kWh) != n {
		return nil, faultf("", "energy", "needs from 5 to %d factors with an energy each, not %d with %d", maxNodes, n, len(kWh))
	}
	t := &EnergyTable{logs: true, lo: multipliers[0], hi: multipliers[n-1]}
	for i, m := range multipliers {
		switch {
		case !(m > 0 && m <= maxMultiplier) || i > 0 && m <= multipliers[i-1]:
			return nil, faultf("", "energy", "factors on the wind speed must rise from above 0 to at most %g; number %d is %g", maxMultiplier, i+1, m)
		case !(kWh[i] >= 0) || math.IsInf(kWh[i], 1):
			return nil, faultf("", "energy", "the energy at a factor of %g must be a number from 0, not %g", m, kWh[i])
		}
		t.logs = t.logs && kWh[i] > 0
	}
	if !(t.lo < 1 && t.hi > 1) {
		return nil, faultf("", "energy", "the factors run from %g to %g; 1, the wind as estimated, must lie inside", t.lo, t.hi)
	}
	t.x, t.y = append([]float64(nil), multipliers...), append([]float64(nil), kWh...)
	t.lowEnergy, t.topKWh = kWh[0], kWh[n-1]
	if t.logs {
		for i := range t.x {
			t.x[i], t.y[i] = math.Log(t.x[i]), math.Log(t.y[i])
		}
	}
	t.slope = nodeSlopes(t.x, t.y)
	t.cut()
	return t, nil
}

// Tabulate makes a table of an energy in kWh as a function of a factor on every wind speed, called at each of the multipliers.
func Tabulate(kWh func(multiplier float64) float64, multipliers []float64) (*EnergyTable, error) {
	energies := make([]float64, len(multipliers))
	for i, m := range multipliers {
		energies[i] = kWh(m)
	}
	return NewEnergyTable(multipliers, energies)
}

// At is the energy in kWh at a factor on every wind speed; NaN for NaN, 0 at 0 and below.
func (t *EnergyTable) At(multiplier float64) float64 {
	x := (multiplier - t.lo) * t.scale
	if !(x >= 0 && x < fineParts) {
		return t.beyond(multiplier)
	}
	i := int(x)
	f := x - float64(i)
	c := &t.fine[i]
	return c[0] + f*(c[1]+f*(c[2]+f*c[3]))
}

func (t *EnergyTable) beyond(m float64) float64 {
	switch {
	case math.IsNaN(m):
		return m
	case m >= t.hi:
		return t.topKWh
	case m <= 0:
		return 0
	case t.lowEnergy == 0:
		return 0
	}
	return t.lowEnergy * math.Pow(m/t.lo, t.lowExponent)
}

// Range is the lowest and the highest factor of the table.
func (t *EnergyTable) Range() (lowest, highest float64) { return t.lo, t.hi }

// Sensitivity is by how many per cent the energy changes for one per cent of wind speed, d ln E/d ln v, at a factor inside the
// table; NaN outside and where there is no energy. It falls from 3 and more in weak wind to about 1 in strong wind.
func (t *EnergyTable) Sensitivity(multiplier float64) float64 {
	if !(multiplier >= t.lo && multiplier <= t.hi) {
		return math.NaN()
	}
	e, d := t.exact(multiplier)
	return d * multiplier / e
}

// exact is the energy and its slope by the nodes themselves.
func (t *EnergyTable) exact(m float64) (kWh, slope float64) {
	if !t.logs {
		return cubic(t.x, t.y, t.slope, m)
	}
	y, d := cubic(t.x, t.y, t.slope, math.Log(m))
	kWh = math.Exp(y)
	return kWh, d * kWh / m
}

// cut prepares the fine table.
func (t *EnergyTable) cut() {
	step := (t.hi - t.lo) / fineParts
	t.scale = 1 / step
	x, y, d := make([]float64, fineParts+1), make([]float64, fineParts+1), make([]float64, fineParts+1)
	for i := range x {
		x[i] = t.lo + float64(i)*step
		if i == fineParts {
			x[i] = t.hi
		}
		y[i], d[i] = t.exact(x[i])
	}
	limitSlopes(x, y, d)
	for i := range t.fine {
		rise, a, b := y[i+1]-y[i], d[i]*step, d[i+1]*step
		t.fine[i] = [4]float64{y[i], a, 3*rise - 2*a - b, a + b - 2*rise}
	}
	if t.lowEnergy > 0 {
		t.lowExponent = max(0, d[0]*t.lo/t.lowEnergy)
	}
}

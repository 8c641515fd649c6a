package machine

import (
	"fmt"
	"math"
	"sync"

	"mastworth/yield/drive"
	"mastworth/yield/rotor"
)

// StatedWindMS is the wind in m/s that a design's coefficients and cautions are stated for. About there a site with a mean
// of 5 m/s has the most energy: the mean wind weighted by its cube is 1.70 times the mean in a Rayleigh wind.
const StatedWindMS = 8

// tableWinds are the winds a rotor is tabulated at; see the package's comment. Outside them the nearer is taken.
var tableWinds = [...]float64{2, StatedWindMS, 25}

// tables are a rotor's coefficients at rising winds in air of one density.
type tables struct {
	winds []float64
	at    []*rotor.Table
}

// tabulate works the tables out side by side, since they are most of what a curve costs.
func tabulate(p *rotor.Prepared, rho float64) *tables {
	t := &tables{winds: tableWinds[:]}
	if !followsReynolds(p.Rotor().Section) {
		t.winds = []float64{StatedWindMS}
	}
	t.at = make([]*rotor.Table, len(t.winds))
	var wg sync.WaitGroup
	for i, v := range t.winds {
		wg.Go(func() { t.at[i] = p.Table(v, rho) })
	}
	wg.Wait()
	return t
}

// followsReynolds is whether a section's figures differ from one Reynolds number to another. A table's do not, unless it is a
// plate's; of a section of the caller's own making nothing is known.
func followsReynolds(s rotor.Section) bool {
	p, ok := s.(*rotor.Polar)
	if !ok {
		return true
	}
	const someAngle, slow, fast = 0.1, 3e4, 3e5
	cl, cd := p.Coefficients(someAngle, slow)
	cl2, cd2 := p.Coefficients(someAngle, fast)
	return cl != cl2 || cd != cd2
}

// stated is the table at StatedWindMS.
func (t *tables) stated() *rotor.Table { return t.at[len(t.at)/2] }

// aero is the rotor in a wind in m/s.
func (t *tables) aero(windMS float64) drive.Aero {
	last := len(t.winds) - 1
	if last == 0 || !(windMS > t.winds[0]) {
		return t.at[0]
	}
	if windMS >= t.winds[last] {
		return t.at[last]
	}
	i := 0
	for windMS >= t.winds[i+1] {
		i++
	}
	if windMS == t.winds[i] {
		return t.at[i]
	}
	from, to, x := 1/math.Sqrt(t.winds[i]), 1/math.Sqrt(t.winds[i+1]), 1/math.Sqrt(windMS)
	return &blend{t.at[i], t.at[i+1], (x - from) / (to - from)}
}

// runaway is the tip-speed ratio of the free rotor in a wind in m/s.
func (t *tables) runaway(windMS float64) float64 {
	switch a := t.aero(windMS).(type) {
	case *rotor.Table:
		return a.Runaway()
	case *blend:
		return a.from.Runaway() + a.share*(a.to.Runaway()-a.from.Runaway())
	}
	panic("machine: a rotor of unknown kind")
}

// blend is a rotor between two tables.
type blend struct {
	from, to *rotor.Table
	share    float64 // of to
}

func (b *blend) Cq(lambda float64) float64 {
	from := b.from.Cq(lambda)
	return from + b.share*(b.to.Cq(lambda)-from)
}

func (b *blend) Ct(lambda float64) float64 {
	from := b.from.Ct(lambda)
	return from + b.share*(b.to.Ct(lambda)-from)
}

func (b *blend) Cp(lambda float64) float64 { return lambda * b.Cq(lambda) }

// The densities of air on Earth, kg/m³, as drive takes them.
const (
	leastDensity   = 0.3
	highestDensity = 2
)

func checkDensity(rho float64) error {
	if !(rho >= leastDensity && rho <= highestDensity) {
		return fmt.Errorf("an air density of %g kg/m³ is not that of air on Earth; give one from %g to %d", rho, leastDensity, highestDensity)
	}
	return nil
}

package drive

import (
	"fmt"
	"math"
)

// GearEfficiency is what ParseGear takes for one stage of gear, chain or belt: common practice loses 3 to 10 % (from memory).
const GearEfficiency = 0.95

// The gear ratios that make sense, generator turns for one turn of the rotor.
const (
	smallestGear = 0.01
	largestGear  = 200
)

// Gear stands between rotor and generator. Begin from Direct or ParseGear: the zero value is not valid.
type Gear struct {
	GeneratorPerRotor float64 // turns of the generator for one turn of the rotor
	Efficiency        float64 // power out over power in, drag apart; above 0 to 1
	DragNm            float64 // constant torque at the rotor's shaft, bearings and seals, from 0
}

// Direct is no gear at all.
func Direct() Gear { return Gear{GeneratorPerRotor: 1, Efficiency: 1} }

func (g Gear) check() *Fault {
	return first(
		within("gear.generator_per_rotor", g.GeneratorPerRotor, smallestGear, largestGear),
		within("gear.efficiency", g.Efficiency, 0.1, 1),
		within("gear.drag_nm", g.DragNm, 0, 1e5))
}

// turns is a gear as it is said: turns of the rotor against turns of the generator.
type turns struct{ rotor, generator float64 }

func (t turns) ratio() float64 { return t.generator / t.rotor }

func (t turns) String() string {
	return fmt.Sprintf("the rotor turns %s for %s of the generator", times(t.rotor), count(t.generator))
}

func times(n float64) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%.6g times", n)
}

func count(n float64) string {
	if n == 1 {
		return "one turn"
	}
	return fmt.Sprintf("%.6g turns", n)
}

// reading is the gear in plain words, for the answer.
func (t turns) reading() string {
	r := t.ratio()
	switch {
	case r == 1:
		return "rotor and generator turn equally fast, 1 generator turn a rotor turn"
	case r > 1:
		return fmt.Sprintf("%s: geared up, %.6g generator turns a rotor turn", t, r)
	}
	return fmt.Sprintf("%s: geared down, %.6g generator turns a rotor turn", t, r)
}

func (t turns) gear() (Gear, string, error) {
	r := t.ratio()
	if !(r >= smallestGear && r <= largestGear) || math.IsInf(t.rotor, 0) {
		return Gear{}, "", &Fault{"gear", fmt.Sprintf("%s, that is %.4g generator turns a rotor turn; gears lie between %g and %g",
			t, r, smallestGear, float64(largestGear))}
	}
	g := Gear{GeneratorPerRotor: r, Efficiency: GearEfficiency}
	if r == 1 {
		g.Efficiency = 1
	}
	return g, t.reading(), nil
}

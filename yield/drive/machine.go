package drive

import (
	"fmt"
	"math"

	"mastworth/yield"
)

// Machine is a whole design. The zero value is not valid; see Validate.
type Machine struct {
	RotorRadiusM float64 // m
	Aero         Aero
	Generator    Generator
	Gear         Gear
	Load         Load
	Wire         Wire
	Furling      Furling
}

// Fault says which part of a design cannot be, and why, with the remedy.
type Fault struct {
	Field  string // snake_case with its unit, "generator.resistance_ohm"
	Reason string
}

func (f *Fault) Error() string { return fmt.Sprintf("machine design, %s: %s", f.Field, f.Reason) }

// within refuses a value outside its range, NaN included.
func within(field string, v, low, high float64) *Fault {
	if v >= low && v <= high {
		return nil
	}
	return &Fault{field, fmt.Sprintf("must lie within %g and %g, not %g", low, high, v)}
}

func first(faults ...*Fault) *Fault {
	for _, f := range faults {
		if f != nil {
			return f
		}
	}
	return nil
}

// Validate reports the first thing wrong with the design as a *Fault: a number out of range, a part left out, or a rotor that
// cannot be, since its power passes the Betz limit or its torque never ends.
func (m Machine) Validate() error {
	f := m.check()
	if f == nil {
		f = checkRotor(study(m.Aero))
	}
	if f != nil {
		return f
	}
	return nil
}

// check is Validate without the scan of the rotor.
func (m Machine) check() *Fault {
	switch {
	case m.Aero == nil:
		return &Fault{"rotor", "the design has no rotor"}
	case m.Load == nil:
		return &Fault{"load", "the design has no load; give a battery, a resistor, a tracking converter or a short circuit"}
	}
	g := m.Generator
	return first(
		within("rotor.radius_m", m.RotorRadiusM, 0.05, 100),
		within("generator.constant_vs_per_rad", g.ConstantVsPerRad, 1e-4, 1e4),
		within("generator.resistance_ohm", g.ResistanceOhm, 1e-5, 1e4),
		within("generator.iron_torque_nm", g.IronTorqueNm, 0, 1e4),
		within("generator.eddy_nm_per_rad_s", g.EddyNmPerRadS, 0, 1e3),
		within("generator.cogging_nm", g.CoggingNm, 0, 1e4),
		within("generator.rated_current_a", g.RatedCurrentA, 0, 1e5),
		m.Gear.check(), m.Load.check(), m.Wire.check(), m.Furling.check())
}

func checkRotor(r *rotorFacts) *Fault {
	switch {
	case !r.finite:
		return &Fault{"rotor", fmt.Sprintf("its torque coefficient is not a number somewhere between tip-speed ratios 0 and %d", MaxLambda)}
	case math.IsNaN(r.runaway):
		return &Fault{"rotor", fmt.Sprintf("its torque does not fall to nothing by a tip-speed ratio of %d; a free rotor would "+
			"never find its speed; let the table of torque end below zero", MaxLambda)}
	case r.bestCp <= 0:
		return &Fault{"rotor", "it has no driving torque at any speed; look at the sign of pitch and twist"}
	case r.bestCp > yield.BetzLimit:
		return &Fault{"rotor", fmt.Sprintf("its power coefficient of %.3f at a tip-speed ratio of %.2f passes the Betz limit %.3f",
			r.bestCp, r.best, yield.BetzLimit)}
	}
	return nil
}

package machine

import (
	"fmt"

	"mastworth/resource"
	"mastworth/yield/drive"
)

// Where a caution begins (judgement).
const (
	heldShare    = 0.85 // of the rotor's best, that it still takes
	highSolidity = 0.5
)

// cautions are those of rotor and machine together.
func (s *solver) cautions(out *Solved) []resource.Warning {
	var list []resource.Warning
	add := func(code, format string, args ...any) {
		list = append(list, resource.Warning{Code: code, Detail: fmt.Sprintf(format, args...)})
	}
	switch s.machine.Load.(type) {
	case drive.NoLoad, drive.ShortCircuit:
		add("delivers_nothing", "The load takes no useful power, so the curve is nothing throughout. Give a battery, a resistor or a "+
			"tracking converter to see what the machine delivers.")
	default:
		s.heldCaution(out, add)
	}
	if s.machine.Generator.RatedCurrentA == 0 {
		add("rating_unknown", "No rated current of the generator was given, so nothing says when its winding burns, and the power "+
			"suggested as rated, %.0f W, heeds the wind of %d m/s alone. Take the current it bears for long from its plate.",
			out.RatedPowerW, RatingWindMS)
	}
	if cq := s.tables.stated().Standstill(); out.HangLambda > 0 && cq > 0 {
		add("rotor_hangs", "The rotor starts, but its torque falls to nothing below a tip-speed ratio of %.2f, and only past that does it "+
			"run up to %.1f by itself. Give the blades more pitch or breadth near the hub.", out.HangLambda, out.RunawayLambda)
	}
	if out.Solidity > highSolidity {
		add("solidity_high", "The blades cover %.0f %% of the disc. Blades so close steer each other's air, which the blade-element method "+
			"leaves out; take the power as less certain.", 100*out.Solidity)
	}
	return list
}

// heldCaution compares the tip-speed ratio that the load leaves the rotor in StatedWindMS with its best.
func (s *solver) heldCaution(out *Solved, add func(code, format string, args ...any)) {
	converter, _ := s.machine.Load.(drive.Tracking)
	for i := range out.Result.Points {
		p := &out.Result.Points[i]
		if converter.AtLimit(p) {
			continue // no gear loads it more; drive tells of the limit
		}
		if p.WindMS != StatedWindMS || !(p.CurrentA > 0) || p.Cp >= heldShare*out.BestCp || p.State == drive.Stalled {
			continue
		}
		remedy := "A smaller gear step, fewer turns or a higher voltage lets it run."
		code := "held_below_best"
		if p.Lambda > out.BestLambda {
			remedy = "A larger gear step, more turns or a lower voltage loads it."
			code = "held_above_best"
		}
		add(code, "In %d m/s the generator holds the rotor at a tip-speed ratio of %.2f, but its best is %.2f: it takes %.3f of the wind's "+
			"power and could take %.3f. %s", StatedWindMS, p.Lambda, out.BestLambda, p.Cp, out.BestCp, remedy)
	}
}

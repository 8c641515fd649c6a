package drive

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// Where a caution begins. All are judgement unless said otherwise.
const (
	touchVolts       = 50   // direct current above this is a shock hazard (electrical codes, from memory)
	wireShareCaution = 0.1  // of the terminals' power
	highElectricalCp = 0.45 // good small machines reach 0.29 to 0.40
	gustGapMS        = 0.5  // between starting to charge from rest and ceasing to charge
)

// cautions tells what a builder should know of a design before building it.
func (t *train) cautions(r *Result) []resource.Warning {
	var out []resource.Warning
	add := func(code, format string, args ...any) {
		out = append(out, resource.Warning{Code: code, Detail: fmt.Sprintf(format, args...)})
	}
	t.startCautions(r, add)
	t.pointCautions(r, add)
	t.overspeedCautions(r, add)
	return out
}

type adder func(code, format string, args ...any)

func (t *train) startCautions(r *Result, add adder) {
	m := &t.machine
	_, cut := m.Load.(NoLoad)
	_, brake := m.Load.(ShortCircuit)
	charges := !cut && !brake
	switch {
	case math.IsNaN(r.StartWindMS) && t.facts.cq[0] > 0:
		add("does_not_start", "The rotor does not start: drag and cogging ask %.3g N·m at rest, and furling begins at %.1f m/s, before "+
			"the wind brings so much. Skew the magnets or the notches, choose a smaller gear step, or furl later.", t.breakaway, t.furlStart)
	case math.IsNaN(r.StartWindMS):
		add("does_not_start", "The rotor has no driving torque at rest (torque coefficient %.4f) and needs a push in any wind. "+
			"Give the blades more pitch or breadth near the hub.", t.facts.cq[0])
	case !charges:
	case math.IsNaN(r.CutInMS):
		add("never_charges", "Current never flows when the machine starts from rest: it begins above %.0f rpm of the rotor, and that is not "+
			"reached. Gear the generator up, wind it with more turns, or charge a lower voltage.", m.ChargingRPM())
	case r.CutInMS-r.StopMS > gustGapMS:
		add("start_waits_for_gust", "From rest the machine charges only from %.1f m/s, but once running it goes on down to %s m/s. The curve "+
			"shows the start from rest, so a gusty site gives somewhat more than it says in between.", r.CutInMS, metres(r.StopMS))
	}
	if g := m.Gear.GeneratorPerRotor; g < 1 && charges {
		up := *m
		up.Gear.GeneratorPerRotor = 1 / g
		add("gear_slows_generator", "The generator turns slower than the rotor, %.3g turns a rotor turn, and charging begins at %.0f rpm of "+
			"the rotor. The other way round, %.3g, it would begin at %.0f rpm. Check that the two sides of the gear are not swapped.",
			g, m.ChargingRPM(), 1/g, up.ChargingRPM())
	}
	if brake {
		t.brakeCaution(r, add)
		add("brake_without_inductance", "The short-circuit brake is worked out without the winding's inductance; at high speed a real winding "+
			"brakes less. Close the brake at low speed, and do not trust it alone in a storm.")
	}
}

func (t *train) pointCautions(r *Result, add adder) {
	var stalledFrom, stalledTo, overAt, overA, cp, cpAt float64
	best := 0
	_, brake := t.machine.Load.(ShortCircuit)
	for i := range r.Points {
		p := &r.Points[i]
		if p.CurrentA > 0 && p.Lambda < t.facts.best && p.Cp < t.facts.bestCp/2 {
			if stalledFrom == 0 {
				stalledFrom = p.WindMS
			}
			stalledTo = p.WindMS
		}
		if rated := t.machine.Generator.RatedCurrentA; rated > 0 && p.CurrentA > rated {
			if overAt == 0 {
				overAt = p.WindMS
			}
			overA = max(overA, p.CurrentA)
		}
		if p.TerminalW > r.Points[best].TerminalW {
			best = i
		}
		if p.ElectricalCp > cp {
			cp, cpAt = p.ElectricalCp, p.WindMS
		}
	}
	if stalledFrom > 0 && !brake {
		add("rotor_stalled", "Between %.1f and %.1f m/s the load holds the rotor so slow that it takes less than half of what it could. "+
			"A smaller gear step, fewer turns, or more resistance in the line lets it run.", stalledFrom, stalledTo)
	}
	switch {
	case overAt > 0 && brake:
		add("over_current", "From %.1f m/s on the braked winding carries more than the generator's rating of %.3g A, up to %.3g A; it burns in a long "+
			"blow. Do not leave the brake on alone in a storm.", overAt, t.machine.Generator.RatedCurrentA, overA)
	case overAt > 0:
		add("over_current", "From %.1f m/s on the current passes the generator's rating of %.3g A, up to %.3g A; the winding burns in a long "+
			"blow. Furl earlier or choose a larger generator.", overAt, t.machine.Generator.RatedCurrentA, overA)
	}
	if at := t.limitAt(r.Points); at > 0 {
		add("converter_limit", "From %.1f m/s on the converter is at its limit of %.0f W and no longer holds the rotor, which speeds up. "+
			"Furl by wind before that, or add a dump load.", at, t.machine.Load.(Tracking).MaxW)
	}
	if p := r.Points[best]; p.WireLossW > wireShareCaution*p.TerminalW {
		add("wire_loss", "At %.1f m/s the wire loses %.0f of %.0f W. A thicker wire or a higher voltage loses less.",
			p.WindMS, p.WireLossW, p.TerminalW)
	}
	if cp > highElectricalCp {
		add("electrical_cp_high", "At %.1f m/s the machine delivers %.0f %% of the wind's power; good small ones reach 29 to 40 %%. Look "+
			"at the rotor's drag and the generator's resistance.", cpAt, 100*cp)
	}
}

// limitAt is the first of the points' winds in m/s in which a converter is at its limit and lets the rotor run; 0 for none.
func (t *train) limitAt(points []Point) float64 {
	converter, _ := t.machine.Load.(Tracking)
	for i := range points {
		if p := &points[i]; converter.AtLimit(p) && p.Lambda > 1.2*t.facts.best {
			return p.WindMS
		}
	}
	return 0
}

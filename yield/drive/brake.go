package drive

import "math"

// hump is the tip-speed ratio at which the rotor has most torque, or that of its best power where it has most at standstill.
func (f *rotorFacts) hump() float64 {
	at := 0
	for i := range f.cq {
		if f.cq[i] > f.cq[at] {
			at = i
		}
	}
	if at == 0 {
		return f.best
	}
	return f.lambda[at]
}

// brakeFails is the wind in m/s from which a short circuit no longer holds the rotor slow: closed at standstill, or on a rotor
// that runs free. Held slow, a rotor takes little torque from the wind; once the wind carries it past the hump of its torque,
// there is nothing to hold it but speed, and it runs away. NaN where it holds up to the highest wind searched, or where the load
// is no brake.
func (t *train) brakeFails(from history) float64 {
	if _, brake := t.load.(ShortCircuit); !brake {
		return math.NaN()
	}
	hump := t.facts.hump()
	fails := func(v float64) bool {
		through := t.through(v)
		return through > 0 && t.speed(through, from)*t.machine.RotorRadiusM/through >= hump
	}
	for v := searchStepMS; v <= searchTopMS; v += searchStepMS {
		if fails(v) {
			return lowest(fails, v-searchStepMS, v)
		}
	}
	return math.NaN()
}

// brakeCaution says what a closed brake holds, in a sentence of its own: what is said of a load that charges does not fit it.
func (t *train) brakeCaution(r *Result, add adder) {
	const justBelow = 1 - 1e-6
	fails := r.BrakeFailMS
	if math.IsNaN(fails) {
		top := 0.0
		for v := 1.0; v <= searchTopMS; v++ {
			top = max(top, t.at(v, t.through(v), fromRest).RotorRPM)
		}
		add("brake", "Closed at standstill, the brake holds the rotor to %.0f rpm at most in all winds up to %d m/s%s.%s%s", math.Ceil(top), searchTopMS,
			t.furls(), t.stuck(), t.running())
		return
	}
	held := t.at(fails*justBelow, t.through(fails*justBelow), fromRest)
	away := t.at(fails, t.through(fails), fromRest)
	add("brake", "Closed at standstill, the brake holds the rotor below %.0f rpm in winds up to %.1f m/s%s. From there on the wind tears it loose: it runs "+
		"up to %.0f rpm, with %.0f W of heat in the winding and %.0f A, and more in more wind.%s%s", math.Ceil(held.RotorRPM), fails, t.furls(),
		away.RotorRPM, away.CopperLossW, away.CurrentA, t.stuck(), t.running())
}

// furls says that a brake has furling to help it.
func (t *train) furls() string {
	if math.IsInf(t.furlStart, 1) {
		return ""
	}
	return ", furling helping it"
}

// stuck says what the brake holds without that help.
func (t *train) stuck() string {
	facing := *t
	facing.furlStart = math.Inf(1)
	fails := facing.brakeFails(fromRest)
	if math.IsInf(t.furlStart, 1) || math.IsNaN(fails) {
		return ""
	}
	return " If furling sticks, it holds up to " + metres(fails) + " m/s only."
}

// running says what becomes of a rotor that already runs when the brake is closed.
func (t *train) running() string {
	fails := t.brakeFails(fromAbove)
	if math.IsNaN(fails) {
		return ""
	}
	return " Closed on a rotor that runs free, it brings it down in less than " + metres(fails) + " m/s only: close it in a lull."
}

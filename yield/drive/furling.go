package drive

import (
	"fmt"
	"math"
)

// Furling turns the rotor out of the wind, sideways or upwards. The model is simple and is stated here. The rotor feels the
// component of the wind along its shaft, V·cos γ at a yaw of γ, as if that were all the wind. Below StartMS it faces the
// wind; above, the component through the rotor stays at StartMS, so that power holds; if FullMS is given, the component
// falls in a straight line from StartMS to nothing at FullMS, so that power falls and the rotor at last stands edgewise.
//
// PowerLimitW lets furling begin at the lowest wind that brings this power at the terminals, or at StartMS if that is lower.
// A limit by power acts only while power flows; with the load lost it is as if it were not there.
//
// The zero value never furls.
type Furling struct {
	StartMS     float64 // wind at which furling begins, m/s; 0: not by wind
	FullMS      float64 // wind at which the rotor stands edgewise, m/s, above StartMS; 0: never
	PowerLimitW float64 // at the terminals, W; 0: not by power
}

func (f Furling) check() *Fault {
	if fault := first(
		within("furling.start_ms", f.StartMS, 0, 100),
		within("furling.full_ms", f.FullMS, 0, 200),
		within("furling.power_limit_w", f.PowerLimitW, 0, 1e6)); fault != nil {
		return fault
	}
	switch {
	case f.FullMS > 0 && f.StartMS == 0 && f.PowerLimitW == 0:
		return &Fault{"furling.full_ms", "a wind at which furling is complete needs a wind or a power at which it begins"}
	case f.FullMS > 0 && f.FullMS <= f.StartMS:
		return &Fault{"furling.full_ms", "furling is complete before it begins; the full wind must lie above the start"}
	}
	return nil
}

// CheckStart refuses a furling that would be complete before it begins, given the wind in m/s at which it does: that of
// PowerLimitW is known only once the machine is solved. nil where nothing is wrong, as for +Inf, never.
func (f Furling) CheckStart(startMS float64) *Fault {
	if f.FullMS == 0 || startMS < f.FullMS || math.IsInf(startMS, 1) {
		return nil
	}
	return &Fault{"furling.full_ms", fmt.Sprintf("furling begins at %.1f m/s, where the limit of %g W is reached, and would be complete at %g m/s, "+
		"before that; give a full wind above the start, or a lower limit", startMS, f.PowerLimitW, f.FullMS)}
}

// FreeRunMS is the wind in m/s, up to OverspeedMS, in which a rotor that has lost its load turns fastest: where furling by
// wind begins, or the storm itself.
func (f Furling) FreeRunMS() float64 { return min(f.start(), OverspeedMS) }

// start is the wind at which furling by wind begins, +Inf for never.
func (f Furling) start() float64 {
	if f.StartMS > 0 {
		return f.StartMS
	}
	return math.Inf(1)
}

// through is the wind component through the rotor in m/s.
func (t *train) through(windMS float64) float64 {
	full := t.machine.Furling.FullMS
	switch {
	case !(windMS > t.furlStart):
		return windMS
	case full == 0:
		return t.furlStart
	case windMS >= full:
		return 0
	}
	return t.furlStart * (full - windMS) / (full - t.furlStart)
}

// limitByPower moves the start of furling to where the terminals first reach the limit.
func (t *train) limitByPower() {
	limit := t.machine.Furling.PowerLimitW
	if !(limit > 0) || !(t.facts.bestCp > 0) {
		return
	}
	// No machine reaches the limit before its rotor at its best would.
	low := math.Cbrt(limit / (t.half * t.facts.bestCp))
	reached := func(v float64) bool { return t.at(v, v, fromRest).TerminalW >= limit }
	for v := low; v < min(t.furlStart, searchTopMS); v += searchStepMS {
		if reached(v) {
			t.furlStart = min(t.furlStart, lowest(reached, max(low, v-searchStepMS), v))
			return
		}
	}
}

package drive

import "math"

// Load is what the current flows into: Battery, Resistor, Tracking, ShortCircuit or NoLoad.
type Load interface {
	// check reports the first thing wrong.
	check() *Fault
	// current is what the load draws in A at a rotor speed in rad/s, from 0.
	current(t *train, rotorRadS float64) float64
	// split says where the power goes that leaves the winding, at an EMF in V and a current in A.
	split(t *train, emf, amps float64) split
}

// split is electrical power behind the winding, W.
type split struct{ diode, wire, load, delivered float64 }

// Battery takes current as soon as the generator's voltage passes its own and the rectifier's.
type Battery struct {
	VoltsV      float64 // while charging, V, above 0
	DiodeDropV  float64 // of the rectifier, V: two diodes in a bridge, about 1.4; from 0
	InternalOhm float64 // its inner resistance, Ω, from 0; what is lost there is not delivered
}

// Resistor is a heater or a dump load of fixed resistance, behind a rectifier if DiodeDropV is given.
type Resistor struct {
	Ohm        float64 // above 0
	DiodeDropV float64 // from 0
}

// Tracking is a converter that draws, at each rotor speed, the torque that holds the rotor at its best tip-speed ratio: the
// law T = ½ρAR³·Cp,max/λ_best³ · ω² (Johnson et al. 2006, there for large machines). It draws nothing below StartV at its
// input, never more than MaxW allows, and never past the current at which more current would bring less. Where it draws less
// than the law asks, the rotor runs faster than at its best; MaxW without furling lets it run away.
type Tracking struct {
	Efficiency float64 // output over input, above 0 to 1
	StartV     float64 // lowest voltage at its input at which it works, V, from 0
	MaxW       float64 // highest output, W; 0: no limit
	DiodeDropV float64 // of the rectifier before it, V, from 0
}

// ShortCircuit is the brake: the winding closed on itself at the machine, before rectifier and wire. It delivers nothing.
type ShortCircuit struct{}

// NoLoad is a line that is cut: no current, a rotor that runs free.
type NoLoad struct{}

func (b Battery) check() *Fault {
	return first(
		within("load.volts_v", b.VoltsV, 1, 1500),
		within("load.diode_drop_v", b.DiodeDropV, 0, 10),
		within("load.internal_ohm", b.InternalOhm, 0, 100))
}

func (b Battery) current(t *train, rotorRadS float64) float64 {
	return max(0, (t.emfPerRotor*rotorRadS-b.VoltsV-b.DiodeDropV)/(t.windingOhm+t.wireOhm+b.InternalOhm))
}

func (b Battery) split(t *train, _, amps float64) split {
	return split{
		diode: b.DiodeDropV * amps, wire: amps * amps * t.wireOhm, load: amps * amps * b.InternalOhm,
		delivered: b.VoltsV * amps,
	}
}

func (r Resistor) check() *Fault {
	return first(
		within("load.ohm", r.Ohm, 1e-3, 1e6),
		within("load.diode_drop_v", r.DiodeDropV, 0, 10))
}

func (r Resistor) current(t *train, rotorRadS float64) float64 {
	return max(0, (t.emfPerRotor*rotorRadS-r.DiodeDropV)/(t.windingOhm+t.wireOhm+r.Ohm))
}

func (r Resistor) split(t *train, _, amps float64) split {
	return split{diode: r.DiodeDropV * amps, wire: amps * amps * t.wireOhm, delivered: amps * amps * r.Ohm}
}

func (c Tracking) check() *Fault {
	return first(
		within("load.efficiency", c.Efficiency, 0.01, 1),
		within("load.start_v", c.StartV, 0, 1500),
		within("load.max_w", c.MaxW, 0, 1e6),
		within("load.diode_drop_v", c.DiodeDropV, 0, 10))
}

func (c Tracking) current(t *train, rotorRadS float64) float64 {
	ohm := t.windingOhm + t.wireOhm
	open := t.emfPerRotor*rotorRadS - c.DiodeDropV
	if !(open > c.StartV) {
		return 0
	}
	amps := min(t.holding(rotorRadS), (open-c.StartV)/ohm, open/(2*ohm))
	if c.MaxW > 0 {
		// The smaller root of (open − I·ohm)·I = input, written so that no digits cancel.
		input := c.MaxW / c.Efficiency
		if d := open*open - 4*ohm*input; d > 0 {
			amps = min(amps, 2*input/(open+math.Sqrt(d)))
		}
	}
	return max(0, amps)
}

// AtLimit reports whether the converter gives its MaxW at a point, so that it no longer holds the rotor.
func (c Tracking) AtLimit(p *Point) bool { return c.MaxW > 0 && p.DeliveredW > 0.999*c.MaxW }

func (c Tracking) split(t *train, emf, amps float64) split {
	if amps == 0 {
		return split{} // below the lowest voltage the product would be a negative nothing
	}
	wire := amps * amps * t.wireOhm
	input := (emf-c.DiodeDropV)*amps - amps*amps*t.windingOhm - wire
	return split{diode: c.DiodeDropV * amps, wire: wire, load: input * (1 - c.Efficiency), delivered: input * c.Efficiency}
}

func (ShortCircuit) check() *Fault { return nil }

func (ShortCircuit) current(t *train, rotorRadS float64) float64 {
	return t.emfPerRotor * rotorRadS / t.windingOhm
}

func (ShortCircuit) split(*train, float64, float64) split { return split{} }

func (NoLoad) check() *Fault { return nil }

func (NoLoad) current(*train, float64) float64 { return 0 }

func (NoLoad) split(*train, float64, float64) split { return split{} }

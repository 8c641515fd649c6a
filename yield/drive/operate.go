package drive

import "math"

// State is how a machine stands in a wind.
type State string

// The states, the gravest first where several hold.
const (
	Standing    State = "standing"     // the rotor does not turn
	OverCurrent State = "over_current" // the current is above the generator's rating
	Furled      State = "furled"       // turned out of the wind, in part or wholly
	Stalled     State = "stalled"      // held so slow that the rotor takes less than half of what it could
	Producing   State = "producing"
	Braked      State = "braked" // the winding is shorted, current flows and nothing is delivered
	Idling      State = "idling" // turns, no current flows
)

// Point is a steady state of the machine. What the rotor takes is accounted for to the last watt: AeroW = GearLossW + IronLossW +
// CopperLossW + DiodeLossW + WireLossW + LoadLossW + DeliveredW.
type Point struct {
	WindMS            float64 // free wind
	ThroughRotorMS    float64 // its component along the shaft; less than WindMS while furled
	RotorRPM          float64
	GeneratorRPM      float64
	Lambda            float64 // tip-speed ratio, of the wind through the rotor
	Cp                float64 // AeroW over the power of the wind through the rotor
	TorqueNm          float64 // of the wind on the rotor; at standstill what it offers
	GeneratorTorqueNm float64 // K·I, at the generator's shaft
	ThrustN           float64 // along the shaft
	CurrentA          float64
	VoltsV            float64 // behind the rectifier at the machine; without current the open voltage
	AeroW             float64 // taken from the wind
	GearLossW         float64 // in gear and its drag
	IronLossW         float64 // in iron, bearings and eddy currents
	CopperLossW       float64 // in the winding
	DiodeLossW        float64 // in the rectifier
	WireLossW         float64
	LoadLossW         float64 // in the tracking converter, or the battery's inner resistance
	TerminalW         float64 // at the machine's terminals, behind the rectifier
	DeliveredW        float64 // stored or used, after wire and load loss
	TipSpeedMS        float64
	State             State
	ElectricalCp      float64 // DeliveredW over the power of the free wind on the whole swept disc
}

// train is a design made ready for an air density.
type train struct {
	machine Machine
	facts   *rotorFacts
	load    Load

	half        float64 // ½ρA: power of the wind is half·V³
	halfR       float64 // ½ρAR: torque is halfR·V²·Cq
	emfPerRotor float64 // V·s per radian of the rotor
	windingOhm  float64
	wireOhm     float64
	constant    float64 // torque asked at the rotor without current, constant part, N·m
	breakaway   float64 // the same at standstill, cogging included
	perSpeed    float64 // the part that grows with rotor speed, N·m·s/rad
	perAmp      float64 // N·m at the rotor for each ampere
	holdK       float64 // torque over rotor speed squared that holds the best tip-speed ratio
	furlStart   float64
}

// prepare needs a design that check accepts.
func prepare(m Machine, facts *rotorFacts, rho float64) *train {
	t := &train{machine: m, facts: facts, load: m.Load, furlStart: m.Furling.start()}
	r, ratio := m.RotorRadiusM, m.Gear.GeneratorPerRotor
	step := ratio / m.Gear.Efficiency // torque at the rotor for one newton metre at the generator
	t.half = 0.5 * rho * math.Pi * r * r
	t.halfR = t.half * r
	t.emfPerRotor = m.Generator.ConstantVsPerRad * ratio
	t.windingOhm = m.Generator.ResistanceOhm
	t.wireOhm = m.Wire.ResistanceOhm()
	t.constant = m.Gear.DragNm + step*m.Generator.IronTorqueNm
	t.breakaway = t.constant + step*m.Generator.CoggingNm
	t.perSpeed = step * m.Generator.EddyNmPerRadS * ratio
	t.perAmp = step * m.Generator.ConstantVsPerRad
	if facts.best > 0 {
		t.holdK = t.halfR * r * r * facts.bestCp / (facts.best * facts.best * facts.best)
	}
	t.limitByPower()
	return t
}

// holding is the current in A that makes the load's torque follow the best tip-speed ratio.
func (t *train) holding(rotorRadS float64) float64 {
	return (t.holdK*rotorRadS*rotorRadS - t.constant - t.perSpeed*rotorRadS) / t.perAmp
}

// asked is the torque in N·m that gear, iron and load ask of a turning rotor.
func (t *train) asked(rotorRadS float64) float64 {
	return t.constant + t.perSpeed*rotorRadS + t.perAmp*t.load.current(t, rotorRadS)
}

// history is from which side a steady state is come to.
type history bool

const (
	fromRest  history = false
	fromAbove history = true
)

// speed is the steady rotor speed in rad/s in a wind along the shaft: where the surplus of torque, on the way up from rest
// or down from the runaway speed, first falls, or rises, through zero. Both are stable.
func (t *train) speed(v float64, from history) float64 {
	f := t.facts
	if !(v > 0) || f.runaway == 0 {
		return 0
	}
	torque, perLambda := t.halfR*v*v, v/t.machine.RotorRadiusM
	surplus := func(i int) float64 { return torque*f.cq[i] - t.asked(f.lambda[i]*perLambda) }
	lo, atLo, atHi := -1, 0.0, 0.0
	if from == fromRest {
		if !(torque*f.cq[0] > t.breakaway) {
			return 0
		}
		atLo = surplus(0)
		for i := range gridSteps {
			if atHi = surplus(i + 1); !(atHi > 0) {
				lo = i
				break
			}
			atLo = atHi
		}
	} else {
		atHi = surplus(gridSteps)
		for i := gridSteps - 1; i >= 0; i-- {
			if atLo = surplus(i); atLo > 0 {
				lo = i
				break
			}
			atHi = atLo
		}
	}
	if lo < 0 {
		return 0
	}
	lambda := zeroBetween(func(l float64) float64 { return torque*f.aero.Cq(l) - t.asked(l*perLambda) },
		f.lambda[lo], f.lambda[lo+1], atLo, atHi)
	return lambda * perLambda
}

// at is the steady state in a free wind of which a component v goes through the rotor.
func (t *train) at(windMS, v float64, from history) Point {
	if math.IsNaN(windMS) {
		nan := math.NaN()
		return Point{nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, "", nan}
	}
	return t.point(windMS, v, t.speed(v, from))
}

// leastTorque is a torque coefficient that is nothing but rounding.
const leastTorque = 1e-12

// point does the books at a rotor speed in rad/s.
func (t *train) point(windMS, v, w float64) Point {
	m := &t.machine
	p := Point{WindMS: windMS, ThroughRotorMS: v, RotorRPM: RPM(w), TipSpeedMS: w * m.RotorRadiusM}
	if v > 0 {
		p.Lambda = p.TipSpeedMS / v
	}
	p.TorqueNm = t.halfR * v * v * m.Aero.Cq(p.Lambda)
	if w > 0 && p.TorqueNm <= 0 && p.TorqueNm >= -leastTorque*t.halfR*v*v {
		p.TorqueNm = 0 // a free rotor's; what is asked of it is never below nothing
	}
	p.ThrustN = t.half * v * v * m.Aero.Ct(p.Lambda)
	p.State = Standing
	if v == 0 && windMS > 0 {
		p.State = Furled
	}
	if !(w > 0) {
		return p
	}
	wg := w * m.Gear.GeneratorPerRotor
	emf := t.emfPerRotor * w
	i := t.load.current(t, w)
	s := t.load.split(t, emf, i)
	p.GeneratorRPM = RPM(wg)
	p.GeneratorTorqueNm = m.Generator.ConstantVsPerRad * i
	p.CurrentA = i
	p.AeroW = p.TorqueNm * w
	p.Cp = p.AeroW / (t.half * v * v * v)
	idle := m.Generator.IronTorqueNm + m.Generator.EddyNmPerRadS*wg
	p.GearLossW = m.Gear.DragNm*w + wg*(p.GeneratorTorqueNm+idle)*(1/m.Gear.Efficiency-1)
	p.IronLossW = idle * wg
	p.CopperLossW = i * i * t.windingOhm
	p.DiodeLossW, p.WireLossW, p.LoadLossW, p.DeliveredW = s.diode, s.wire, s.load, s.delivered
	p.TerminalW = s.wire + s.load + s.delivered
	p.VoltsV = t.volts(emf, i)
	p.ElectricalCp = p.DeliveredW / (t.half * windMS * windMS * windMS)
	p.State = t.state(&p)
	return p
}

// volts is the voltage behind the rectifier.
func (t *train) volts(emf, amps float64) float64 {
	drop := 0.0
	switch l := t.machine.Load.(type) {
	case Battery:
		drop = l.DiodeDropV
	case Resistor:
		drop = l.DiodeDropV
	case Tracking:
		drop = l.DiodeDropV
	case ShortCircuit:
		return 0
	}
	return max(0, emf-amps*t.windingOhm-drop)
}

func (t *train) state(p *Point) State {
	rated := t.machine.Generator.RatedCurrentA
	switch {
	case rated > 0 && p.CurrentA > rated:
		return OverCurrent
	case p.ThroughRotorMS < p.WindMS:
		return Furled
	case p.Lambda < t.facts.best && p.Cp < t.facts.bestCp/2:
		return Stalled
	case !(p.CurrentA > 0):
		return Idling
	}
	if _, brake := t.load.(ShortCircuit); brake {
		return Braked
	}
	return Producing
}

// Operate is the steady state of a machine in a wind in m/s and air of a density in kg/m³, come to from standstill. Several
// speeds can be steady; a rotor from rest speeds up to the first of them, which is stable, and stays there though a faster
// one may bring more: see OperateRunning. A rotor whose torque at rest is not above drag and cogging stands. Equilibria closer
// together than 1/128 of the runaway speed may be passed over. NaN wind gives NaN speeds and powers. The machine must be one that
// Validate accepts and the density above 0; Operate panics without rotor or load. For many winds, Curve is faster.
func (m Machine) Operate(windMS, rho float64) Point { return m.operate(windMS, rho, fromRest) }

// OperateRunning is Operate for a rotor that already turns fast: the steady state it comes down to, as when a wind falls. It
// never lies below that of Operate. Where the two differ, a start waits for a gust.
func (m Machine) OperateRunning(windMS, rho float64) Point { return m.operate(windMS, rho, fromAbove) }

func (m Machine) operate(windMS, rho float64, from history) Point {
	if m.Aero == nil || m.Load == nil {
		panic("drive: a machine without rotor or load")
	}
	t := prepare(m, study(m.Aero), rho)
	return t.at(windMS, t.through(windMS), from)
}

// TorqueNm is the wind's torque on the rotor in N·m at any wind in m/s above 0, rotor speed in turns a minute and air density in
// kg/m³, the rotor facing the wind. Where it crosses AskedTorqueNm the machine is steady.
func (m Machine) TorqueNm(windMS, rotorRPM, rho float64) float64 {
	r := m.RotorRadiusM
	return 0.5 * rho * math.Pi * r * r * r * windMS * windMS * m.Aero.Cq(RadPerS(rotorRPM)*r/windMS)
}

// AskedTorqueNm is the torque in N·m that gear, iron and load ask of a rotor turning at a speed in turns a minute; at 0 what they ask
// before it starts, cogging included. The air's density matters to a Tracking load alone.
func (m Machine) AskedTorqueNm(rotorRPM, rho float64) float64 {
	furlless := m
	furlless.Furling = Furling{}
	t := prepare(furlless, study(m.Aero), rho)
	if rotorRPM == 0 {
		return t.breakaway
	}
	return t.asked(RadPerS(rotorRPM))
}

// ChargingRPM is the rotor speed in turns a minute above which current flows into the load; 0 for a load that takes any
// voltage, +Inf for none.
func (m Machine) ChargingRPM() float64 {
	volts := 0.0
	switch l := m.Load.(type) {
	case Battery:
		volts = l.VoltsV + l.DiodeDropV
	case Resistor:
		volts = l.DiodeDropV
	case Tracking:
		volts = l.StartV + l.DiodeDropV
	case NoLoad:
		return math.Inf(1)
	}
	return RPM(volts / (m.Generator.ConstantVsPerRad * m.Gear.GeneratorPerRotor))
}

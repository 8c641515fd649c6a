package drive

import (
	"errors"
	"fmt"
	"math"

	"mastworth/resource"
	"mastworth/yield"
)

const (
	// OverspeedMS is the wind for which overspeed is stated, m/s.
	OverspeedMS  = 25
	searchTopMS  = 60   // winds are searched up to here
	searchStepMS = 0.25 // in steps that a start or cut-in cannot hide between
)

// Overspeed is how fast the machine turns in a storm of OverspeedMS, and on the way there.
type Overspeed struct {
	OnLoad Point // in OverspeedMS with the load, from standstill
	// LoadLost is the fastest with the line cut of all winds up to OverspeedMS; its WindMS says in which. Furling by wind still
	// acts, a limit by power does not. A free rotor turns the faster the more wind goes through it, and a furling one feels
	// most of it where furling begins: a rotor that stands edgewise in the storm was fastest before.
	LoadLost Point
	Runaway  Point // in OverspeedMS, the line cut and furling stuck
}

// Result is a design's power curve and what goes with it.
type Result struct {
	Points      []Point      // one a wind, in the order given
	Curve       *yield.Curve // power at the machine's terminals, before the wire
	Delivered   *yield.Curve // power into the load, wire and converter taken off; take no wiring loss off this one again
	StartWindMS float64      // from standstill the rotor starts above this wind, m/s; NaN: it does not start by itself
	CutInMS     float64      // coming from standstill, current flows from this wind on, m/s; NaN: never up to 60 m/s
	StopMS      float64      // once running, current flows down to this wind, m/s; NaN: never
	BestLambda  float64      // tip-speed ratio at which the rotor takes most
	BestCp      float64      // and the power coefficient there
	FurlMS      float64      // wind at which furling begins, m/s; +Inf: never
	BrakeFailMS float64      // wind from which a ShortCircuit closed at standstill holds no more, m/s; NaN: not up to 60 m/s, or no brake
	Overspeed   Overspeed
	Warnings    []resource.Warning
}

// DefaultWinds is 0.5 to 30 m/s in steps of 0.5.
func DefaultWinds() []float64 {
	winds := make([]float64, 60)
	for i := range winds {
		winds[i] = float64(i+1) / 2
	}
	return winds
}

// Curve works the machine out at rising winds in m/s, in air of a density in kg/m³. The error is a *Fault for a design that
// Validate refuses or whose furling by power begins where it should be complete, and a plain one for winds that do not rise,
// fewer than two or more than yield.MaxCurvePoints, or a density out of the range 0.3 to 2.
func (m Machine) Curve(rho float64, winds []float64) (Result, error) {
	if f := m.check(); f != nil {
		return Result{}, f
	}
	facts := study(m.Aero)
	if f := checkRotor(facts); f != nil {
		return Result{}, f
	}
	if err := checkWinds(rho, winds); err != nil {
		return Result{}, err
	}
	t := prepare(m, facts, rho)
	if f := m.Furling.CheckStart(t.furlStart); f != nil {
		return Result{}, f
	}
	r := Result{Points: t.points(winds), BestLambda: facts.best, BestCp: facts.bestCp, FurlMS: t.furlStart}
	var err error
	if r.Curve, err = curveOf(r.Points, rho, func(p *Point) float64 { return p.TerminalW }); err != nil {
		return Result{}, err
	}
	if r.Delivered, err = curveOf(r.Points, rho, func(p *Point) float64 { return p.DeliveredW }); err != nil {
		return Result{}, err
	}
	r.StartWindMS = t.startWind()
	r.CutInMS, r.StopMS = t.chargingFrom(fromRest), t.chargingFrom(fromAbove)
	r.BrakeFailMS = t.brakeFails(fromRest)
	r.Overspeed = t.overspeed()
	r.Warnings = t.cautions(&r)
	return r, nil
}

func checkWinds(rho float64, winds []float64) error {
	if !(rho >= 0.3 && rho <= 2) {
		return fmt.Errorf("an air density of %g kg/m³ is not that of air on Earth; give one from 0.3 to 2", rho)
	}
	if n := len(winds); n < 2 || n > yield.MaxCurvePoints {
		return fmt.Errorf("a power curve needs from 2 to %d wind speeds, not %d", yield.MaxCurvePoints, n)
	}
	for i, v := range winds {
		if !(v >= 0 && v <= 100) {
			return fmt.Errorf("wind speed %d must lie within 0 and 100 m/s, not %g", i+1, v)
		}
		if i > 0 && v <= winds[i-1] {
			return errors.New("the wind speeds of a power curve must rise, each given once")
		}
	}
	return nil
}

func (t *train) points(winds []float64) []Point {
	out := make([]Point, len(winds))
	for i, v := range winds {
		out[i] = t.at(v, t.through(v), fromRest)
	}
	return out
}

func curveOf(points []Point, rho float64, power func(*Point) float64) (*yield.Curve, error) {
	out := make([]yield.Point, len(points))
	for i := range points {
		out[i] = yield.Point{SpeedMS: points[i].WindMS, PowerW: max(0, power(&points[i]))}
	}
	c, err := yield.NewCurve(out, rho)
	if err != nil {
		return nil, fmt.Errorf("making the design's curve: %w", err)
	}
	return c, nil
}

// startWind is where the rotor's torque at rest equals drag and cogging.
func (t *train) startWind() float64 {
	cq := t.facts.cq[0]
	if !(cq > 0) {
		return math.NaN()
	}
	v := math.Sqrt(t.breakaway / (t.halfR * cq))
	if v >= t.furlStart { // the component through the rotor rises no further
		return math.NaN()
	}
	return v
}

// chargingFrom is the lowest wind with current.
func (t *train) chargingFrom(from history) float64 {
	// A rotor never turns faster than at its runaway ratio, so that no lower wind needs a look.
	low := max(searchStepMS/2, RadPerS(t.machine.ChargingRPM())*t.machine.RotorRadiusM/t.facts.runaway)
	if from == fromRest {
		start := t.startWind()
		if math.IsNaN(start) {
			return start
		}
		low = max(low, start)
	}
	charging := func(v float64) bool {
		through := t.through(v)
		return t.load.current(t, t.speed(through, from)) > 0
	}
	for v := low; v <= searchTopMS; v += searchStepMS {
		if charging(v) {
			return lowest(charging, max(0, v-searchStepMS), v)
		}
	}
	return math.NaN()
}

// overspeed works out the three points.
func (t *train) overspeed() Overspeed {
	lost := *t
	lost.load, lost.furlStart = NoLoad{}, t.machine.Furling.start()
	worst := t.machine.Furling.FreeRunMS()
	return Overspeed{
		OnLoad:   t.at(OverspeedMS, t.through(OverspeedMS), fromRest),
		LoadLost: lost.at(worst, lost.through(worst), fromAbove),
		Runaway:  lost.at(OverspeedMS, OverspeedMS, fromAbove),
	}
}

package machine

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"mastworth/resource"
	"mastworth/yield"
	"mastworth/yield/drive"
)

// result works the machine out with the rotor that each wind makes.
func (s *solver) result() (drive.Result, error) {
	r, err := s.machine.Curve(s.rho, drive.DefaultWinds())
	if err != nil {
		return r, err
	}
	warnings := r.Warnings
	if len(s.tables.winds) > 1 {
		if warnings, err = s.follow(&r); err != nil {
			return r, err
		}
	}
	s.warnings, r.Warnings = warnings, nil
	return r, nil
}

// follow puts the rotor of each wind in the place of that in StatedWindMS, and gives the machine's warnings.
func (s *solver) follow(r *drive.Result) ([]resource.Warning, error) {
	middle := r.Warnings
	var starting drive.Result
	var err error
	settle := func(value *float64, read func(*drive.Result) float64) {
		if err == nil {
			starting, err = s.settle(value, read)
		}
	}
	if s.machine.Furling.PowerLimitW > 0 {
		settle(&r.FurlMS, func(r *drive.Result) float64 { return r.FurlMS })
	}
	settle(&r.StartWindMS, func(r *drive.Result) float64 { return r.StartWindMS })
	settle(&r.StopMS, func(r *drive.Result) float64 { return r.StopMS })
	settle(&r.BrakeFailMS, func(r *drive.Result) float64 { return r.BrakeFailMS })
	braked := starting
	// The last leaves the machine that the warnings of starting come from.
	settle(&r.CutInMS, func(r *drive.Result) float64 { return r.CutInMS })
	if err != nil {
		return nil, err
	}
	if fault := s.machine.Furling.CheckStart(r.FurlMS); fault != nil {
		return nil, fault
	}
	s.points(r)
	s.overspeed(r)
	if err := curves(r, s.rho); err != nil {
		return nil, err
	}
	storm, err := s.curveIn(drive.OverspeedMS, anyWinds)
	if err != nil {
		return nil, err
	}
	peak, err := s.curveIn(s.peakWind(r), drive.DefaultWinds())
	if err != nil {
		return nil, err
	}
	return sorted(
		told{starting.Warnings, startCodes}, told{braked.Warnings, brakeCodes}, told{middle, nil}, told{peak.Warnings, peakCodes},
		told{r.StormWarnings(s.machine.Load), stormCodes}, told{storm.Warnings, catchCodes}), nil
}

// peakWind is the wind through the rotor where the terminals give most.
func (s *solver) peakWind(r *drive.Result) float64 {
	best := 0
	for i := range r.Points {
		if r.Points[i].TerminalW > r.Points[best].TerminalW {
			best = i
		}
	}
	return r.Points[best].ThroughRotorMS
}

// anyWinds stand for a curve of which only what does not hang on its winds is read.
var anyWinds = []float64{StatedWindMS, drive.OverspeedMS}

// curveIn is the machine with the rotor of one wind throughout.
func (s *solver) curveIn(windMS float64, winds []float64) (drive.Result, error) {
	m := s.machine
	m.Aero = s.tables.aero(windMS)
	r, err := m.Curve(s.rho, winds)
	var fault *drive.Fault
	if errors.As(err, &fault) {
		// A rotor so poor that it never drives itself in one wind, but does in that which was accepted.
		return s.machine.Curve(s.rho, winds)
	}
	return r, err
}

// settle finds the wind that comes out of the rotor at that same wind, and gives the machine there. The coefficients follow
// the wind so slowly that each round brings a digit or more. A wind that is not known or never comes stays as it is.
func (s *solver) settle(value *float64, read func(*drive.Result) float64) (r drive.Result, err error) {
	const (
		rounds    = 8
		tolerance = 1e-4
	)
	at := *value
	if !(at > 0) || math.IsInf(at, 1) {
		return s.curveIn(StatedWindMS, anyWinds)
	}
	for range rounds {
		if r, err = s.curveIn(at, anyWinds); err != nil {
			return r, err
		}
		next := read(&r)
		*value = next
		if !(next > 0) || math.IsInf(next, 1) || math.Abs(next-at) <= tolerance*at {
			break
		}
		at = next
	}
	return r, nil
}

// points solves each wind with its own rotor, that of the wind which goes through it.
func (s *solver) points(r *drive.Result) {
	m := s.machine
	m.Furling = settled(m.Furling, r.FurlMS)
	for i := range r.Points {
		v := r.Points[i].WindMS
		m.Aero = s.tables.aero(through(m.Furling, v))
		r.Points[i] = m.Operate(v, s.rho)
	}
	m.Aero = s.tables.aero(through(m.Furling, drive.OverspeedMS))
	r.Overspeed.OnLoad = m.Operate(drive.OverspeedMS, s.rho)
}

// overspeed solves the machine with its line cut.
func (s *solver) overspeed(r *drive.Result) {
	m := s.machine
	m.Load = drive.NoLoad{}
	m.Furling.PowerLimitW = 0
	worst := m.Furling.FreeRunMS()
	m.Aero = s.tables.aero(through(m.Furling, worst))
	r.Overspeed.LoadLost = m.OperateRunning(worst, s.rho)
	m.Furling = drive.Furling{}
	m.Aero = s.tables.aero(drive.OverspeedMS)
	r.Overspeed.Runaway = m.OperateRunning(drive.OverspeedMS, s.rho)
	drop := diodeDrop(s.machine.Load)
	for _, p := range []*drive.Point{&r.Overspeed.LoadLost, &r.Overspeed.Runaway} {
		p.VoltsV = max(0, p.VoltsV-drop) // the rectifier stays, only the line behind it is cut
	}
}

func diodeDrop(load drive.Load) float64 {
	switch l := load.(type) {
	case drive.Battery:
		return l.DiodeDropV
	case drive.Resistor:
		return l.DiodeDropV
	case drive.Tracking:
		return l.DiodeDropV
	}
	return 0
}

// settled is furling with its limit by power turned into the wind at which it acts, +Inf for never.
func settled(f drive.Furling, startMS float64) drive.Furling {
	if math.IsInf(startMS, 1) {
		return drive.Furling{}
	}
	return drive.Furling{StartMS: startMS, FullMS: f.FullMS}
}

// through is the wind component through the rotor, as drive.Furling states it for furling by wind.
func through(f drive.Furling, windMS float64) float64 {
	switch {
	case f.StartMS == 0 || windMS <= f.StartMS:
		return windMS
	case f.FullMS == 0:
		return f.StartMS
	case windMS >= f.FullMS:
		return 0
	}
	return f.StartMS * (f.FullMS - windMS) / (f.FullMS - f.StartMS)
}

// curves makes the two curves of the points.
func curves(r *drive.Result, rho float64) error {
	terminals, delivered := make([]yield.Point, len(r.Points)), make([]yield.Point, len(r.Points))
	for i := range r.Points {
		p := &r.Points[i]
		terminals[i] = yield.Point{SpeedMS: p.WindMS, PowerW: max(0, p.TerminalW)}
		delivered[i] = yield.Point{SpeedMS: p.WindMS, PowerW: max(0, p.DeliveredW)}
	}
	var err error
	if r.Curve, err = yield.NewCurve(terminals, rho); err != nil {
		return fmt.Errorf("making the design's curve at the terminals: %w", err)
	}
	if r.Delivered, err = yield.NewCurve(delivered, rho); err != nil {
		return fmt.Errorf("making the design's curve into the load: %w", err)
	}
	return nil
}

// The warnings of drive that speak of starting, of a closed brake, of the highest power, of a storm, and of a load that is put back
// in one; all others speak of winds between.
var (
	startCodes = []string{"does_not_start", "never_charges", "start_waits_for_gust", "gear_slows_generator"}
	brakeCodes = []string{"brake", "brake_without_inductance"}
	peakCodes  = []string{"over_current", "wire_loss", "converter_limit"}
	stormCodes = []string{"overspeed", "tips_beyond_method", "open_voltage"}
	catchCodes = []string{"load_does_not_catch"}
)

// told are warnings and the codes that count of them; without codes those that no other list has.
type told struct {
	warnings []resource.Warning
	codes    []string
}

// sorted takes each warning from the rotor of the wind it speaks of, so that its numbers are those of the points.
func sorted(all ...told) []resource.Warning {
	var out []resource.Warning
	for _, from := range all {
		for _, w := range from.warnings {
			elsewhere := slices.ContainsFunc(all, func(t told) bool { return slices.Contains(t.codes, w.Code) })
			if slices.Contains(from.codes, w.Code) || from.codes == nil && !elsewhere {
				out = append(out, w)
			}
		}
	}
	return out
}

package assess

import (
	"errors"
	"fmt"
	"math"

	"mastworth/resource"
	"mastworth/yield"
	"mastworth/yield/bins"
	"mastworth/yield/drive"
	"mastworth/yield/machine"
)

// Design is a machine that is not built yet, or not measured: its power curve is worked out.
type Design struct {
	machine.Design
	GearReading string       // how the gear was understood, in words
	Sweep       *drive.Sweep // what else to try at the best height; nil: nothing
}

// TestLog is a machine's own log, from which its curve is made by the method of bins.
type TestLog struct {
	Record  *Record
	Options bins.Options
}

// Machine is what was found on the way to the curve.
type Machine struct {
	Curve   []yield.Point
	Design  *machine.Solved
	Reading string // of the design's gear
	// GeneratorPerRotor is how often the generator turns for one turn of the design's rotor.
	GeneratorPerRotor float64
	Measured          *bins.Result
	Matching          []drive.Candidate
}

// curveOf works out the turbine's curve where it is not given, and puts it into the request. What a design's curve has
// already paid for, wire and converter, is no loss any more.
func curveOf(r *Request) (*Machine, []Warning, error) {
	switch t := &r.Turbine; {
	case t.Design != nil:
		return designed(r)
	case t.TestLog != nil:
		return measured(r)
	default:
		return nil, nil, nil
	}
}

func designed(r *Request) (*Machine, []Warning, error) {
	t := &r.Turbine
	solved, err := machine.Solve(t.Design.Design, DefaultCurveDensity)
	if err != nil {
		return nil, nil, designError(t.Design, err)
	}
	t.CurvePoints, t.CurveDensity = solved.CurvePoints(), DefaultCurveDensity
	t.RotorDiameterM = t.Design.Rotor.DiameterM
	fill(&t.RatedPowerW, solved.RatedPowerW)
	if solved.WiringIncluded {
		fill(&r.Losses.Wiring, 0)
	}
	if solved.ConversionIncluded {
		fill(&r.Losses.Conversion, 0)
	}
	return &Machine{Curve: t.CurvePoints, Design: solved, Reading: t.Design.GearReading,
		GeneratorPerRotor: t.Design.Gear.GeneratorPerRotor}, solved.Warnings, nil
}

// designError places what is wrong with a design.
func designError(d *Design, err error) error {
	var f faults
	for _, fault := range d.Faults() {
		f.add("turbine.design."+fault.Field, "%s", fault.Reason)
	}
	if f.err() == nil {
		return invalid("turbine.design", "%s", err)
	}
	return f.err()
}

func measured(r *Request) (*Machine, []Warning, error) {
	const at = "turbine.test_log"
	t := &r.Turbine
	o := t.TestLog.Options
	o.RotorDiameterM, o.Regulation = t.RotorDiameterM, t.Regulation
	log, err := LogOf(t.TestLog.Record, &o)
	if err != nil {
		return nil, nil, err
	}
	result, err := bins.Measure(log, o)
	if err != nil {
		var fault *bins.Fault
		if errors.As(err, &fault) {
			return nil, nil, invalid(testLogPlace(fault.Field), "%s", fault.Reason)
		}
		return nil, nil, invalid(at, "%s", err)
	}
	warnings := result.Warnings
	t.CurvePoints, t.CurveDensity = result.Curve, result.ReferenceDensity
	if len(t.CurvePoints) < 2 {
		t.CurvePoints = result.Sketch
		warnings = append(warnings, Warning{Code: "curve_is_a_sketch", Detail: fmt.Sprintf("the log is too short for a curve that deserves the "+
			"name: what it holds so far, %.1f hours, is used as a sketch; go on measuring", result.TotalHours)})
	}
	if len(t.CurvePoints) < 2 {
		return nil, nil, invalid(at, "the log holds too little for even a sketch of a curve: %s", result.Missing)
	}
	return &Machine{Curve: t.CurvePoints, Measured: &result}, warnings, nil
}

// testLogPlace is where a field of the log's options is in a request; those of the log itself are the record's.
func testLogPlace(field string) string {
	const at = "turbine.test_log"
	switch field {
	case "rotor_diameter_m", "regulation":
		return "turbine." + field
	case "averaging_s", "leave_out", "sensor_height_m", "hub_height_m", "shear_exponent", "elevation_m", "power_shift_s", "speed_uncertainty",
		"power_uncertainty", "generator":
		return at + "." + field
	case "cut_out_ms":
		return at + ".cut_out_m_s"
	}
	return at + ".record"
}

// LogOf takes a machine's log from a record: its wind nearest the hub, and its power, or volts and amps, or turns. The sensor's
// height is the record's where the options do not say.
func LogOf(rec *Record, o *bins.Options) (bins.Log, error) {
	s := rec.Series
	speed := s.Find(resource.Speed, nanIfZero(o.HubHeightM))
	if speed < 0 {
		return bins.Log{}, invalid("turbine.test_log.record", "the log %q has no wind speed", rec.Ref)
	}
	h := s.Channels[speed].HeightM
	if h != h {
		h = rec.HeightM
	}
	if o.SensorHeightM == 0 && h > 0 {
		o.SensorHeightM = h
	}
	of := func(q resource.Quantity) []float64 {
		i := s.Find(q, h)
		if i < 0 {
			return nil
		}
		return usableValues(&s.Channels[i])
	}
	return bins.Log{
		Times: s.Times, StepS: s.StepS, SpeedMS: usableValues(&s.Channels[speed]), PowerW: of(resource.Power), VoltsV: of(resource.Voltage),
		AmpsA: of(resource.Current), RPM: of(resource.ShaftSpeed), TemperatureC: of(resource.Temperature), PressurePa: of(resource.Pressure),
		HumidityShare: of(resource.Humidity), DirectionDeg: of(resource.Direction),
	}, nil
}

func nanIfZero(v float64) float64 {
	if v == 0 {
		return nan
	}
	return v
}

// usableValues are a channel's values with those that are flagged missing.
func usableValues(c *resource.Channel) []float64 {
	if c.Flags == nil {
		return c.Values
	}
	out := make([]float64, len(c.Values))
	for i, v := range c.Values {
		out[i] = v
		if c.Flags[i] != 0 {
			out[i] = nan
		}
	}
	return out
}

// tryOthers tries the design's sweep in the wind at the best height, or the lowest where none is best.
func (a *assessment) tryOthers(heights []Height) error {
	d := a.r.Turbine.Design
	if d == nil || d.Sweep == nil {
		return nil
	}
	at := &a.hubs[max(best(heights), 0)]
	sweep := *d.Sweep
	sweep.AirDensityKgM3 = at.wind.AirDensityKgM3
	found, err := machine.Match(d.Design, sweep, func(c *yield.Curve) float64 {
		watts, _ := at.power.meanPower(c)
		return watts
	}, a.r.Progress)
	if err != nil {
		return invalid("turbine.design.sweep", "%s", err)
	}
	a.machine.Matching = found
	return nil
}

// provenance says where the curve comes from; nothing where it was given.
func (m *Machine) provenance() []Provenance {
	switch {
	case m == nil:
		return nil
	case m.Design != nil:
		return []Provenance{{"turbine.design", "blade elements with losses at tip and hub and high induction; sections past the stall; generator, gear, " +
			"load and wire in balance at each wind", "Glauert 1935; Buhl, NREL/TP-500-36834; Viterna & Corrigan 1982; textbook DC machine"}}
	default:
		return []Provenance{{"turbine.test_log", fmt.Sprintf("method of bins, %d s averages, density normalised", m.Measured.AveragingS),
			"IEC 61400-12-1, its annex for small machines (from memory)"}}
	}
}

// areaOf is the swept area, m².
func areaOf(diameterM float64) float64 { return math.Pi / 4 * diameterM * diameterM }

// CurveOf works out a turbine's curve by itself, without a site: the turbine with every default filled in, what was found on
// the way (nil where the curve is given), and what the curve leans on that is weak. A log it names must be loaded. Bad input
// is an *InvalidError whose places begin with "turbine".
func CurveOf(t Turbine) (Turbine, *Machine, []Warning, error) {
	r := Request{Turbine: t}
	made, doubts, err := curveOf(&r)
	if err != nil {
		return t, nil, nil, err
	}
	var c completion
	completeTurbine(&r, &c)
	var f faults
	validateTurbine(&r, &f)
	if err := f.err(); err != nil {
		return t, nil, nil, err
	}
	a := assessment{r: r, warnings: doubts}
	if a.curve, err = yield.NewCurve(r.Turbine.CurvePoints, r.Turbine.CurveDensity); err != nil {
		return t, nil, nil, fmt.Errorf("assess: a validated curve was refused: %w", err)
	}
	a.warnTurbine()
	return r.Turbine, made, a.warnings, nil
}

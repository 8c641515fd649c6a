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
	// OverRatingShare is the share of a design's energy in the site's wind, at the best height, that is made at more than the
	// generator's rated current; NaN where no rating, or no site, is known.
	OverRatingShare float64
	Measured        *bins.Result
	// Weak is why no verdict may rest on the curve; nil where it may.
	Weak     *Reason
	Matching []drive.Candidate
	sources  []Provenance
}

// curveOf works out the turbine's curve where it is not given, and puts it into the request. What a design's curve has
// already paid for, wire and converter, is no loss any more. Without a site a design stands for DefaultCurveDensity.
func curveOf(r *Request, sited bool) (*Machine, []Warning, error) {
	switch t := &r.Turbine; {
	case t.Design != nil:
		return designed(r, sited)
	case t.TestLog != nil:
		return measured(r, sited)
	case t.Kept != nil:
		return nil, t.Kept.told(), nil
	default:
		return nil, nil, nil
	}
}

func designed(r *Request, sited bool) (*Machine, []Warning, error) {
	t := &r.Turbine
	rho, air := DefaultCurveDensity, fmt.Sprintf("air of %g kg/m³", DefaultCurveDensity)
	if sited {
		rho, air = r.designAir()
	}
	solved, err := machine.Solve(t.Design.Design, rho)
	if err != nil {
		return nil, nil, designError(t.Design, err)
	}
	m := &Machine{Curve: solved.CurvePoints(), Design: solved, Reading: t.Design.GearReading, GeneratorPerRotor: t.Design.Gear.GeneratorPerRotor,
		OverRatingShare: nan}
	m.sources = append(m.sources, Provenance{"turbine.design", "blade elements with losses at tip and hub and high induction; sections past the stall; " +
		"generator, gear, load and wire in balance at each wind, in " + air,
		"Glauert 1935; Buhl, NREL/TP-500-36834; Viterna & Corrigan 1982; textbook DC machine"})
	t.CurvePoints, t.CurveDensity = m.Curve, rho
	t.RotorDiameterM = t.Design.Rotor.DiameterM
	m.rate(t, solved)
	warnings := solved.Warnings
	if solved.WiringIncluded {
		warnings = m.paid(&r.Losses.Wiring, "wiring", "wire", warnings)
	}
	if solved.ConversionIncluded {
		warnings = m.paid(&r.Losses.Conversion, "conversion", "converter", warnings)
	}
	return m, append(warnings[:len(warnings):len(warnings)], t.Kept.told()...), nil
}

// rate gives a design without a rating the one it suggests, or the most it delivers where that is nothing.
func (m *Machine) rate(t *Turbine, solved *machine.Solved) {
	if t.RatedPowerW == t.RatedPowerW || !(solved.RatedPowerW > 0) {
		return // what is left open becomes the curve's highest power
	}
	t.RatedPowerW = solved.RatedPowerW
	t.ratedBy = fmt.Sprintf("it is the most at the terminals in winds up to %d m/s and within the rated current", machine.RatingWindMS)
	m.sources = append(m.sources, Provenance{"turbine.rated_power_w", "default", "the design's: " + t.ratedBy})
}

// paid leaves a loss out that the design's curve has taken already, or warns of one that is given beside it.
func (m *Machine) paid(loss *float64, name, part string, warnings []Warning) []Warning {
	if fill(loss, 0) {
		m.sources = append(m.sources, Provenance{"losses." + name, fmt.Sprintf("0: the design's %s has it", part), "turbine.design"})
		return warnings
	}
	if *loss > 0 {
		// A copy, so that the design's own list stays as it is.
		return append(warnings[:len(warnings):len(warnings)], Warning{Code: name + "_twice", Detail: fmt.Sprintf("losses.%s takes %.3g %% off a curve "+
			"from which the design's own %s has taken its loss already: leave losses.%s out, or set it to what comes after the %s", name, 100**loss, part,
			name, part)})
	}
	return warnings
}

// designAir is the air a design is worked out in, kg/m³ and in words: the standard atmosphere at the first tower's hub. What other
// hubs and a record's own temperature differ from it is small, and the curve is scaled by it. Numbers that validate will
// refuse make sea level.
func (r *Request) designAir() (float64, string) {
	elevation := r.elevation()
	if elevation != elevation {
		elevation = 0
	}
	hubM := 0.0
	switch {
	case len(r.Towers) > 0:
		hubM = r.Towers[0].HubHeightM
	case r.TowerRule != nil:
		hubM = r.TowerRule.FromM
	}
	if !(elevation >= lowestElevationM && elevation <= highestElevationM && hubM >= 0 && hubM <= MaxHubHeightM) {
		return DefaultCurveDensity, fmt.Sprintf("air of %g kg/m³", DefaultCurveDensity)
	}
	_, _, rho := resource.StandardAir(elevation + hubM)
	rho = max(rho, leastCurveDensity)
	return rho, fmt.Sprintf("air of %.4g kg/m³, the standard atmosphere at the first tower's hub", rho)
}

// elevation is the site's, or that of the wind's record; NaN where neither is known.
func (r *Request) elevation() float64 {
	if e := r.Site.ElevationM; e == e {
		return e
	}
	return recordElevation(r.Wind.Record)
}

// standIn puts a curve in the place of one that is still to be worked out, so that the rest of a request can be checked.
func (t *Turbine) standIn() {
	const wattsM2 = 100
	t.CurvePoints = []yield.Point{{SpeedMS: 3}, {SpeedMS: 10, PowerW: areaOf(t.RotorDiameterM) * wattsM2}}
	t.curvePending = true
}

// designError places what is wrong with a design.
func designError(d *Design, err error) error {
	const at = "turbine.design"
	var f faults
	for _, fault := range d.Faults() {
		f.add(at+"."+fault.Field, "%s", fault.Reason)
	}
	if len(f) > 0 {
		return f.err()
	}
	var fault *machine.Fault
	if errors.As(err, &fault) {
		return invalid(at+"."+fault.Field, "%s", fault.Reason)
	}
	return invalid(at, "%s", err)
}

// Provenance says where the curve comes from; nothing where it was given.
func (m *Machine) Provenance() []Provenance {
	if m == nil {
		return nil
	}
	return m.sources
}

// areaOf is the swept area, m².
func areaOf(diameterM float64) float64 { return math.Pi / 4 * diameterM * diameterM }

// CurveOf works out a turbine's curve by itself, without a site: the turbine with every default filled in, what was found on
// the way (nil where the curve is given), and what the curve leans on that is weak. A log it names must be loaded. Bad input
// is an *InvalidError whose places begin with "turbine".
func CurveOf(t Turbine) (Turbine, *Machine, []Warning, error) {
	r := Request{Turbine: t}
	made, doubts, err := curveOf(&r, false)
	if err != nil {
		return t, nil, nil, err
	}
	var c completion
	completeTurbine(&r, &c)
	var f faults
	curve := validateTurbine(&r, &f)
	if err := f.err(); err != nil {
		return t, nil, nil, err
	}
	a := assessment{r: r, warnings: doubts, curve: curve}
	a.warnTurbine()
	return r.Turbine, made, a.warnings, nil
}

package machine

import (
	"fmt"

	"mastworth/resource"
	"mastworth/yield"
	"mastworth/yield/drive"
	"mastworth/yield/rotor"
)

// RatingWindMS is the wind in m/s whose power a small machine is labelled with (certification schemes for small machines).
const RatingWindMS = 11

// Solved is a design worked out. Everything is for one air density.
type Solved struct {
	// Result is the machine in drive.DefaultWinds, each wind with the rotor's coefficients at that wind; BestLambda and BestCp
	// are those in StatedWindMS. Its own Warnings are empty, for they stand below.
	Result drive.Result

	Characteristic     []Row   // the rotor from standstill to runaway, in StatedWindMS
	BestCp, BestLambda float64 // in StatedWindMS, as the two below
	RunawayLambda      float64 // tip-speed ratio of the free rotor
	HangLambda         float64 // tip-speed ratio to be passed by hand or gust, bearings apart; 0: none
	Solidity           float64 // share of the disc that the blades cover
	AspectRatio        float64 // of a blade, span over mean chord
	ChargingRPM        float64 // of the rotor, above which current flows; +Inf without load
	TorqueMap          []TorqueRow
	RatedPowerW        float64 // a suggestion: at the terminals in winds up to RatingWindMS and no more than the rated current
	WiringIncluded     bool    // whether CurvePoints has a wire's loss taken off
	ConversionIncluded bool    // whether CurvePoints has a converter's loss taken off
	AirDensityKgM3     float64
	Warnings           []resource.Warning // the rotor's, the machine's, and those of the two together
}

// Solve works a design out in air of a density in kg/m³, 0.3 to 2. An error for the design wraps its first fault, a *Fault;
// a rotor that never drives itself, or takes more than the Betz limit, is a fault at "rotor".
func Solve(d Design, rhoKgM3 float64) (*Solved, error) {
	s, err := newSolver(d, rhoKgM3)
	if err != nil {
		return nil, err
	}
	result, err := s.result()
	if err != nil {
		return nil, d.placed(err)
	}
	out := &Solved{
		Result: result, BestCp: result.BestCp, BestLambda: result.BestLambda,
		RunawayLambda: s.tables.stated().Runaway(), HangLambda: s.tables.stated().Hang(),
		Solidity: s.rotor.Solidity(), AspectRatio: s.rotor.AspectRatio(), ChargingRPM: s.machine.ChargingRPM(),
		Characteristic: characteristic(s.tables.stated()), TorqueMap: s.torqueMap(), AirDensityKgM3: rhoKgM3,
		WiringIncluded: d.Wire.LengthM > 0,
	}
	_, out.ConversionIncluded = d.Load.(drive.Tracking)
	out.RatedPowerW = ratedPower(&result, d.Generator.RatedCurrentA)
	out.Warnings = append(s.rotor.Warnings(StatedWindMS, out.BestLambda), s.warnings...)
	out.Warnings = append(out.Warnings, s.cautions(out)...)
	return out, nil
}

// CurvePoints is the curve an estimate uses: power into the load. Winding, rectifier and gear are always taken off, the wire
// where WiringIncluded says so, the converter where ConversionIncluded does; an estimate must not take these again. What comes
// after the load, such as an inverter behind a battery, is not taken off. See Result.Curve for the terminals.
func (s *Solved) CurvePoints() []yield.Point { return s.Result.Delivered.Points() }

// ratedPower is the terminals' power in RatingWindMS, or the highest in less wind if that is higher (a machine that furls
// before). No wind counts from which the current passes the rating, where one is given.
func ratedPower(r *drive.Result, ratedA float64) float64 {
	highest := 0.0
	for i := range r.Points {
		p := &r.Points[i]
		if p.WindMS > RatingWindMS || ratedA > 0 && p.CurrentA > ratedA {
			break
		}
		highest = max(highest, p.TerminalW)
	}
	return highest
}

// solver is a design made ready.
type solver struct {
	rho      float64
	rotor    *rotor.Prepared
	tables   *tables
	machine  drive.Machine // with the rotor in StatedWindMS
	warnings []resource.Warning
}

func newSolver(d Design, rho float64) (*solver, error) {
	if faults := d.Faults(); len(faults) > 0 {
		return nil, fmt.Errorf("machine design, %w", &faults[0])
	}
	if err := checkDensity(rho); err != nil {
		return nil, err
	}
	p, err := rotor.New(d.Rotor)
	if err != nil {
		return nil, fmt.Errorf("machine design: %w", err)
	}
	s := &solver{rho: rho, rotor: p, tables: tabulate(p, rho)}
	s.machine = d.machine(s.tables.stated())
	return s, nil
}

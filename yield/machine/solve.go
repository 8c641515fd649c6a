package machine

import (
	"fmt"
	"math"

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
	ratedCurrentA      float64            // 0: not known
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
		ratedCurrentA: d.Generator.RatedCurrentA, WiringIncluded: d.Wire.LengthM > 0,
	}
	_, out.ConversionIncluded = d.Load.(drive.Tracking)
	out.RatedPowerW = ratedPower(&result, d.Generator.RatedCurrentA)
	s.tellOverRating(out)
	out.Warnings = append(s.rotor.Warnings(StatedWindMS, out.BestLambda), s.warnings...)
	out.Warnings = append(out.Warnings, s.cautions(out)...)
	return out, nil
}

// CurvePoints is the curve an estimate uses: power into the load. Winding, rectifier and gear are always taken off, the wire
// where WiringIncluded says so, the converter where ConversionIncluded does; an estimate must not take these again. What comes
// after the load, such as an inverter behind a battery, is not taken off. See Result.Curve for the terminals.
func (s *Solved) CurvePoints() []yield.Point { return s.Result.Delivered.Points() }

// OverRatingShare is the share of the mean power into the load that is made at more than the generator's rated current, which its
// winding does not bear for long: 0 to 1; NaN where no rating is known or the wind brings nothing. meanPower is the mean power in W
// of a curve in the wind, as of Match.
func (s *Solved) OverRatingShare(meanPower func(*yield.Curve) float64) float64 {
	rated := s.ratedCurrentA
	whole := meanPower(s.Result.Delivered)
	if rated == 0 || !(whole > 0) {
		return math.NaN()
	}
	points := make([]yield.Point, len(s.Result.Points))
	for i := range points {
		p := &s.Result.Points[i]
		points[i].SpeedMS = p.WindMS
		if p.CurrentA > rated {
			points[i].PowerW = max(0, p.DeliveredW)
		}
	}
	over, err := yield.NewCurve(points, s.AirDensityKgM3)
	if err != nil {
		return math.NaN() // the winds are those of a curve already
	}
	return min(1, meanPower(over)/whole)
}

// labelMeanMS is the mean wind in m/s of a small machine's label (certification schemes for small machines).
const labelMeanMS = 5

// tellOverRating adds to the warning of too much current how much of a year's energy it concerns.
func (s *solver) tellOverRating(out *Solved) {
	share := out.OverRatingShare(func(c *yield.Curve) float64 {
		return c.MeanPowerWeibull(resource.Weibull{Shape: 2, Scale: labelMeanMS / math.Gamma(1.5)})
	})
	for i := range s.warnings {
		if w := &s.warnings[i]; w.Code == OverCurrentCode && share == share {
			w.Detail += fmt.Sprintf(" In a mean wind of %d m/s %.0f %% of the year's energy would be made above the rating.", labelMeanMS, 100*share)
		}
	}
}

// OverCurrentCode is the warning that a design passes its generator's rated current.
const OverCurrentCode = "over_current"

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

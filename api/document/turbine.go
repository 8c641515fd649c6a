package document

import (
	"errors"
	"fmt"

	"mastworth/openapi"
	"mastworth/yield"
	"mastworth/yield/assess"
	"mastworth/yield/bins"
	"mastworth/yield/drive"
	"mastworth/yield/machine"
	"mastworth/yield/rotor"
)

// Defaults of a design, as the contract has them.
const (
	defaultCamber       = 0.06
	defaultReynolds     = 2e5
	defaultRectifierV   = 1.4
	defaultConverter    = 0.92
	defaultWireC        = 20
	atTestLog           = "turbine.test_log.record"
	maxStations         = 100
	maxPolarPoints      = 500
	maxSweepEach        = 40
	maxSweepWhole       = 400
	maxLeaveOut         = 20
	maxGearWords        = 80
	maxGaugeCharacters  = 6
	leastPolarPoints    = 5
	leastBladeStations  = 2
	numbersOfPolarPoint = 3
)

// toTurbine takes a curve whose regulation is not given as one that holds its power by none of the usual means: its power
// follows the air's density, as with furling and stall. A kept curve must have been put in its place before.
func toTurbine(in *openapi.TurbineInput, refs *Refs) assess.Turbine {
	t := assess.Turbine{
		Name:           value(in.Name, ""),
		RotorDiameterM: value(in.RotorDiameterM, nan),
		RatedPowerW:    value(in.RatedPowerW, nan),
		Regulation:     yield.Unregulated,
		CurveDensity:   nan,
	}
	if in.Regulation != nil {
		t.Regulation, _ = yield.ParseRegulation(string(*in.Regulation)) // one of the contract's words, which it knows
	}
	switch {
	case in.PowerCurve != nil:
		t.CurveDensity = value(in.PowerCurve.AirDensityKgM3, nan)
		t.CurvePoints = make([]yield.Point, len(in.PowerCurve.Points))
		for i, p := range in.PowerCurve.Points {
			if len(p) == 2 { // checkShape has seen others
				t.CurvePoints[i] = yield.Point{SpeedMS: p[0], PowerW: p[1]}
			}
		}
	case in.Design != nil:
		d, _ := toDesign(in.Design) // checkShape has seen its faults
		t.Design, refs.design = d, in.Design
		if in.Regulation == nil && in.Design.Furling != nil {
			t.Regulation = yield.Furling
		}
	case in.TestLog != nil:
		refs.Log, refs.testLog = newRecordRef(atTestLog, &in.TestLog.Record), in.TestLog
		t.TestLog = &assess.TestLog{Record: &assess.Record{Ref: refs.Log.Name(), HeightM: refs.Log.HeightM}, Options: toBins(in.TestLog)}
	}
	return t
}

// toDesign is a design in the domain's terms, and what only this side of it can get wrong.
func toDesign(in *openapi.DesignInput) (*assess.Design, []FieldError) {
	var s shape
	const at = "turbine.design"
	d := assess.Design{Design: machine.Design{
		Rotor: s.rotor(at+".rotor", &in.Rotor), Generator: toGenerator(&in.Generator), Gear: drive.Direct(), Load: toLoad(&in.Load),
	}, GearReading: "no gear: the generator turns with the rotor"}
	if in.Gear != nil {
		d.Gear, d.GearReading = s.gear(at+".gear", in.Gear)
	}
	if w := in.Wire; w != nil {
		d.Wire = drive.Wire{LengthM: w.LengthM, AreaMM2: value(w.AreaMM2, 0), AWG: value(w.AWG, ""), TemperatureC: value(w.TemperatureC, defaultWireC)}
	}
	if f := in.Furling; f != nil {
		d.Furling = drive.Furling{StartMS: value(f.StartMS, 0), FullMS: value(f.FullMS, 0), PowerLimitW: value(f.PowerLimitW, 0)}
	}
	if in.Sweep != nil {
		d.Sweep = s.sweep(at+".sweep", in.Sweep)
	}
	return &d, s
}

func (s *shape) rotor(at string, in *openapi.RotorInput) rotor.Rotor {
	hub, pitch := value(in.HubDiameterM, 0), value(in.PitchDeg, 0)
	var r rotor.Rotor
	if b := in.Board; b != nil {
		r = rotor.Board(in.DiameterM, hub, in.Blades, b.RootChordM, value(b.TipChordM, b.RootChordM), pitch)
	} else {
		r = rotor.Rotor{DiameterM: in.DiameterM, HubDiameterM: hub, Blades: in.Blades, PitchDeg: pitch, Stations: make([]rotor.Station, len(in.Stations))}
		for i, st := range in.Stations {
			r.Stations[i] = rotor.Station{RadiusM: st.RadiusM, ChordM: st.ChordM, TwistDeg: value(st.TwistDeg, 0)}
		}
	}
	r.Section = s.section(at, in)
	return r
}

func (s *shape) section(at string, in *openapi.RotorInput) rotor.Section {
	if p := in.Polar; p != nil {
		return s.polar(at+".polar", p)
	}
	section := value(in.Section, openapi.RotorInputSectionFlatPlate)
	if in.CamberShare != nil && section != openapi.RotorInputSectionCurvedPlate {
		s.add(at+".camber_share", "is of a curved_plate alone; leave it out, or choose that section")
	}
	switch section {
	case openapi.RotorInputSectionCurvedPlate:
		plate, err := rotor.CurvedPlate(value(in.CamberShare, defaultCamber))
		if err != nil {
			s.add(at+".camber_share", "%s", err)
			return rotor.FlatPlate()
		}
		return plate
	case openapi.RotorInputSectionFlatUnderside:
		return rotor.FlatUnderside()
	case openapi.RotorInputSectionS809:
		return rotor.S809()
	}
	return rotor.FlatPlate()
}

func (s *shape) polar(at string, in *openapi.PolarInput) rotor.Section {
	points := make([]rotor.PolarPoint, 0, len(in.Points))
	for i, p := range in.Points {
		if len(p) != numbersOfPolarPoint {
			s.add(fmt.Sprintf("%s.points[%d]", at, i), "must be an angle of attack in degrees, a lift and a drag coefficient, not %d numbers", len(p))
			return rotor.FlatPlate()
		}
		points = append(points, rotor.PolarPoint{AlphaDeg: p[0], Cl: p[1], Cd: p[2]})
	}
	polar, err := rotor.NewPolar(points, value(in.Reynolds, defaultReynolds))
	if err == nil {
		return polar
	}
	place := at + ".points"
	reason := err.Error()
	var fault *rotor.PolarError
	if errors.As(err, &fault) {
		reason = fault.Reason
		if fault.Line > 0 {
			place = fmt.Sprintf("%s[%d]", place, fault.Line-1)
		}
	}
	s.add(place, "%s", reason)
	return rotor.FlatPlate()
}

func toGenerator(in *openapi.GeneratorInput) drive.Generator {
	g := drive.Generator{ResistanceOhm: in.ResistanceOhm, IronTorqueNm: value(in.IronTorqueNm, 0), EddyNmPerRadS: value(in.EddyNmPerRadS, 0),
		CoggingNm: value(in.CoggingNm, 0), RatedCurrentA: value(in.RatedCurrentA, 0)}
	if in.VoltsPerRPM != nil {
		g.ConstantVsPerRad = drive.FromVoltsPerRPM(*in.VoltsPerRPM)
	} else if in.TorqueNmPerA != nil {
		g.ConstantVsPerRad = drive.FromNmPerA(*in.TorqueNmPerA)
	}
	return g
}

func (s *shape) gear(at string, in *openapi.GearInput) (drive.Gear, string) {
	gear, reading := drive.Direct(), ""
	switch {
	case in.Ratio != nil:
		var err error
		if gear, reading, err = drive.ParseGear(*in.Ratio); err != nil {
			s.add(at+".ratio", "%s", gearReason(err))
			return drive.Direct(), ""
		}
	case in.GeneratorPerRotor != nil:
		gear.GeneratorPerRotor = *in.GeneratorPerRotor
		reading = fmt.Sprintf("the generator turns %g times for one turn of the rotor", gear.GeneratorPerRotor)
		if gear.GeneratorPerRotor != 1 {
			gear.Efficiency = drive.GearEfficiency
		}
	}
	gear.Efficiency = value(in.Efficiency, gear.Efficiency)
	gear.DragNm = value(in.DragNm, 0)
	return gear, reading
}

func gearReason(err error) string {
	var fault *drive.Fault
	if errors.As(err, &fault) {
		return fault.Reason
	}
	return err.Error()
}

func toLoad(in *openapi.LoadInput) drive.Load {
	switch {
	case in.Battery != nil:
		return drive.Battery{VoltsV: in.Battery.VoltsV, DiodeDropV: value(in.Battery.DiodeDropV, defaultRectifierV), InternalOhm: value(in.Battery.InternalOhm, 0)}
	case in.Resistor != nil:
		return drive.Resistor{Ohm: in.Resistor.Ohm, DiodeDropV: value(in.Resistor.DiodeDropV, 0)}
	case in.Tracking != nil:
		t := in.Tracking
		return drive.Tracking{Efficiency: value(t.Efficiency, defaultConverter), StartV: value(t.StartV, 0), MaxW: value(t.MaxW, 0),
			DiodeDropV: value(t.DiodeDropV, defaultRectifierV)}
	}
	return drive.ShortCircuit{}
}

func (s *shape) sweep(at string, in *openapi.SweepInput) *drive.Sweep {
	out := drive.Sweep{TurnsRatios: in.TurnsRatios, BatteryVoltsV: in.BatteryVoltsV}
	for i, words := range in.GearRatios {
		gear, _, err := drive.ParseGear(words)
		if err != nil {
			s.add(fmt.Sprintf("%s.gear_ratios[%d]", at, i), "%s", gearReason(err))
			continue
		}
		out.GearRatios = append(out.GearRatios, gear.GeneratorPerRotor)
	}
	return &out
}

func toBins(in *openapi.TestLogInput) bins.Options {
	o := bins.Options{
		AveragingS: int64(value(in.AveragingS, 0)), SensorHeightM: value(in.SensorHeightM, 0), HubHeightM: value(in.HubHeightM, 0),
		ShearExponent: value(in.ShearExponent, 0), ElevationM: value(in.ElevationM, nan), CutOutMS: value(in.CutOutMS, 0),
		PowerShiftS: int64(value(in.PowerShiftS, 0)), SpeedUncertainty: value(in.SpeedUncertainty, 0), PowerUncertainty: value(in.PowerUncertainty, 0),
	}
	for _, sector := range in.LeaveOut {
		if len(sector) != 2 {
			continue // checkShape has seen it
		}
		o.LeaveOut = append(o.LeaveOut, [2]float64{sector[0], sector[1]})
	}
	if g := in.Generator; g != nil {
		o.Generator = bins.Generator{ConstantVsPerRad: drive.FromVoltsPerRPM(g.VoltsPerRPM), ResistanceOhm: g.ResistanceOhm,
			BatteryV: value(g.BatteryV, 0), LoadOhm: value(g.LoadOhm, 0), DiodeDropV: value(g.DiodeDropV, defaultRectifierV)}
	}
	return o
}

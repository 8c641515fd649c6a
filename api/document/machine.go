package document

import (
	"mastworth/openapi"
	"mastworth/yield"
	"mastworth/yield/assess"
	"mastworth/yield/bins"
	"mastworth/yield/drive"
	"mastworth/yield/machine"
)

// FromMachine is what was found on the way to a turbine's curve; a nil machine has the points of its table alone.
func FromMachine(m *assess.Machine, points []yield.Point) openapi.Machine {
	var n memory
	if m == nil {
		m = &assess.Machine{Curve: points}
	}
	return *fromMachine(m, &n)
}

func fromMachine(m *assess.Machine, n *memory) *openapi.Machine {
	if m == nil {
		return nil
	}
	out := openapi.Machine{Curve: make([][]float64, len(m.Curve)), Measured: fromMeasured(m.Measured, n), Matching: make([]openapi.MatchCandidate, len(m.Matching))}
	for i, p := range m.Curve {
		out.Curve[i] = []float64{rounded(p.SpeedMS), rounded(p.PowerW)}
	}
	if m.Design != nil {
		out.Design = fromDesign(m.Design, m.Reading, m.GeneratorPerRotor, n)
	}
	for i := range m.Matching {
		c := &m.Matching[i]
		out.Matching[i] = openapi.MatchCandidate{GeneratorPerRotor: rounded(c.GeneratorPerRotor), TurnsRatio: rounded(c.TurnsRatio), ChargingRPM: n.figure(c.ChargingRPM),
			CutInMS: n.figure(c.CutInMS), PeakW: n.figure(c.PeakW), AnnualKWh: n.figure(c.AnnualKWh), WithinRatingKWh: n.figure(c.WithinRatingKWh),
			Cause: string(c.Cause), Why: c.Why}
		if c.BatteryVoltsV > 0 {
			out.Matching[i].BatteryVoltsV = n.figure(c.BatteryVoltsV)
		}
	}
	return &out
}

func fromDesign(s *machine.Solved, reading string, generatorPerRotor float64, n *memory) *openapi.DesignResult {
	r := &s.Result
	out := openapi.DesignResult{
		GearReading: reading, GeneratorPerRotor: n.figure(generatorPerRotor), Solidity: n.figure(s.Solidity), AspectRatio: n.figure(s.AspectRatio),
		BestCp: n.figure(s.BestCp), BestTipSpeedRatio: n.figure(s.BestLambda), RunawayTipSpeedRatio: n.figure(s.RunawayLambda),
		StartWindMS: n.figure(r.StartWindMS), CutInMS: n.figure(r.CutInMS), StopMS: n.figure(r.StopMS), FurlMS: n.figure(r.FurlMS),
		Characteristic: make([]openapi.RotorRow, len(s.Characteristic)), Points: make([]openapi.OperatingPoint, len(r.Points)),
		TorqueMap: openapi.TorqueMap{WindsMS: machine.MapWinds(), Rows: make([]openapi.TorqueRow, len(s.TorqueMap))},
		OnLoad:    fromPoint(&r.Overspeed.OnLoad, n), LoadLost: fromPoint(&r.Overspeed.LoadLost, n), Runaway: fromPoint(&r.Overspeed.Runaway, n),
		Warnings: fromWarnings(s.Warnings, 0),
	}
	for i, row := range s.Characteristic {
		out.Characteristic[i] = openapi.RotorRow{TipSpeedRatio: rounded(row.Lambda), Cp: n.figure(row.Cp), Cq: n.figure(row.Cq), Ct: n.figure(row.Ct)}
	}
	for i, row := range s.TorqueMap {
		t := openapi.TorqueRow{RotorRPM: n.figure(row.RPM), AskedNm: n.figure(row.AskedNm), TorqueNm: make([]*float64, len(row.RotorNm))}
		for k, nm := range row.RotorNm {
			t.TorqueNm[k] = n.figure(nm)
		}
		out.TorqueMap.Rows[i] = t
	}
	for i := range r.Points {
		out.Points[i] = fromPoint(&r.Points[i], n)
	}
	return &out
}

func fromPoint(p *drive.Point, n *memory) openapi.OperatingPoint {
	return openapi.OperatingPoint{
		WindMS: p.WindMS, State: openapi.OperatingPointState(p.State), RotorRPM: n.figure(p.RotorRPM), GeneratorRPM: n.figure(p.GeneratorRPM),
		TipSpeedMS: n.figure(p.TipSpeedMS), TipSpeedRatio: n.figure(p.Lambda), Cp: n.figure(p.Cp), TorqueNm: n.figure(p.TorqueNm), ThrustN: n.figure(p.ThrustN),
		CurrentA: n.figure(p.CurrentA), VoltsV: n.figure(p.VoltsV), AeroW: n.figure(p.AeroW), GearLossW: n.figure(p.GearLossW),
		IronLossW: n.figure(p.IronLossW), CopperLossW: n.figure(p.CopperLossW), DiodeLossW: n.figure(p.DiodeLossW), WireLossW: n.figure(p.WireLossW),
		LoadLossW: n.figure(p.LoadLossW), TerminalW: n.figure(p.TerminalW), DeliveredW: n.figure(p.DeliveredW), ElectricalCp: n.figure(p.ElectricalCp),
	}
}

func fromMeasured(r *bins.Result, n *memory) *openapi.MeasuredCurve {
	if r == nil {
		return nil
	}
	out := openapi.MeasuredCurve{
		Bins: make([]openapi.MeasuredBin, len(r.Bins)), Complete: r.Complete, Missing: append([]string{}, r.Missing...), TotalHours: n.figure(r.TotalHours),
		AveragingS: r.AveragingS, ReferenceDensityKgM3: n.figure(r.ReferenceDensity), MeanDensityKgM3: n.figure(r.MeanDensity), CutInMS: n.figure(r.CutInMS),
		PeakCp: n.figure(r.PeakCp), PeakCpMS: n.figure(r.PeakCpMS), ShiftFoundS: r.ShiftFoundS, LeftOut: make([]openapi.LeftOut, len(r.Left)),
		AEP: make([]openapi.RayleighEnergy, len(r.AEP)), Warnings: fromWarnings(r.Warnings, 0),
	}
	for i := range r.Bins {
		b := &r.Bins[i]
		out.Bins[i] = openapi.MeasuredBin{CentreMS: b.CentreMS, N: int64(b.N), Minutes: rounded(b.Minutes), Complete: b.Complete, SpeedMS: n.figure(b.SpeedMS),
			PowerW: n.figure(b.PowerW), SDW: n.figure(b.SDW), UncertaintyAW: n.figure(b.UncertaintyAW), UncertaintyBW: n.figure(b.UncertaintyBW), Cp: n.figure(b.Cp)}
	}
	for i, l := range r.Left {
		out.LeftOut[i] = openapi.LeftOut{Reason: l.Reason, Detail: l.Detail, N: int64(l.N)}
	}
	for i, e := range r.AEP {
		out.AEP[i] = openapi.RayleighEnergy{MeanSpeedMS: e.MeanSpeedMS, MeasuredKWh: n.figure(e.MeasuredKWh), ExtrapolatedKWh: n.figure(e.ExtrapolatedKWh),
			UncertaintyKWh: n.figure(e.UncertaintyKWh), Complete: e.Complete}
	}
	return &out
}

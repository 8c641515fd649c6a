package machine

import (
	"fmt"

	"mastworth/yield"
	"mastworth/yield/drive"
)

// Match tries gear ratios, windings and battery voltages on a design for a site's wind, the best first: see drive.Match for
// meanPower, progress and the order. An AirDensityKgM3 of 0 is 1.225. All combinations share the rotor's coefficients at the
// wind that carries the site's energy, the mean wind weighted by its cube and no higher than where furling begins; so figures
// differ a little from those of Solve. meanPower is asked once for each of the sweep's winds, whatever the number of combinations.
// An error for design or sweep wraps a *Fault, or is drive.ErrStopped. Match panics without meanPower.
func Match(d Design, s drive.Sweep, meanPower func(*yield.Curve) float64, progress func(done, total int)) ([]drive.Candidate, error) {
	if meanPower == nil {
		panic("machine: a match without the site's mean power")
	}
	if s.AirDensityKgM3 == 0 {
		s.AirDensityKgM3 = seaLevelDensity
	}
	sv, err := newSolver(d, s.AirDensityKgM3)
	if err != nil {
		return nil, err
	}
	if len(s.WindsMS) == 0 {
		s.WindsMS = drive.DefaultWinds()
	}
	weights, err := drive.Weights(s.AirDensityKgM3, s.WindsMS, meanPower)
	if err != nil {
		return nil, fmt.Errorf("machine match: %w", err)
	}
	wind := energyWind(s.WindsMS, weights)
	if start := d.Furling.StartMS; start > 0 {
		wind = min(wind, start)
	}
	m := sv.machine
	m.Aero = sv.tables.aero(wind)
	out, err := drive.MatchWeighted(m, s, weights, progress)
	if err != nil {
		return nil, d.placed(err)
	}
	return out, nil
}

// seaLevelDensity is that of the standard atmosphere at 15 °C, kg/m³.
const seaLevelDensity = 1.225

// energyWind is Σ wv⁴/Σ wv³, w being the weight of a wind in the site's mean. Without any wind it is StatedWindMS.
func energyWind(winds, weights []float64) float64 {
	third, fourth := 0.0, 0.0
	for i, v := range winds {
		third += weights[i] * v * v * v
		fourth += weights[i] * v * v * v * v
	}
	if !(third > 0) {
		return StatedWindMS
	}
	return fourth / third
}

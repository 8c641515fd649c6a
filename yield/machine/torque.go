package machine

import (
	"math"

	"mastworth/yield/drive"
	"mastworth/yield/rotor"
)

// Row is the rotor at a tip-speed ratio.
type Row struct{ Lambda, Cp, Cq, Ct float64 }

// TorqueRow is the torque at a rotor speed. Where a wind's torque crosses the one asked from above, the machine is steady.
type TorqueRow struct {
	RPM     float64   // of the rotor
	RotorNm []float64 // the wind's torque on the rotor, one for each of MapWinds; NaN past the free rotor's speed in that wind
	AskedNm float64   // what gear, iron and load ask; at 0 rpm before it starts, cogging included
}

const (
	characteristicRows = 61
	torqueRows         = 41
)

// MapWinds are the winds in m/s of a torque map.
func MapWinds() []float64 { return []float64{3, 4, 5, 6, 8, 10, 12} }

func characteristic(t *rotor.Table) []Row {
	out := make([]Row, characteristicRows)
	for i, l := range t.Lambdas(characteristicRows) {
		out[i] = Row{Lambda: l, Cp: t.Cp(l), Cq: t.Cq(l), Ct: t.Ct(l)}
	}
	return out
}

// torqueMap reaches up to the speed of the free rotor in the highest of the winds. What a tracking load asks is that of the
// rotor in StatedWindMS.
func (s *solver) torqueMap() []TorqueRow {
	winds := MapWinds()
	m, radius := s.machine, s.machine.RotorRadiusM
	rotors := make([]drive.Machine, len(winds))
	free := make([]float64, len(winds))
	for i, v := range winds {
		rotors[i] = m
		rotors[i].Aero = s.tables.aero(v)
		free[i] = drive.RPM(s.tables.runaway(v) * v / radius)
	}
	top := free[len(free)-1]
	out := make([]TorqueRow, torqueRows)
	values := make([]float64, torqueRows*len(winds))
	for i := range out {
		row := &out[i]
		row.RPM = top * float64(i) / (torqueRows - 1)
		row.AskedNm = m.AskedTorqueNm(row.RPM, s.rho)
		row.RotorNm, values = values[:len(winds):len(winds)], values[len(winds):]
		for k, v := range winds {
			row.RotorNm[k] = math.NaN()
			if row.RPM <= free[k] {
				row.RotorNm[k] = rotors[k].TorqueNm(v, row.RPM, s.rho)
			}
		}
	}
	return out
}

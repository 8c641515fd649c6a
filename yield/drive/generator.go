package drive

import "math"

// Generator is a permanent-magnet machine, seen as a direct-current machine from behind its rectifier.
type Generator struct {
	ConstantVsPerRad float64 // K, V·s/rad = N·m/A, above 0; see FromVoltsPerRPM
	ResistanceOhm    float64 // of the winding between the terminals, hot, above 0; of three phases, line to line
	IronTorqueNm     float64 // constant drag of iron, bearings and brushes at the generator's shaft, from 0
	EddyNmPerRadS    float64 // drag that grows with speed (eddy currents, air), N·m per rad/s at the generator's shaft, from 0
	CoggingNm        float64 // peak torque of the magnets' notches; it must be overcome to start, its mean over a turn is 0
	RatedCurrentA    float64 // the current it bears for long, A; 0: not known
}

// FromVoltsPerRPM is the generator constant K in V·s/rad of a machine that gives so many volts for each turn a minute,
// measured open behind the rectifier, K = 60/(2π) · V/rpm.
func FromVoltsPerRPM(voltsPerRPM float64) float64 { return voltsPerRPM * 30 / math.Pi }

// FromNmPerA is the generator constant K in V·s/rad of a machine that asks so many newton metres for each ampere. It is the
// same number: K ω I is both the electrical and the mechanical power.
func FromNmPerA(newtonMetresPerAmpere float64) float64 { return newtonMetresPerAmpere }

// Rewound is the same machine with its turns multiplied, the slots filled with the same weight of copper: K goes with the
// turns, resistance with their square, rated current with their inverse. Drags stay. The ratio must be above 0.
func (g Generator) Rewound(turnsRatio float64) Generator {
	g.ConstantVsPerRad *= turnsRatio
	g.ResistanceOhm *= turnsRatio * turnsRatio
	g.RatedCurrentA /= turnsRatio
	return g
}

// RPM is an angular speed in rad/s as turns a minute.
func RPM(radPerS float64) float64 { return radPerS * 30 / math.Pi }

// RadPerS is turns a minute as an angular speed in rad/s.
func RadPerS(rpm float64) float64 { return rpm * math.Pi / 30 }

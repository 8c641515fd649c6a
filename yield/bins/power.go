package bins

import (
	"fmt"
	"math"
)

// Generator makes a power of the shaft's speed, by the direct-current machine of the textbooks behind its rectifier:
//
//	I = (K·ω − V − V_diode)/R,  P = V·I
//
// into a battery, or into a resistance, where V = I·R_load. Nothing flows while the voltage does not reach that of the battery.
type Generator struct {
	ConstantVsPerRad float64 // K, V·s/rad, the same number in N·m/A; 0: no such generator
	ResistanceOhm    float64 // of the winding, Ω
	BatteryV         float64 // at the terminals, V; 0 for a resistance. A VoltsV of the log goes before it
	DiodeDropV       float64 // of the rectifier, V
	LoadOhm          float64 // resistance that takes the power, Ω; 0 for a battery
}

// PowerW is the power at the terminals in W at a shaft's speed in turns a minute and a battery voltage in V, which a load of
// resistance has no use for. NaN for NaN.
func (g Generator) PowerW(rpm, batteryV float64) float64 {
	e := g.ConstantVsPerRad*math.Abs(rpm)*2*math.Pi/60 - g.DiodeDropV
	if g.LoadOhm > 0 {
		i := max(0, e) / (g.ResistanceOhm + g.LoadOhm)
		return i * i * g.LoadOhm
	}
	return batteryV * max(0, (e-batteryV)/g.ResistanceOhm)
}

func (g Generator) check(volts bool) error {
	fault := func(format string, values ...any) error {
		return &Fault{"generator", -1, fmt.Sprintf(format, values...)}
	}
	finite := func(v float64) bool { return v >= 0 && v <= 1e6 }
	switch {
	case g.ConstantVsPerRad == 0:
		return fault("the log holds no power and no current; for power from the shaft's speed give the generator's volts for each turn " +
			"a minute, open and behind the rectifier, the resistance of its winding, and what it feeds")
	case !finite(g.ConstantVsPerRad) || !finite(g.ResistanceOhm) || !finite(g.BatteryV) || !finite(g.DiodeDropV) || !finite(g.LoadOhm):
		return fault("the generator's constant, resistances and voltages must be numbers from 0 up, not %+v", g)
	case g.LoadOhm > 0 && g.BatteryV > 0:
		return fault("it feeds a battery of %g V and a resistance of %g Ω: give one of the two", g.BatteryV, g.LoadOhm)
	case g.LoadOhm == 0 && g.ResistanceOhm == 0:
		return fault("with a battery the winding's resistance in Ω must be given: it alone sets the current")
	case g.LoadOhm == 0 && g.BatteryV == 0 && !volts:
		return fault("give the battery's voltage, or the load's resistance in Ω, or log the voltage")
	}
	return nil
}

// power is the log's power, W, row by row, and how it came about in words.
func (l *Log) power(g Generator) (watts []float64, how string, err error) {
	recorded := ""
	switch {
	case l.PowerW != nil:
		recorded = "power"
	case l.VoltsV != nil && l.AmpsA != nil:
		recorded = "volts and amps"
	}
	if recorded != "" && g.ConstantVsPerRad != 0 {
		return nil, "", &Fault{"generator", -1, fmt.Sprintf("the log holds %s, and the generator would make a power of the shaft's speed instead: give "+
			"one of the two, so leave the generator out, or the columns", recorded)}
	}
	switch {
	case l.PowerW != nil:
		return l.PowerW, "recorded", nil
	case l.VoltsV != nil && l.AmpsA != nil:
		watts = make([]float64, len(l.Times))
		for i := range watts {
			watts[i] = l.VoltsV[i] * l.AmpsA[i]
		}
		return watts, "volts times amps", nil
	case l.RPM != nil:
		if err := g.check(l.VoltsV != nil); err != nil {
			return nil, "", err
		}
		watts = make([]float64, len(l.Times))
		for i := range watts {
			volts := g.BatteryV
			if l.VoltsV != nil {
				volts = l.VoltsV[i]
			}
			watts[i] = g.PowerW(l.RPM[i], volts)
		}
		return watts, "the shaft's speed and the generator's constant", nil
	}
	return nil, "", &Fault{"power_w", -1, "the log holds no power: it needs a column of power in W, or of volts and of amps, or of the " +
		"shaft's speed with a generator's constant"}
}

// moved is a channel whose stamps are moved by a number of seconds: the value of row i is that which was stamped so much
// earlier.
func (l *Log) moved(values []float64, byS int64) []float64 {
	if byS == 0 {
		return values
	}
	out := make([]float64, len(values))
	j := 0
	for i, t := range l.Times {
		want := t - byS
		for j < len(l.Times) && l.Times[j] < want {
			j++
		}
		out[i] = math.NaN()
		if j < len(l.Times) && l.Times[j] == want {
			out[i] = values[j]
		}
	}
	return out
}

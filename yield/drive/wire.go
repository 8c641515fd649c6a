package drive

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

const (
	// CopperOhmM is the resistivity of annealed copper at 20 °C, Ω·m (IEC 60028; 100 % IACS).
	CopperOhmM = 1.7241e-8
	// CopperPerK is the relative rise of its resistance per kelvin above 20 °C (IEC 60028).
	CopperPerK = 0.00393
	// TableTemperatureC is the temperature that wire tables stand for, °C.
	TableTemperatureC = 20
)

// Wire is the copper line between the rectifier at the machine and the load, two conductors of a length. Its cross-section
// is given either way, not both; a line of no length has no resistance.
type Wire struct {
	LengthM      float64 // one way, m, from 0
	AreaMM2      float64 // of one conductor, mm²
	AWG          string  // or its gauge: "10", "1/0"; see AreaOfAWG
	TemperatureC float64 // of the copper, °C, −50 to 150; 0 is freezing, tables are for 20
}

// ResistanceOhm is the resistance of the loop, there and back, in Ω. NaN for a wire that Validate of the machine refuses.
func (w Wire) ResistanceOhm() float64 {
	if w.LengthM == 0 {
		return 0
	}
	area := w.AreaMM2
	if w.AWG != "" {
		a, err := AreaOfAWG(w.AWG)
		if err != nil {
			return math.NaN()
		}
		area = a
	}
	if !(area > 0) {
		return math.NaN()
	}
	return 2 * w.LengthM * CopperOhmM / (area * 1e-6) * (1 + CopperPerK*(w.TemperatureC-20))
}

// AreaOfAWG is the cross-section in mm² of a solid conductor of an American wire gauge, d = 0.127 mm · 92^((36−n)/39)
// (ASTM B258). It reads "4/0" to "1/0" (or "0000" to "0") and "1" to "40"; anything else is an error that says so.
func AreaOfAWG(gauge string) (float64, error) {
	s := strings.TrimSpace(gauge)
	if len(s) > 3 && strings.EqualFold(s[:3], "awg") {
		s = strings.TrimSpace(s[3:])
	}
	var n int
	var ok bool
	switch zeros, slash := strings.CutSuffix(s, "/0"); {
	case slash && len(zeros) == 1 && zeros[0] >= '1' && zeros[0] <= '4':
		n, ok = 1-int(zeros[0]-'0'), true
	case len(s) >= 1 && len(s) <= 4 && strings.Trim(s, "0") == "":
		n, ok = 1-len(s), true
	default:
		v, err := strconv.Atoi(s)
		n, ok = v, err == nil && v >= 1 && v <= 40 && s[0] != '+' && s[0] != '0'
	}
	if !ok {
		return 0, fmt.Errorf("the wire gauge %q is not one of 4/0 to 1/0 or 1 to 40; or give the cross-section in mm²", gauge)
	}
	d := 0.127 * math.Pow(92, float64(36-n)/39)
	return math.Pi / 4 * d * d, nil
}

// check reports the first thing wrong with the wire.
func (w Wire) check() *Fault {
	if f := within("wire.length_m", w.LengthM, 0, 5000); f != nil {
		return f
	}
	if f := within("wire.temperature_c", w.TemperatureC, -50, 150); f != nil {
		return f
	}
	switch {
	case w.AreaMM2 != 0 && w.AWG != "":
		return &Fault{"wire.awg", "the cross-section is given twice, in mm² and as a gauge; leave one out"}
	case w.AWG != "":
		if _, err := AreaOfAWG(w.AWG); err != nil {
			return &Fault{"wire.awg", err.Error()}
		}
	case w.AreaMM2 != 0 || w.LengthM > 0:
		if w.AreaMM2 == 0 {
			return &Fault{"wire.area_mm2", fmt.Sprintf("a line of %g m needs a cross-section in mm², or a gauge", w.LengthM)}
		}
		return within("wire.area_mm2", w.AreaMM2, 0.05, 1000)
	}
	return nil
}

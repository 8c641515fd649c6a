package household

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// Input is what a home has to live on and with, step by step: three rows of equal length.
type Input struct {
	WindW  []float64 // at the meter, W; nil for no wind machine
	SolarW []float64 // at the meter, W; nil for no array
	LoadW  []float64 // what the home draws, W
	// Months is the month of each step, 0 for January. Nil stands for 8760 hours from 1 January.
	Months []uint8
	StepS  int64 // length of a step, s, up to an hour; 0 stands for an hour
}

// MonthsOf is the month of each stamp, 0 for January, by local standard time, as Input.Months wants them: Unix seconds,
// and the offset of local standard time from UTC, s.
func MonthsOf(times []int64, utcOffsetS int64) []uint8 {
	out := make([]uint8, len(times))
	for i, t := range times {
		out[i] = uint8(resource.MonthOf(t, utcOffsetS))
	}
	return out
}

// Whole years of hours begin on 1 January.
var commonYear = func() []uint8 {
	out := make([]uint8, 0, hoursOfYear)
	for month, days := range daysOfMonth {
		for range 24 * days {
			out = append(out, uint8(month))
		}
	}
	return out
}()

// prepared is an input that has been looked through.
type prepared struct {
	wind, solar, load []float64 // none of them nil
	months            []uint8
	hours             float64 // of a step
	leftOut           int     // steps in which a value is not known
}

func (in Input) prepare() (prepared, error) {
	n := len(in.LoadW)
	p := prepared{wind: in.WindW, solar: in.SolarW, load: in.LoadW, months: in.Months}
	if n == 0 {
		return p, fault("load_w", "is empty; give what the home draws in each step")
	}
	switch {
	case in.StepS < 0 || in.StepS > 3600:
		return p, fault("step_s", "must be 1 to 3600 s, not %d", in.StepS)
	case in.StepS == 0:
		p.hours = 1
	default:
		p.hours = float64(in.StepS) / 3600
	}
	if p.wind == nil {
		p.wind = make([]float64, n)
	}
	if p.solar == nil {
		p.solar = make([]float64, n)
	}
	if p.months == nil {
		if n != hoursOfYear || p.hours != 1 {
			return p, fault("months", "must be given for anything but 8760 hours from 1 January; there are %d steps of %g h", n, p.hours)
		}
		p.months = commonYear
	}
	for _, c := range []struct {
		name string
		n    int
	}{{"wind_w", len(p.wind)}, {"solar_w", len(p.solar)}, {"months", len(p.months)}} {
		if c.n != n {
			return p, fault(c.name, "has %d steps where load_w has %d", c.n, n)
		}
	}
	return p, p.look()
}

// look refuses what cannot be and counts what is not known.
func (p *prepared) look() error {
	for i, load := range p.load {
		wind, solar := p.wind[i], p.solar[i]
		if load >= 0 && wind >= 0 && solar >= 0 && load+wind+solar <= math.MaxFloat64 && p.months[i] < 12 {
			continue
		}
		for _, c := range []struct {
			name string
			v    float64
		}{{"load_w", load}, {"wind_w", wind}, {"solar_w", solar}} {
			if c.v < 0 || math.IsInf(c.v, 0) {
				return fault(fmt.Sprintf("%s[%d]", c.name, i), "must be a number from 0, not %g; add what a standing machine draws to the load", c.v)
			}
		}
		if p.months[i] > 11 {
			return fault(fmt.Sprintf("months[%d]", i), "must be 0 for January to 11 for December, not %d", p.months[i])
		}
		p.leftOut++
	}
	if p.leftOut == len(p.load) {
		return fault("load_w", "no step has load, wind and solar all known")
	}
	return nil
}

package solar

import "mastworth/resource"

// StepYield is what one kilowatt of modules makes along a record, with the year's yield that it amounts to.
type StepYield struct {
	Yield
	// PowerW is the mean power over each step of the record, at the socket, W per kW of rated power: 0 where the sun is
	// down, NaN where it is up and the irradiance is not known.
	PowerW []float64
	// Hours is how long each step with sun stands for in the year of Yield, h: its own length times what fills gaps and
	// brings several years to one; 0 where PowerW is 0 for want of sun, or NaN. The sum of PowerW·Hours is
	// 1000·KWhPerKW, and by month 1000·MonthlyKWhPerKW.
	Hours []float64
}

// lit is where in the record a sample comes from, and the share of its step with the sun up.
type lit struct {
	step  int
	share float64
}

// Along estimates the yield as FromSeries does, and keeps the power of every step of the record. Errors are those of
// FromSeries.
func Along(s *resource.Series, site Site, p Plane, best bool, a Array) (StepYield, error) {
	out := StepYield{PowerW: make([]float64, s.Len()), Hours: make([]float64, s.Len())}
	y, err := along(s, site, p, best, a, &out)
	if err != nil {
		return StepYield{}, err
	}
	out.Yield = y
	return out, nil
}

// fill puts the power of each sample into its step.
func (o *StepYield) fill(sum *yearSum, p Plane, r *reading) {
	f := sum.factors(p.TiltDeg, true)
	keep := 1 - sum.array.Losses
	for k, from := range r.at {
		s := &sum.samples[k]
		// A sample's power is that of the part with the sun up, and its hours are that part's.
		o.PowerW[from.step] = s.powerOf(s.behind(sum.glass, &f)) * keep * from.share
		o.Hours[from.step] = s.hours / from.share
	}
}

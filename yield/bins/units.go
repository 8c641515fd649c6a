package bins

import (
	"fmt"
	"math"

	"mastworth/yield"
)

// What power a rotor of a known size can make. Judgement; the limits of good machines are common practice.
const (
	coefficientFromMS = 4     // below, a start against the wind or a lull while the rotor still turns says little
	absurdlySmall     = 0.003 // of the best bin: a thousandth of what machines make, or nothing to call a machine
	kilo              = 1000
	sensibleFrom      = 0.02 // what a machine makes of the wind, from a slow water pumper's up to Betz
	fewestForBetz     = 10   // periods: a rotor that still turns after a gust makes what the wind no longer holds
	smallCoefficient  = 0.04
	largeCoefficient  = 0.45
)

// coefficients is the best power coefficient of the bins from 4 m/s with at least three periods, where it is, and that of all
// those bins together; NaN for none, or too few.
func coefficients(bins []Bin, o *Options) (best, atMS, pooled float64) {
	best, atMS = math.NaN(), math.NaN()
	made, blown, n := 0.0, 0.0, 0
	for _, b := range bins {
		if b.CentreMS < coefficientFromMS || b.N < fewestPeriods {
			continue
		}
		if !(b.Cp <= best) {
			best, atMS = b.Cp, b.SpeedMS
		}
		made += float64(b.N) * b.PowerW
		blown += float64(b.N) * o.wind(b.SpeedMS)
		n += b.N
	}
	if n < fewestForBetz {
		return best, atMS, math.NaN()
	}
	return best, atMS, made / blown
}

// checkPower refuses a power that the rotor cannot have made, and warns of one that it hardly can.
func (r *Result) checkPower(o *Options, warn *warnings) error {
	best, at, pooled := coefficients(r.Bins, o)
	r.PeakCp, r.PeakCpMS = best, at
	switch {
	case best < 0 && -pooled >= sensibleFrom:
		return &Fault{"power_w", -1, fmt.Sprintf("all of the power is negative where there is wind: the sign is reversed. Multiply the power by −1, which makes "+
			"a power coefficient of %.2f from %d m/s up", -pooled, coefficientFromMS)}
	case math.IsNaN(best) || best <= 0:
		return nil
	case pooled/kilo >= sensibleFrom && pooled/kilo <= yield.BetzLimit:
		return &Fault{"power_w", -1, fmt.Sprintf("from %d m/s up the machine would make %.3g times the power of the wind through its rotor of %g m: this looks "+
			"like W labelled kW. Divide the power by 1000, which makes it %.2f; or mend the diameter or the wind's unit", coefficientFromMS, pooled,
			o.RotorDiameterM, pooled/kilo)}
	case pooled > yield.BetzLimit:
		return &Fault{"power_w", -1, fmt.Sprintf("from %d m/s up the machine would make %.3g times the power of the wind through its rotor of "+
			"%g m, and no rotor takes more than %.3f (Betz): the diameter is too small, the wind sensor reads low or is not in m/s, or the power "+
			"is not in W", coefficientFromMS, pooled, o.RotorDiameterM, yield.BetzLimit)}
	case best < absurdlySmall && best*kilo <= yield.BetzLimit:
		return &Fault{"power_w", -1, fmt.Sprintf("at its best, at %.1f m/s, the machine would make %.2g of the wind's power through its rotor "+
			"of %g m: this looks like kW labelled W. Multiply the power by 1000, which makes it %.2g; or mend the diameter or the wind's unit",
			at, best, o.RotorDiameterM, best*kilo)}
	case best > yield.BetzLimit:
		warn.add("bin_above_betz", "the bin at %.1f m/s has a power coefficient of %.3f, above the %.3f that any rotor can take; all bins together "+
			"have %.3f. Thin bins, a sensor in the lee of something or clocks apart do this", at, best, yield.BetzLimit, pooled)
	case best > largeCoefficient:
		warn.add("coefficient_high", "the best power coefficient is %.3f, at %.1f m/s; good small machines make 0.29 to 0.40: check the diameter, "+
			"the wind sensor and where it stands", best, at)
	case best < smallCoefficient:
		warn.add("coefficient_low", "the best power coefficient is only %.3f, at %.1f m/s: if the machine is no worse than most, the wind is not "+
			"in m/s (in km/h it would be 47 times as much, in mph 11 times), or the diameter is too large", best, at)
	}
	return nil
}

// checkIdle warns of a machine that stood still in wind it usually works in.
func (r *Result) checkIdle(g *gathered, warn *warnings) {
	top := peak(r.Bins)
	if top < 0 || math.IsNaN(r.CutInMS) {
		return
	}
	idle, all := 0, 0
	for i := range r.Bins {
		b := &r.Bins[i]
		if b.CentreMS < r.CutInMS+1.5 || b.PowerW < 0.05*r.Bins[top].PowerW || b.N == 0 {
			continue
		}
		idle += g.tallies[int(b.CentreMS*binsPerMS)].idle
		all += b.N
	}
	if share := float64(idle) / float64(all); all > 0 && share > 0.01 {
		warn.add("standing_still", "in %d of %d periods (%.1f %%) with wind from %.1f m/s up the machine made nothing: if it was braked, being mended or "+
			"its meter off, leave these rows empty; if it does so of itself, they belong to the curve", idle, all, 100*share, r.CutInMS+1.5)
	}
	if lowest := lowestPower(r.Bins); lowest < -0.001*r.Bins[top].PowerW {
		warn.add("draws_power", "the machine draws up to %.3g W in its weakest bin; the curve and the annual energy count that as none: take it off "+
			"the energy, at most %.0f kWh a year", -lowest, yield.AnnualKWh(-lowest))
	}
}

// lowestPower is the most a bin draws, beyond its scatter, as a power below 0; 0 for none.
func lowestPower(bins []Bin) float64 {
	lowest := 0.0
	for i := range bins {
		b := &bins[i]
		if b.N >= fewestPeriods && b.PowerW < -3*b.UncertaintyAW {
			lowest = min(lowest, b.PowerW)
		}
	}
	return lowest
}

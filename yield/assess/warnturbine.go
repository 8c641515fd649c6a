package assess

import (
	"math"

	"mastworth/resource"
	"mastworth/yield"
)

// turbineCodes are the warnings that warnTurbine finds.
var turbineCodes = []string{"power_coefficient_high", "curve_coarse", "capacity_factor_high", "curve_above_rated"}

// warnTurbine looks at the machine alone: at a table somebody gave, since what was worked out has its own warnings, and at its
// rating. A kept turbine has been looked at when it was kept, and brings its warnings with it.
func (a *assessment) warnTurbine() {
	if a.r.Turbine.Kept != nil {
		return
	}
	if !a.r.Turbine.worked() {
		a.warnTable()
	}
	a.warnRating()
}

func (a *assessment) warnTable() {
	t := &a.r.Turbine
	if cp, at := a.curve.PeakPowerCoefficient(t.RotorDiameterM); cp > highPowerCoefficient {
		a.warn("power_coefficient_high", "the curve turns %.0f %% of the wind's power into electricity at %.3g m/s; good small "+
			"machines reach 29 to 40 %%: measure the curve before you trust it", 100*cp, at)
	}
	if cp, at := a.curve.PeakBetweenPoints(t.RotorDiameterM); cp > yield.BetzLimit {
		a.warn("curve_coarse", "near %.2g m/s the straight line between two points of the curve lies above what any rotor can "+
			"make; add points where the power bends", at)
	}
}

// warnRating looks at the rating beside the curve. One that nobody gave is no claim of anybody's, so it is told where it is from.
func (a *assessment) warnRating() {
	t := &a.r.Turbine
	rayleigh := resource.Weibull{Shape: 2, Scale: referenceMeanSpeed / math.Gamma(1.5)}
	gross := yield.AnnualKWh(a.curve.MeanPowerWeibull(rayleigh))
	cf, top := yield.CapacityFactor(gross, t.RatedPowerW), a.curve.MaxPower()
	switch {
	case t.ratedBy != "" && t.worked(): // what a design suggests says nothing of how hopeful its curve is
	case t.ratedBy != "" && cf > highCapacityFactor:
		a.warn("capacity_factor_high", "no rating is given: %.0f W is taken because %s. Against that the curve makes a capacity factor of %.2f in a "+
			"mean wind of 5 m/s, before losses; honest small machines make 0.18 to 0.22 of what is on their plate: look whether the curve is hopeful, "+
			"or give turbine.rated_power_w", t.RatedPowerW, t.ratedBy, cf)
	case cf > highCapacityFactor:
		a.warn("capacity_factor_high", "before losses the curve makes a capacity factor of %.2f in a mean wind of 5 m/s; honest "+
			"small machines make 0.18 to 0.22: the rating is low for the rotor, or the curve is hopeful", cf)
	}
	switch {
	case t.ratedBy != "" && top > curveAboveRatedAllowed*t.RatedPowerW:
		a.warn("curve_above_rated", "no rating is given: %.0f W is taken because %s, and the capacity factor is told against it; the curve goes up to "+
			"%.0f W", t.RatedPowerW, t.ratedBy, top)
	case top > curveAboveRatedAllowed*t.RatedPowerW:
		a.warn("curve_above_rated", "the curve goes up to %.0f W, the rating is %.0f W; the capacity factor is told against "+
			"the rating", top, t.RatedPowerW)
	}
}

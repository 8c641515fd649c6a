package assess

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"unicode/utf8"

	"mastworth/yield"
)

// validateTurbine gives the curve, or nil where its points make none.
func validateTurbine(r *Request, f *faults) *yield.Curve {
	t := &r.Turbine
	if utf8.RuneCountInString(t.Name) > 200 {
		f.add("turbine.name", "must be at most 200 characters long")
	}
	f.within("turbine.rotor_diameter_m", t.RotorDiameterM, leastRotorM, MaxRotorM, "m")
	f.within("turbine.power_curve.air_density_kg_m3", t.CurveDensity, leastCurveDensity, 1.6, "kg/m³")
	curve, err := yield.NewCurve(t.CurvePoints, t.CurveDensity)
	if err != nil {
		addCurveError(err, f)
		return nil
	}
	validatePowers(t, curve.MaxPower(), f)
	if t.worked() || !t.sized() {
		return curve
	}
	if cp, at := curve.PeakPowerCoefficient(t.RotorDiameterM); cp > yield.BetzLimit {
		f.add("turbine.power_curve.points", "at %.3g m/s the curve makes %s times the power in the wind through a %g m rotor; "+
			"nothing can make more than 0.593 (Betz): check the diameter, the unit of power (W, not kW) and of speed (m/s)",
			at, fold(cp), t.RotorDiameterM)
	}
	return curve
}

// fold is how many times as much, as people say it.
func fold(v float64) string {
	if v >= 10 {
		return inWords(math.Round(v))
	}
	return strconv.FormatFloat(v, 'g', 2, 64)
}

// What a rotor makes at its best, W/m², is some 50 for a slow water pumper and 200 and more for others: a curve below the
// least is in another unit. A rating ten times off the curve is a slip too. Judgement.
const (
	leastPeakWM2      = 2
	ratingSlipTimes   = 10
	workedSlipTimes   = 100 // of a curve that was worked out: it goes on past what a machine is to be run at
	leastCurveDensity = 0.5 // kg/m³, of air at 8500 m
)

// validatePowers looks for slips of a unit: in a rating that the request gives, and in a table that somebody typed. What was worked
// out is explained by its own warnings, and a rating taken from the curve cannot be beside it.
func validatePowers(t *Turbine, top float64, f *faults) {
	given := t.ratedBy == "" && t.RatedPowerW == t.RatedPowerW
	if given {
		f.above("turbine.rated_power_w", t.RatedPowerW, 0, 1e6, "W")
	}
	times := float64(ratingSlipTimes)
	if t.worked() {
		times = workedSlipTimes
	}
	switch {
	case top == 0 || t.curvePending: // it makes nothing, and the answer says so; or it is not known yet
	case !t.worked() && t.sized() && top/areaOf(t.RotorDiameterM) < leastPeakWM2:
		f.add("turbine.power_curve.points", "the curve makes at most %.3g W with a %g m rotor, next to nothing: powers are in W, not kW",
			top, t.RotorDiameterM)
	case given && t.RatedPowerW > 0 && (t.RatedPowerW*times < top || t.RatedPowerW > times*top):
		f.add("turbine.rated_power_w", "%g W is more than %g times off the curve's highest power, %g W: both are in W", t.RatedPowerW, times, top)
	}
}

// sized reports whether the rotor can be as large as it says: what follows from one that cannot need not be told beside it.
func (t *Turbine) sized() bool {
	return t.RotorDiameterM >= leastRotorM && t.RotorDiameterM <= MaxRotorM
}

// addCurveError puts a curve's fault at the point it is in.
func addCurveError(err error, f *faults) {
	const at = "turbine.power_curve.points"
	var ce *yield.CurveError
	if !errors.As(err, &ce) {
		f.add(at, "%s", err)
		return
	}
	where := at
	switch ce.Field {
	case "speed":
		where = fmt.Sprintf("%s[%d][0]", at, ce.Index)
	case "power":
		where = fmt.Sprintf("%s[%d][1]", at, ce.Index)
	case "density":
		where = "turbine.power_curve.air_density_kg_m3"
	}
	f.add(where, "%s", ce.Reason)
}

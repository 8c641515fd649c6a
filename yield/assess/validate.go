package assess

import (
	"fmt"
	"math"
	"unicode/utf8"

	"mastworth/resource"
	"mastworth/resource/terrain"
	"mastworth/yield"
	"mastworth/yield/cost"
)

// Limits of one request. They keep an estimate bounded and catch slips of the unit or the decimal point.
const (
	MaxTowers       = 60
	MaxHubHeightM   = 200
	MaxSpeedMS      = 75  // no speed that a small turbine's data could hold is above it
	MaxRotorM       = 60  // this is for small wind
	leastRotorM     = 0.2 // a toy's
	MaxFrequencyBin = 400 // rows of a frequency table
	shareTolerance  = 0.02

	lowestElevationM, highestElevationM = -500, 9000
)

// validate checks a completed request and reports every fault, not only the first. The turbine's curve comes with it.
func validate(r *Request) (*yield.Curve, error) {
	var f faults
	validateSite(r, &f)
	validateWind(r, &f)
	validateShear(r, &f)
	curve := validateTurbine(r, &f)
	validateTowers(r, &f)
	validateLosses(r, &f)
	validateMoney(r, &f)
	validateTariff(&r.Money, &f)
	validateSolar(r, &f)
	validateHousehold(r, &f)
	validateUncertainty(&r.Uncertainty, r.Towers, &f)
	return curve, f.err()
}

func validateSite(r *Request, f *faults) {
	s := &r.Site
	if utf8.RuneCountInString(s.Name) > 200 {
		f.add("site.name", "must be at most 200 characters long")
	}
	f.within("site.latitude", s.LatitudeDeg, -90, 90, "degrees")
	f.within("site.longitude", s.LongitudeDeg, -180, 180, "degrees")
	f.within("site.elevation_m", s.ElevationM, lowestElevationM, highestElevationM, "m")
	validateGround("site.ground", s.Ground, f)
	if g := r.Wind.MeasuredOver; g != nil {
		validateGround("wind.measured_over", *g, f)
	}
	validateObstacles(s.Obstacles, f)
	for _, fault := range terrain.ReliefFaults(s.Relief) {
		f.add(faultPlace("site.relief", fault), "%s", fault.Reason)
	}
}

func validateGround(at string, g Ground, f *faults) {
	if g.Cover != "" {
		if _, ok := resource.CoverClass(g.Cover); !ok {
			f.add(at+".cover", "%q is no cover class; use one of %s, or give roughness_m", g.Cover, coverWords())
			return
		}
	}
	if g.RoughnessM != g.RoughnessM {
		f.add(at, "describe the ground by cover or by roughness_m")
		return
	}
	before := len(*f)
	f.within(".roughness_m", g.RoughnessM, 1e-5, 5, "m")
	f.within(".displacement_m", g.DisplacementM, 0, 60, "m")
	if len(g.Sectors) > 0 {
		validateSectors(".sectors", g, f)
	}
	f.under(before, func() string { return at })
}

func coverWords() string {
	var out string
	for i, c := range resource.CoverClasses() {
		if i > 0 {
			out += ", "
		}
		out += c.Words
	}
	return out
}

func validateWind(r *Request, f *faults) {
	w := &r.Wind
	sources := 0
	if w.Record != nil {
		sources++
		if w.Record.Series == nil {
			f.add("wind.record", "the record %q was not loaded", w.Record.Ref)
		}
		if h := w.Record.HeightM; h == h {
			f.above("wind.record.height_m", h, 0, MaxHubHeightM, "m")
		}
	}
	if m := w.Mean; m != nil {
		sources++
		f.above("wind.mean.speed_m_s", m.SpeedMS, 0, 30, "m/s")
		f.within("wind.mean.shape", m.Shape, 0.8, 6, "")
		f.above("wind.mean.height_m", m.HeightM, 0, 500, "m")
	}
	if b := w.Weibull; b != nil {
		sources++
		f.above("wind.weibull.scale_m_s", b.ScaleMS, 0, 35, "m/s")
		f.within("wind.weibull.shape", b.Shape, 0.8, 6, "")
		f.above("wind.weibull.height_m", b.HeightM, 0, 500, "m")
	}
	if t := w.Frequency; t != nil {
		sources++
		validateFrequency(t, f)
	}
	validateRose(w, f)
	validateLongTerm(w, f)
	if here := w.MeasuredHere; here != nil && *here && w.MeasuredOver != nil {
		f.add("wind.measured_here", "the wind cannot have been measured here and over other ground; drop one of measured_here and measured_over")
	}
	if sources != 1 {
		f.add("wind", "give exactly one of record, mean, weibull and frequency, not %d of them", sources)
	}
}

func validateFrequency(t *Frequency, f *faults) {
	f.above("wind.frequency.height_m", t.HeightM, 0, 500, "m")
	if n := len(t.Bins); n < 3 || n > MaxFrequencyBin {
		f.add("wind.frequency.bins", "must have from 3 to %d rows, not %d", MaxFrequencyBin, n)
		return
	}
	sum := 0.0
	for i, b := range t.Bins {
		before := len(*f)
		f.within("from_m_s", b.FromMS, 0, MaxSpeedMS, "m/s")
		f.above("to_m_s", b.ToMS, b.FromMS, MaxSpeedMS, "m/s")
		f.within("share", b.Share, 0, 1, "")
		if i > 0 && b.FromMS < t.Bins[i-1].ToMS {
			f.add("from_m_s", "begins at %g m/s, inside the row before, which ends at %g; rows must rise and not overlap",
				b.FromMS, t.Bins[i-1].ToMS)
		}
		f.under(before, func() string { return fmt.Sprintf("wind.frequency.bins[%d].", i) })
		sum += b.Share
	}
	if math.Abs(sum-1) > shareTolerance {
		f.add("wind.frequency.bins", "the shares add up to %.4g, not to 1; if they are per cent, divide by 100", sum)
	}
}

func validateShear(r *Request, f *faults) {
	switch r.Shear.Method {
	case ShearAuto, ShearLog, ShearPower:
	case ShearMeasured:
		if r.Wind.Record == nil {
			f.add("shear.method", "measured needs wind.record with two heights; use auto, log or power")
		}
	default:
		f.add("shear.method", "must be auto, log, power or measured, not %q", string(r.Shear.Method))
	}
	if e := r.Shear.Exponent; e == e {
		f.within("shear.exponent", e, -0.1, 0.8, "")
	}
}

func validateLosses(r *Request, f *faults) {
	l := r.Losses
	f.within("losses.availability", l.Availability, 0, 0.95, "(a share, not per cent)")
	f.within("losses.wiring", l.Wiring, 0, 0.95, "(a share, not per cent)")
	f.within("losses.conversion", l.Conversion, 0, 0.95, "(a share, not per cent)")
	f.within("losses.other", l.Other, 0, 0.95, "(a share, not per cent)")
}

func validateMoney(r *Request, f *faults) {
	m := &r.Money
	if len(m.Currency) > 8 {
		f.add("money.currency", "must be at most 8 letters, such as EUR")
	}
	if m.TurbineCost != m.TurbineCost {
		f.add("money.turbine_cost", "is needed: what rotor, generator and controller cost together")
	} else {
		f.within("money.turbine_cost", m.TurbineCost, 0, 1e9, "")
		if m.YearlyCost != DefaultYearlyCostShare*m.TurbineCost { // one that was worked out of it is at fault only with it
			f.within("money.yearly_cost", m.YearlyCost, 0, 1e9, "")
		}
	}
	f.within("money.other_cost", m.OtherCost, 0, 1e9, "")
	f.within("money.measuring_cost", m.MeasuringCost, 0, 1e9, "")
	f.within("money.life_years", float64(m.LifeYears), 1, 60, "years")
	f.within("money.discount_rate", m.DiscountRate, -0.05, 0.5, "(a share, not per cent)")
	if p := m.PricePerKWh; p == p {
		f.within("money.price_per_kwh", p, 0, 1000, "")
	}
	for i, rep := range m.Replacements {
		before := len(*f)
		validateReplacement(rep, f)
		f.under(before, func() string { return fmt.Sprintf("money.replacements[%d].", i) })
	}
}

func validateReplacement(rep cost.Replacement, f *faults) {
	f.within("year", float64(rep.Year), 1, 60, "")
	f.within("cost", rep.Cost, 0, 1e9, "")
	if utf8.RuneCountInString(rep.What) > 200 {
		f.add("what", "must be at most 200 characters long")
	}
}

func validateSolar(r *Request, f *faults) {
	s := &r.Solar
	if s.CostPerKW != s.CostPerKW {
		f.add("solar.cost_per_kw", "is needed with the currency %s: what a kW of solar costs, installed", r.Money.Currency)
	} else {
		f.above("solar.cost_per_kw", s.CostPerKW, 0, 1e9, "")
		if s.YearlyCostPerKW != DefaultSolarYearlyShare*s.CostPerKW {
			f.within("solar.yearly_cost_per_kw", s.YearlyCostPerKW, 0, 1e9, "")
		}
	}
	f.within("solar.life_years", float64(s.LifeYears), 1, 60, "years")
	if !s.BestTilt {
		f.within("solar.tilt_deg", s.TiltDeg, 0, 90, "degrees")
	}
	f.within("solar.azimuth_deg", s.AzimuthDeg, 0, 360, "degrees")
	f.within("solar.losses", s.Losses, 0, 0.9, "(a share, not per cent)")
	f.within("solar.output_decline", s.OutputDecline, 0, 0.2, "(a share a year, not per cent)")
	validateIrradiation(s, f)
}

func validateIrradiation(s *Solar, f *faults) {
	given := 0
	if s.MonthlyIrradiationKWhM2 != nil {
		given++
		if n := len(s.MonthlyIrradiationKWhM2); n != 12 {
			f.add("solar.monthly_irradiation_kwh_m2", "must have twelve numbers, January first, not %d", n)
		}
		for i, v := range s.MonthlyIrradiationKWhM2 {
			before := len(*f)
			f.within("", v, 0, 400, "kWh/m² a month")
			f.under(before, func() string { return fmt.Sprintf("solar.monthly_irradiation_kwh_m2[%d]", i) })
		}
	}
	if v := s.YearlyIrradiationKWhM2; v == v {
		given++
		f.within("solar.yearly_irradiation_kwh_m2", v, 100, 3000, "kWh/m² a year")
	}
	if v := s.YieldKWhPerKW; v == v {
		given++
		f.within("solar.yield_kwh_per_kw", v, 100, 3000, "kWh a kW a year")
	}
	if given > 1 {
		f.add("solar", "give at most one of monthly_irradiation_kwh_m2, yearly_irradiation_kwh_m2 and yield_kwh_per_kw")
	}
}

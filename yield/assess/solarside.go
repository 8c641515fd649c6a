package assess

import (
	"errors"
	"fmt"

	"mastworth/resource"
	"mastworth/yield/solar"
)

// sunshine is what one kW of solar makes at the site, the same for every tower.
type sunshine struct {
	yield        solar.Yield
	yearlyPerKW  float64 // yearly equivalent cost of one kW
	perKWh       float64
	provenance   []Provenance
	monthlyPerKW []float64
	steps        *solar.StepYield // along the record; nil where the yield is not from its hours, or nobody asks for them
}

// newSunshine takes the best irradiation the request has: hours in the record, else months or a year or a specific
// yield in the request, else the latitude alone.
func newSunshine(r *Request) (sunshine, error) {
	var steps *solar.StepYield
	if r.Household != nil {
		steps = new(solar.StepYield)
	}
	y, source, err := solarYield(r, steps)
	if err != nil {
		return sunshine{}, err
	}
	if y.Basis != solar.BasisRecord {
		steps = nil
	}
	worth := r.Solar.planPerKW(r.Money.DiscountRate).Worth()
	return sunshine{
		yield:        y,
		steps:        steps,
		yearlyPerKW:  worth.YearlyEquivalent(),
		perKWh:       worth.PerKWh(y.KWhPerKW),
		monthlyPerKW: y.MonthlyKWhPerKW,
		provenance: []Provenance{{
			What: "solar", Method: y.Basis, Source: source,
		}, {
			What: "solar.array_kw", Method: "equal yearly equivalent cost", Source: "definition: the array whose yearly " +
				"equivalent cost is the turbine's",
		}},
	}, nil
}

// solarYield is the year's yield and where it comes from. Where it comes from the record's hours, it fills in steps, unless that is nil.
func solarYield(r *Request, steps *solar.StepYield) (solar.Yield, string, error) {
	s := &r.Solar
	place := r.Site.solar()
	plane, best := s.plane(r.Site.LatitudeDeg)
	array := s.array()

	switch {
	case s.YieldKWhPerKW == s.YieldKWhPerKW:
		return solar.Yield{KWhPerKW: s.YieldKWhPerKW, Plane: plane, Basis: "specific_yield"}, "solar.yield_kwh_per_kw of the request", nil
	case s.MonthlyIrradiationKWhM2 != nil:
		var months [12]float64
		copy(months[:], s.MonthlyIrradiationKWhM2)
		y, err := solar.FromMonthly(months, place, plane, best, array)
		source := "solar.monthly_irradiation_kwh_m2 of the request; " + solar.Methods
		if s.MonthlyIrradiationRef != "" {
			source = s.MonthlyIrradiationRef + "; " + source
		}
		return y, source, at("solar.monthly_irradiation_kwh_m2", err)
	case s.YearlyIrradiationKWhM2 == s.YearlyIrradiationKWhM2:
		y, err := solar.FromYearly(s.YearlyIrradiationKWhM2, place, plane, best, array)
		return y, "solar.yearly_irradiation_kwh_m2 of the request; " + solar.Methods, at("solar.yearly_irradiation_kwh_m2", err)
	}
	if rec := r.Wind.Record; rec != nil {
		y, err := alongRecord(rec.Series, recordSolarSite(rec.Series, place), plane, best, array, steps)
		if err == nil {
			return y, fmt.Sprintf("irradiance of the record %s; %s", rec.Ref, solar.Methods), nil
		}
		if !errors.Is(err, solar.ErrNoIrradiance) && rec.Series.Find(resource.GlobalHorizontal, nan) >= 0 {
			// Too short or too coarse a record is no fault of the request: the latitude must do, and the answer says why.
			weak, werr := solar.FromLatitude(place, plane, best, array)
			weak.Warnings = append(weak.Warnings, Warning{Code: "irradiance_unused",
				Detail: fmt.Sprintf("the record's irradiance could not be used (%v)", err)})
			return weak, "latitude alone; " + solar.Methods, at("site.latitude", werr)
		}
	}
	y, err := solar.FromLatitude(place, plane, best, array)
	return y, "latitude alone; " + solar.Methods, at("site.latitude", err)
}

// alongRecord is the yield of a record's irradiance; it fills in steps, unless that is nil.
func alongRecord(s *resource.Series, site solar.Site, plane solar.Plane, best bool, array solar.Array, steps *solar.StepYield) (solar.Yield, error) {
	if steps == nil {
		return solar.FromSeries(s, site, plane, best, array)
	}
	var err error
	*steps, err = solar.Along(s, site, plane, best, array)
	return steps.Yield, err
}

// solar is the mast's place under the sun.
func (s *Site) solar() solar.Site {
	return solar.Site{LatitudeDeg: s.LatitudeDeg, LongitudeDeg: s.LongitudeDeg, ElevationM: s.ElevationM}
}

func (s *Solar) array() solar.Array {
	out := solar.DefaultArray()
	out.Losses = s.Losses
	return out
}

// recordSolarSite keeps the sun of the hours where they were recorded: irradiance goes with its own place's sun.
func recordSolarSite(s *resource.Series, site solar.Site) solar.Site {
	if s.Place == nil {
		return site
	}
	site.LongitudeDeg, site.LatitudeDeg = s.Place.Point.Lon(), s.Place.Point.Lat()
	if e := s.Place.ElevationM; e == e {
		site.ElevationM = e
	}
	return site
}

// at turns a solar error into a fault of one place of the request.
func at(location string, err error) error {
	if err == nil {
		return nil
	}
	var inv *InvalidError
	if errors.As(err, &inv) {
		return err
	}
	return invalid(location, "%s", err)
}

// equalCost is the array whose yearly equivalent cost is the one given.
func (s *sunshine) equalCost(yearlyEquivalent float64) SolarArray {
	kw := yearlyEquivalent / s.yearlyPerKW
	a := SolarArray{
		ArrayKW:       kw,
		AnnualKWh:     kw * s.yield.KWhPerKW,
		YieldKWhPerKW: s.yield.KWhPerKW,
		TiltDeg:       s.yield.Plane.TiltDeg,
		AzimuthDeg:    s.yield.Plane.AzimuthDeg,
		PerKWh:        s.perKWh,
		Basis:         s.yield.Basis,
	}
	if s.monthlyPerKW != nil {
		a.MonthlyKWh = make([]float64, 12)
		for i, m := range s.monthlyPerKW {
			a.MonthlyKWh[i] = kw * m
		}
	}
	return a
}

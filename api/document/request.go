package document

import (
	"math"

	"mastworth/openapi"
	"mastworth/resource/longterm"
	"mastworth/resource/shelter"
	"mastworth/resource/terrain"
	"mastworth/yield"
	"mastworth/yield/assess"
	"mastworth/yield/cost"
)

var nan = math.NaN()

// ToRequest is the request in the domain's terms: what is left out is NaN, empty or 0, as assess.Request says. Where the wind
// is a record, or is stretched by one, the references say which, and the caller puts the loaded series where Refs.Records
// points. The request must come from Decode, or, to be checked and no more, from DecodeFar.
func ToRequest(in openapi.EstimateRequest) (assess.Request, Refs) {
	r := assess.Request{
		Site: assess.Site{
			Name:         value(in.Site.Name, ""),
			LatitudeDeg:  in.Site.Latitude,
			LongitudeDeg: in.Site.Longitude,
			ElevationM:   value(in.Site.ElevationM, nan),
			Ground:       toGround(in.Site.Ground),
			Obstacles:    toObstacles(in.Site.Obstacles),
			Relief:       toRelief(in.Site.Relief),
		},
		Shear:  assess.Shear{Exponent: nan},
		Losses: toLosses(in.Losses),
		Money:  toMoney(&in.Money),
		Solar:  toSolar(in.Solar),
		Seed:   uint64(value(in.Seed, 0)),
	}
	if s := in.Shear; s != nil {
		r.Shear = assess.Shear{Method: assess.ShearMethod(value(s.Method, "")), Exponent: value(s.Exponent, nan)}
	}
	r.Towers, r.TowerRule = toTowers(&in.Towers)
	r.Household = toHousehold(in.Household)
	r.Uncertainty = toUncertainty(in.Uncertainty)
	if in.Site.Map != nil {
		m := readMap(*in.Site.Map, &in.Site)                        // checkShape has seen its faults
		r.Site.Obstacles = append(r.Site.Obstacles, m.obstacles...) // none on the map says nothing of what is there
		r.Site.Ground.Sectors = append(r.Site.Ground.Sectors, m.sectors...)
	}
	var refs Refs
	r.Wind, refs = toWind(&in.Wind)
	r.Turbine = toTurbine(&in.Turbine, &refs)
	return r, refs
}

func toGround(g *openapi.Ground) assess.Ground {
	if g == nil {
		return assess.Ground{RoughnessM: nan, DisplacementM: nan}
	}
	out := plainGround(g.Cover, g.RoughnessM, g.DisplacementM)
	for _, s := range g.Sectors {
		sector := assess.GroundSector{FromDeg: s.FromDeg, ToDeg: s.ToDeg, Ground: plainGround(s.Cover, s.RoughnessM, s.DisplacementM),
			ChangeAtM: value(s.ChangeAtM, nan)}
		if b := s.Beyond; b != nil {
			beyond := plainGround(b.Cover, b.RoughnessM, b.DisplacementM)
			sector.Beyond = &beyond
		}
		out.Sectors = append(out.Sectors, sector)
	}
	return out
}

func plainGround(cover *openapi.Cover, roughnessM, displacementM *float64) assess.Ground {
	return assess.Ground{Cover: string(value(cover, "")), RoughnessM: value(roughnessM, nan), DisplacementM: value(displacementM, nan)}
}

func toObstacles(in *[]openapi.Obstacle) []shelter.Obstacle {
	if in == nil {
		return nil
	}
	out := make([]shelter.Obstacle, len(*in))
	for i, o := range *in {
		out[i] = shelter.Obstacle{Name: value(o.Name, ""), BearingDeg: o.BearingDeg, DistanceM: o.DistanceM, HeightM: o.HeightM,
			WidthM: o.WidthM, Porosity: value(o.Porosity, nan), GrowthMPerYear: value(o.GrowthMPerYear, nan)}
	}
	return out
}

func toRelief(in []openapi.Relief) []terrain.Relief {
	out := make([]terrain.Relief, len(in))
	for i, r := range in {
		out[i] = terrain.Relief{Shape: terrain.Shape(r.Shape), HeightM: r.HeightM, HalfLengthM: r.HalfLengthM,
			FromDeg: value(r.FromDeg, nan), ToDeg: value(r.ToDeg, nan)}
	}
	return out
}

func toWind(in *openapi.WindInput) (assess.Wind, Refs) {
	var refs Refs
	w := assess.Wind{MeasuredHere: in.MeasuredHere, Rose: in.Rose}
	if rec := in.Record; rec != nil {
		refs.Wind = newRecordRef(atRecord, rec)
		w.Record = &assess.Record{Ref: refs.Wind.Name(), HeightM: refs.Wind.HeightM}
	}
	if l := in.LongTerm; l != nil {
		refs.Reference = newRecordRef(atReference, &l.Reference)
		w.LongTerm = &assess.LongTerm{
			Reference: &assess.Record{Ref: refs.Reference.Name(), HeightM: refs.Reference.HeightM},
			Method:    longterm.Method(value(l.Method, "")), Sectors: value(l.Sectors, false), MaxShiftS: 3600 * value(l.MaxShiftHours, nan),
		}
	}
	if m := in.Mean; m != nil {
		w.Mean = &assess.Mean{SpeedMS: m.SpeedMS, HeightM: m.HeightM, Shape: value(m.Shape, nan)}
	}
	if b := in.Weibull; b != nil {
		w.Weibull = &assess.Weibull{ScaleMS: b.ScaleMS, Shape: b.Shape, HeightM: b.HeightM}
	}
	if f := in.Frequency; f != nil {
		w.Frequency = &assess.Frequency{HeightM: f.HeightM, Bins: make([]assess.Bin, len(f.Bins))}
		for i, b := range f.Bins {
			w.Frequency.Bins[i] = assess.Bin{FromMS: b.FromMS, ToMS: b.ToMS, Share: b.Share}
		}
	}
	if in.MeasuredOver != nil {
		g := toGround(in.MeasuredOver)
		w.MeasuredOver = &g
	}
	return w, refs
}

func toLosses(in *openapi.LossesInput) yield.Losses {
	if in == nil {
		in = &openapi.LossesInput{}
	}
	return yield.Losses{Availability: value(in.Availability, nan), Wiring: value(in.Wiring, nan),
		Conversion: value(in.Conversion, nan), Other: value(in.Other, nan)}
}

func toMoney(in *openapi.MoneyInput) assess.Money {
	m := assess.Money{
		Currency:     value(in.Currency, ""),
		TurbineCost:  in.TurbineCost,
		OtherCost:    value(in.OtherCost, nan),
		YearlyCost:   value(in.YearlyCost, nan),
		LifeYears:    value(in.LifeYears, 0),
		DiscountRate: value(in.DiscountRate, nan),
		PricePerKWh:  value(in.PricePerKWh, nan),

		OutputDecline: value(in.OutputDecline, nan),
		FeedInPerKWh:  value(in.FeedInPerKWh, nan), SelfUsedShare: value(in.SelfUsedShare, nan),
		MeasuringCost: value(in.MeasuringCost, nan), PriceEscalation: value(in.PriceEscalation, nan), FeedInEscalation: value(in.FeedInEscalation, nan),
	}
	for _, r := range in.Replacements {
		m.Replacements = append(m.Replacements, cost.Replacement{Year: r.Year, Cost: r.Cost, What: value(r.What, "")})
	}
	return m
}

func toSolar(in *openapi.SolarInput) assess.Solar {
	if in == nil {
		in = &openapi.SolarInput{}
	}
	s := assess.Solar{
		CostPerKW:               value(in.CostPerKW, nan),
		YearlyCostPerKW:         value(in.YearlyCostPerKW, nan),
		LifeYears:               value(in.LifeYears, 0),
		TiltDeg:                 nan,
		AzimuthDeg:              value(in.AzimuthDeg, nan),
		Losses:                  value(in.Losses, nan),
		OutputDecline:           value(in.OutputDecline, nan),
		MonthlyIrradiationKWhM2: in.MonthlyIrradiationKWhM2,
		YearlyIrradiationKWhM2:  value(in.YearlyIrradiationKWhM2, nan),
		YieldKWhPerKW:           value(in.YieldKWhPerKW, nan),
	}
	if t := in.TiltDeg; t != nil {
		s.BestTilt = t.Best
		if !t.Best {
			s.TiltDeg = t.Deg
		}
	}
	return s
}

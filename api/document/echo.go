package document

import (
	"mastworth/openapi"
	"mastworth/resource/shelter"
	"mastworth/resource/terrain"
	"mastworth/yield/assess"
)

// FromRequest is the request on the wire: with every default where assess has filled them in, and fit to be sent again. refs
// is what ToRequest returned. What a map said comes back as obstacles and ground sectors.
func FromRequest(r *assess.Request, refs Refs) openapi.EstimateRequest {
	var n memory
	return echo(r, refs, &n)
}

func echo(r *assess.Request, refs Refs, n *memory) openapi.EstimateRequest {
	seed := int64(r.Seed & maxSeed)
	out := openapi.EstimateRequest{
		Site: openapi.SiteInput{
			Name:       text(r.Site.Name),
			Latitude:   r.Site.LatitudeDeg,
			Longitude:  r.Site.LongitudeDeg,
			ElevationM: n.or(r.Site.ElevationM),
			Ground:     echoGround(r.Site.Ground, n),
			Obstacles:  echoObstacles(r.Site.Obstacles, n),
			Relief:     echoRelief(r.Site.Relief, n),
		},
		Wind:    echoWind(&r.Wind, refs, n),
		Turbine: echoTurbine(&r.Turbine, &refs, n),
		Losses: &openapi.LossesInput{Availability: n.or(r.Losses.Availability), Wiring: n.or(r.Losses.Wiring),
			Conversion: n.or(r.Losses.Conversion), Other: n.or(r.Losses.Other)},
		Money: echoMoney(&r.Money, n),
		Solar: echoSolar(&r.Solar, n),
		Seed:  &seed,
	}
	shear := openapi.ShearInput{Exponent: n.or(r.Shear.Exponent)}
	if r.Shear.Method != "" {
		method := openapi.ShearInputMethod(r.Shear.Method)
		shear.Method = &method
	}
	out.Shear = &shear
	out.Towers = echoTowers(r, n)
	out.Household = echoHousehold(r.Household, n)
	out.Uncertainty = echoUncertainty(&r.Uncertainty, n)
	return out
}

// text is a pointer to s, or nil where it is empty.
func text(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// echoGround names a class by its word alone: its roughness length comes with it.
func echoGround(g assess.Ground, n *memory) *openapi.Ground {
	plain := echoPlain(g, n)
	out := openapi.Ground{Cover: plain.Cover, RoughnessM: plain.RoughnessM, DisplacementM: plain.DisplacementM}
	for _, s := range g.Sectors {
		ground := echoPlain(s.Ground, n)
		sector := openapi.GroundSector{FromDeg: s.FromDeg, ToDeg: s.ToDeg, Cover: ground.Cover, RoughnessM: ground.RoughnessM,
			DisplacementM: ground.DisplacementM, ChangeAtM: n.or(s.ChangeAtM)}
		if s.Beyond != nil {
			beyond := echoPlain(*s.Beyond, n)
			sector.Beyond = &beyond
		}
		out.Sectors = append(out.Sectors, sector)
	}
	return &out
}

func echoPlain(g assess.Ground, n *memory) openapi.GroundBeyond {
	out := openapi.GroundBeyond{DisplacementM: n.or(g.DisplacementM)}
	if g.Cover != "" {
		cover := openapi.Cover(g.Cover)
		out.Cover = &cover
	} else {
		out.RoughnessM = n.or(g.RoughnessM)
	}
	return out
}

// echoObstacles keeps "there are none" and "not known" apart.
func echoObstacles(in []shelter.Obstacle, n *memory) *[]openapi.Obstacle {
	if in == nil {
		return nil
	}
	out := make([]openapi.Obstacle, len(in))
	for i, o := range in {
		out[i] = openapi.Obstacle{Name: text(o.Name), BearingDeg: o.BearingDeg, DistanceM: o.DistanceM, HeightM: o.HeightM,
			WidthM: o.WidthM, Porosity: n.or(o.Porosity), GrowthMPerYear: n.or(o.GrowthMPerYear)}
	}
	return &out
}

func echoRelief(in []terrain.Relief, n *memory) []openapi.Relief {
	out := make([]openapi.Relief, len(in))
	for i, r := range in {
		out[i] = openapi.Relief{Shape: openapi.ReliefShape(r.Shape), HeightM: r.HeightM, HalfLengthM: r.HalfLengthM,
			FromDeg: n.or(r.FromDeg), ToDeg: n.or(r.ToDeg)}
	}
	return out
}

func echoLongTerm(l *assess.LongTerm, ref *RecordRef, n *memory) *openapi.LongTermInput {
	if l == nil || ref == nil {
		return nil
	}
	out := openapi.LongTermInput{Reference: *ref.input, Sectors: &l.Sectors, MaxShiftHours: n.or(l.MaxShiftS / 3600)}
	if l.Method != "" {
		method := openapi.LongTermInputMethod(l.Method)
		out.Method = &method
	}
	return &out
}

func echoWind(w *assess.Wind, refs Refs, n *memory) openapi.WindInput {
	out := openapi.WindInput{MeasuredHere: w.MeasuredHere, Rose: w.Rose, LongTerm: echoLongTerm(w.LongTerm, refs.Reference, n)}
	switch {
	case w.Record != nil && refs.Wind != nil:
		out.Record = refs.Wind.input
	case w.Mean != nil:
		out.Mean = &openapi.MeanInput{SpeedMS: w.Mean.SpeedMS, HeightM: w.Mean.HeightM, Shape: n.or(w.Mean.Shape)}
	case w.Weibull != nil:
		out.Weibull = &openapi.WeibullInput{ScaleMS: w.Weibull.ScaleMS, HeightM: w.Weibull.HeightM, Shape: w.Weibull.Shape}
	case w.Frequency != nil:
		f := openapi.FrequencyInput{HeightM: w.Frequency.HeightM, Bins: make([]openapi.FrequencyBin, len(w.Frequency.Bins))}
		for i, b := range w.Frequency.Bins {
			f.Bins[i] = openapi.FrequencyBin{FromMS: b.FromMS, ToMS: b.ToMS, Share: b.Share}
		}
		out.Frequency = &f
	}
	if w.MeasuredOver != nil {
		out.MeasuredOver = echoGround(*w.MeasuredOver, n)
	}
	return out
}

func echoTurbine(t *assess.Turbine, refs *Refs, n *memory) openapi.TurbineInput {
	if t.Kept != nil { // everything but the name comes with the curve
		return openapi.TurbineInput{Name: text(t.Name), Curve: &openapi.KeptCurve{ID: t.Kept.ID}}
	}
	regulation := openapi.TurbineInputRegulation(t.Regulation.String())
	out := openapi.TurbineInput{Name: text(t.Name), RatedPowerW: n.or(t.RatedPowerW), Regulation: &regulation}
	switch {
	case refs.design != nil:
		out.Design = refs.design
		return out
	case refs.testLog != nil:
		out.RotorDiameterM, out.TestLog = n.or(t.RotorDiameterM), refs.testLog
		return out
	}
	out.RotorDiameterM = n.or(t.RotorDiameterM)
	out.PowerCurve = &openapi.PowerCurve{AirDensityKgM3: n.or(t.CurveDensity), Points: make([][]float64, len(t.CurvePoints))}
	pairs := make([]float64, 2*len(t.CurvePoints))
	for i, p := range t.CurvePoints {
		pair := pairs[2*i : 2*i+2 : 2*i+2]
		pair[0], pair[1] = p.SpeedMS, p.PowerW
		out.PowerCurve.Points[i] = pair
	}
	return out
}

func echoMoney(m *assess.Money, n *memory) openapi.MoneyInput {
	out := openapi.MoneyInput{
		Currency:     text(m.Currency),
		TurbineCost:  m.TurbineCost,
		OtherCost:    n.or(m.OtherCost),
		YearlyCost:   n.or(m.YearlyCost),
		LifeYears:    years(m.LifeYears),
		DiscountRate: n.or(m.DiscountRate),
		PricePerKWh:  n.or(m.PricePerKWh),

		OutputDecline: n.or(m.OutputDecline),
		FeedInPerKWh:  n.or(m.FeedInPerKWh), SelfUsedShare: n.or(m.SelfUsedShare),
		MeasuringCost: n.or(m.MeasuringCost), PriceEscalation: n.or(m.PriceEscalation), FeedInEscalation: n.or(m.FeedInEscalation),
	}
	for _, r := range m.Replacements {
		out.Replacements = append(out.Replacements, openapi.Replacement{Year: r.Year, Cost: r.Cost, What: text(r.What)})
	}
	return out
}

func years(n int) *int {
	if n == 0 {
		return nil
	}
	return &n
}

func echoSolar(s *assess.Solar, n *memory) *openapi.SolarInput {
	out := openapi.SolarInput{
		CostPerKW:               n.or(s.CostPerKW),
		YearlyCostPerKW:         n.or(s.YearlyCostPerKW),
		LifeYears:               years(s.LifeYears),
		AzimuthDeg:              n.or(s.AzimuthDeg),
		Losses:                  n.or(s.Losses),
		OutputDecline:           n.or(s.OutputDecline),
		MonthlyIrradiationKWhM2: s.MonthlyIrradiationKWhM2,
		YearlyIrradiationKWhM2:  n.or(s.YearlyIrradiationKWhM2),
		YieldKWhPerKW:           n.or(s.YieldKWhPerKW),
	}
	if s.BestTilt || s.TiltDeg == s.TiltDeg {
		out.TiltDeg = &openapi.Tilt{Best: s.BestTilt}
		if !s.BestTilt {
			out.TiltDeg.Deg = s.TiltDeg
		}
	}
	return &out
}

package document

import (
	"fmt"

	"mastworth/openapi"
	"mastworth/yield/assess"
)

// FromEstimate is the answer on the wire, its figures to ten significant digits. A number that does not exist becomes null,
// and a warning beside it says why. refs is what ToRequest returned with the request; version names the program.
func FromEstimate(e *assess.Estimate, refs Refs, version string) openapi.Estimate {
	var n memory
	n.fit(e)
	return fromEstimate(e, refs, version, &n)
}

func fromEstimate(e *assess.Estimate, refs Refs, version string, n *memory) openapi.Estimate {
	out := openapi.Estimate{
		Request:        echo(&e.Request, refs, n),
		BestHubHeightM: n.or(e.BestHubHeightM),
		Heights:        make([]openapi.HeightEstimate, len(e.Heights)),
		Machine:        fromMachine(e.Machine, n),
		Profile:        fromProfile(&e.Profile, e.Request.Wind.Record, n),
		LongTerm:       fromLongTerm(e.LongTerm, &e.Request, n),
		ExtremeWind:    fromExtreme(e.ExtremeWind, n),

		ExtremeWindMissing: e.NoExtremeWind,
		WindHistogram:      fromSpeedBins(e.SpeedBins),
		Odds:               fromOdds(e.Odds, n),
		Decision:           fromDecision(e, n),
		Verdict:            fromVerdict(&e.Verdict),
		Warnings:           fromWarnings(e.Warnings, 1),
		Cautions:           make([]openapi.Caution, len(e.Cautions)),
		Provenance:         make([]openapi.Provenance, len(e.Provenance)),
		Seed:               int64(e.Seed & maxSeed),
		Version:            version,
	}
	priced := e.Request.Money.PricePerKWh == e.Request.Money.PricePerKWh
	if !priced {
		out.Warnings = append(out.Warnings, openapi.Warning{Code: "price_missing", Detail: "money.price_per_kwh is not given, so there " +
			"is no net present value and no payback time; add what you pay for a kWh now"})
	}
	for i := range e.Heights {
		out.Heights[i] = fromHeight(&e.Heights[i], priced, n)
	}
	for i, c := range e.Cautions {
		out.Cautions[i] = openapi.Caution(c)
	}
	for i, p := range e.Provenance {
		out.Provenance[i] = openapi.Provenance{What: p.What, Method: p.Method, Source: p.Source}
	}
	return out
}

func fromSpeedBins(b *assess.SpeedBins) *openapi.WindHistogram {
	if b == nil {
		return nil
	}
	return &openapi.WindHistogram{HubHeightM: b.HubHeightM, BinWidthMS: b.WidthMS, TimeShares: roundedAll(b.TimeShares), GrossKWh: roundedAll(b.GrossKWh),
		CalmShare: rounded(b.CalmShare)}
}

func fromVerdict(v *assess.Verdict) openapi.Verdict {
	out := openapi.Verdict{Answer: openapi.VerdictAnswer(v.Answer), Reasons: make([]openapi.Reason, len(v.Reasons))}
	for i, r := range v.Reasons {
		out.Reasons[i] = openapi.Reason(r)
	}
	return out
}

// fromWarnings leaves room for some more.
func fromWarnings(in []assess.Warning, more int) openapi.Warnings {
	out := make(openapi.Warnings, len(in), len(in)+more)
	for i, w := range in {
		out[i] = openapi.Warning(w)
	}
	return out
}

func fromHeight(h *assess.Height, priced bool, n *memory) openapi.HeightEstimate {
	out := openapi.HeightEstimate{
		HubHeightM:   h.HubHeightM,
		Surroundings: fromSurroundings(h.Surroundings, n),
		Siting:       fromSiting(h.Siting, n),
		Wind: openapi.HubWind{
			MeasuredAtM:     n.figure(h.Wind.MeasuredAtM),
			MeanSpeedMS:     n.figure(h.Wind.MeanSpeedMS),
			PowerDensityWM2: n.figure(h.Wind.PowerDensityWM2),
			AirDensityKgM3:  n.figure(h.Wind.AirDensityKgM3),
			HeightFactor:    n.figure(h.Wind.HeightFactor),
			Weibull:         fromFit(&h.Wind.Weibull, n),
			CalmShare:       n.figure(h.Wind.CalmShare),
		},
		Energy: fromEnergy(&h.Energy, n),
		Cost: openapi.TurbineCost{
			Capital:            n.figure(h.Cost.Capital),
			YearlyEquivalent:   n.figure(h.Cost.YearlyEquivalent),
			PerKWh:             n.figure(h.Cost.PerKWh),
			NPV:                n.figure(h.Cost.NPV),
			SimplePaybackYears: n.figure(h.Cost.SimplePaybackYears),
		},
		Solar: openapi.SolarArray{
			ArrayKW:       n.figure(h.Solar.ArrayKW),
			AnnualKWh:     n.figure(h.Solar.AnnualKWh),
			YieldKWhPerKW: n.figure(h.Solar.YieldKWhPerKW),
			TiltDeg:       n.figure(h.Solar.TiltDeg),
			AzimuthDeg:    n.figure(h.Solar.AzimuthDeg),
			PerKWh:        n.figure(h.Solar.PerKWh),
			MonthlyKWh:    n.all(h.Solar.MonthlyKWh),
			Basis:         openapi.SolarArrayBasis(h.Solar.Basis),
		},
		Odds:     fromHeightOdds(h.Odds, n),
		Warnings: fromWarnings(h.Warnings, 1),
	}
	if h.Wind.Sectors != nil {
		out.Wind.Sectors = make([]openapi.WindSector, len(h.Wind.Sectors))
		for i := range h.Wind.Sectors {
			out.Wind.Sectors[i] = fromSector(&h.Wind.Sectors[i], n)
		}
	}
	explainNulls(h, &out, priced)
	return out
}

// explainNulls adds a warning for every number that does not exist for a reason of its own.
func explainNulls(h *assess.Height, out *openapi.HeightEstimate, priced bool) {
	warn := func(code, format string, args ...any) {
		out.Warnings = append(out.Warnings, openapi.Warning{Code: code, Detail: fmt.Sprintf(format, args...)})
	}
	if out.Cost.PerKWh == nil {
		warn("no_energy", "the machine makes no energy here, so its kWh has no cost")
	}
	if priced && out.Cost.SimplePaybackYears == nil {
		warn("never_pays_back", "what the energy saves in a year does not cover the yearly cost: it never pays back")
	}
	for _, c := range []struct {
		value *float64
		what  string
	}{
		{out.Wind.MeanSpeedMS, "wind.mean_speed_m_s"}, {out.Wind.PowerDensityWM2, "wind.power_density_w_m2"},
		{out.Energy.GrossKWh, "energy.gross_kwh"}, {out.Energy.NetKWh, "energy.net_kwh"},
		{out.Energy.WeibullGrossKWh, "energy.weibull_gross_kwh"}, {out.Energy.CapacityFactor, "energy.capacity_factor"},
		{out.Cost.YearlyEquivalent, "cost.yearly_equivalent"}, {out.Solar.AnnualKWh, "solar.annual_kwh"},
		{out.Solar.PerKWh, "solar.per_kwh"},
	} {
		if c.value == nil {
			warn("not_computed", "%s has no value with these inputs", c.what)
		}
	}
}

func fromFit(f *assess.WeibullFit, n *memory) openapi.WeibullFit {
	return openapi.WeibullFit{Shape: n.figure(f.Shape), ScaleMS: n.figure(f.ScaleMS), Method: f.Method, ShapeSE: n.figure(f.ShapeSE),
		ScaleSEMS: n.figure(f.ScaleSEMS)}
}

func fromSector(s *assess.Sector, n *memory) openapi.WindSector {
	out := openapi.WindSector{FromDeg: s.FromDeg, ToDeg: s.ToDeg, Share: n.figure(s.Share), MeanSpeedMS: n.figure(s.MeanSpeedMS)}
	if s.Weibull != nil {
		fit := fromFit(s.Weibull, n)
		out.Weibull = &fit
	}
	return out
}

func fromEnergy(e *assess.Energy, n *memory) openapi.Energy {
	out := openapi.Energy{
		GrossKWh:        n.figure(e.GrossKWh),
		NetKWh:          n.figure(e.NetKWh),
		CapacityFactor:  n.figure(e.CapacityFactor),
		WeibullGrossKWh: n.figure(e.WeibullGrossKWh),
		Basis:           openapi.EnergyBasis(e.Basis),
		Losses:          make([]openapi.EnergyLoss, len(e.Losses)),
		MonthlyKWh:      n.all(e.MonthlyKWh),
	}
	for i, l := range e.Losses {
		out.Losses[i] = openapi.EnergyLoss{Name: l.Name, Share: l.Share, KWh: n.figure(l.KWh)}
	}
	return out
}

package document

import (
	"math"

	"mastworth/openapi"
	"mastworth/yield/assess"
	"mastworth/yield/spread"
)

// uncertain is one number of an uncertainty on the wire, and the domain's.
type uncertain struct {
	wire **float64
	v    *float64
}

// uncertainties pairs each number of an uncertainty on the wire with the domain's.
func uncertainties(in *openapi.UncertaintyInput, verdict *openapi.VerdictThresholds, u *assess.Uncertainty) [17]uncertain {
	return [...]uncertain{
		{&in.Measurement, &u.Measurement}, {&in.Place, &u.Place}, {&in.LongTerm, &u.LongTerm}, {&in.YearToYear, &u.YearToYear},
		{&in.Vertical, &u.Vertical}, {&in.Surroundings, &u.Surroundings}, {&in.PowerCurve, &u.PowerCurve}, {&in.Losses, &u.Losses},
		{&in.TurbineCost, &u.TurbineCost}, {&in.Upkeep, &u.Upkeep}, {&in.Price, &u.Price}, {&in.Solar, &u.Solar},
		{&in.SolarYearToYear, &u.SolarYearToYear}, {&in.SolarCost, &u.SolarCost}, {&verdict.WorthIt, &u.Verdict.WorthIt},
		{&verdict.NotWorthIt, &u.Verdict.NotWorthIt}, {&verdict.CannotSay, &u.Verdict.CannotSay},
	}
}

func toUncertainty(in *openapi.UncertaintyInput) assess.Uncertainty {
	u := assess.UnknownUncertainty()
	if in == nil {
		return u
	}
	if d := in.Draws; d != nil {
		if u.Draws = *d; u.Draws == 0 {
			u.Draws = assess.NoDraws
		}
	}
	own := *in
	verdict := openapi.VerdictThresholds{}
	if in.Verdict != nil {
		verdict = *in.Verdict
	}
	for _, p := range uncertainties(&own, &verdict, &u) {
		*p.v = value(*p.wire, nan)
	}
	return u
}

func echoUncertainty(u *assess.Uncertainty, n *memory) *openapi.UncertaintyInput {
	draws := max(0, u.Draws)
	out := openapi.UncertaintyInput{Draws: &draws, Verdict: new(openapi.VerdictThresholds)}
	own := *u
	for _, p := range uncertainties(&out, out.Verdict, &own) {
		*p.wire = n.or(*p.v)
	}
	return &out
}

func fromOdds(o *assess.Odds, n *memory) *openapi.Odds {
	if o == nil {
		return nil
	}
	out := openapi.Odds{
		Draws: o.Draws, Sources: make([]openapi.UncertaintySource, len(o.Sources)), Price: fromSpread(&o.Price, n), BeyondShare: n.figure(o.Beyond),
		SolarYear: fromPeriod(&o.Solar.Year, n), SolarLife: fromPeriod(&o.Solar.Life, n),
	}
	for i := range o.Sources {
		s := &o.Sources[i]
		source := openapi.UncertaintySource{
			Name: s.Name, Quantity: openapi.UncertaintySourceQuantity(s.Kind), Distribution: openapi.UncertaintySourceDistribution(s.Distribution),
			ByHeight: roundedAll(s.PerHeight), EveryYear: s.EveryYear, Origin: s.Origin,
		}
		if s.PerHeight == nil {
			source.StandardUncertainty = n.figure(s.Standard)
		}
		out.Sources[i] = source
	}
	return &out
}

func fromHeightOdds(o *assess.HeightOdds, n *memory) *openapi.HeightOdds {
	if o == nil {
		return nil
	}
	out := openapi.HeightOdds{
		Year: fromPeriod(&o.Year, n), Life: fromPeriod(&o.Life, n), NPV: fromSpread(&o.NPV, n),
		Cheapest: fromChance(o.Cheapest), BestValue: fromChance(o.BestValue), BelowSolar: fromChance(o.BelowSolar), BelowPrice: fromChance(o.BelowPrice),
		BelowBoth: fromChance(o.BelowBoth), Swings: make([]openapi.Swing, len(o.Swings)),
		LinearYear: n.figure(o.LinearYear), LinearLife: n.figure(o.LinearLife), Sensitivity: n.figure(o.Sensitivity),
	}
	for i := range o.Swings {
		s := &o.Swings[i]
		out.Swings[i] = openapi.Swing{Source: s.Source, Year: fromEnds(&s.Year, n), Life: fromEnds(&s.Life, n)}
	}
	return &out
}

func fromEnds(e *spread.Ends, n *memory) openapi.SwingEnds {
	return openapi.SwingEnds{EnergyBelowKWh: n.figure(e.EnergyBelow), EnergyAboveKWh: n.figure(e.EnergyAbove),
		CostBelowPerKWh: n.figure(e.CostBelow), CostAbovePerKWh: n.figure(e.CostAbove)}
}

func fromPeriod(p *spread.Period, n *memory) openapi.PeriodSpread {
	return openapi.PeriodSpread{EnergyKWh: fromSpread(&p.Energy, n), CapacityFactor: fromSpread(&p.CapacityFactor, n), CostPerKWh: fromSpread(&p.CostPerKWh, n)}
}

// fromSpread is nil for what is not known.
func fromSpread(s *spread.Spread, n *memory) *openapi.Spread {
	if math.IsNaN(s.P50.Value) {
		return nil
	}
	out := openapi.Spread{
		Central: n.figure(s.Central), P50: n.figure(s.P50.Value), P75: n.figure(s.P75.Value), P90: n.figure(s.P90.Value),
		P95: n.figure(s.P95.Value), P99: n.figure(s.P99.Value), Mean: n.figure(s.Mean.Value), SD: n.figure(s.SD.Value),
		SamplingError: openapi.SamplingErrors{
			P50: n.figure(s.P50.SamplingError), P75: n.figure(s.P75.SamplingError), P90: n.figure(s.P90.SamplingError),
			P95: n.figure(s.P95.SamplingError), P99: n.figure(s.P99.SamplingError), Mean: n.figure(s.Mean.SamplingError), SD: n.figure(s.SD.SamplingError),
		},
		Symmetric95: openapi.CoverageInterval{Low: n.figure(s.Symmetric.Low), High: n.figure(s.Symmetric.High)},
		Shortest95:  openapi.CoverageInterval{Low: n.figure(s.Shortest.Low), High: n.figure(s.Shortest.High)},

		Contributions: make([]openapi.Contribution, 0, len(s.Contributions)), TogetherShare: n.figure(s.Together),
	}
	for _, c := range s.Contributions {
		if c.Share > 0 {
			out.Contributions = append(out.Contributions, openapi.Contribution{Source: c.Source, Share: rounded(c.Share)})
		}
	}
	return &out
}

// fromChance is nil where there is nothing to compare with.
func fromChance(o spread.Odds) *openapi.Chance {
	if math.IsNaN(o.Share) {
		return nil
	}
	return &openapi.Chance{Share: rounded(o.Share), SamplingError: rounded(o.SamplingError)}
}

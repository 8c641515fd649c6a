package document

import (
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/resource/terrain"
	"mastworth/yield/assess"
)

func fromSurroundings(s *assess.Surroundings, n *memory) *openapi.Surroundings {
	if s == nil {
		return nil
	}
	out := openapi.Surroundings{
		ObstacleLossShare: n.figure(s.ObstacleLossShare), ReliefGainShare: n.figure(s.ReliefGainShare), InMeasuredWind: s.InMeasuredWind,
		SpeedLowMS: n.figure(s.SpeedLowMS), SpeedHighMS: n.figure(s.SpeedHighMS), AddedTurbulence: n.figure(s.AddedTurbulence),
		Directions: make([]openapi.DirectionEffects, len(s.Directions)),
	}
	for d, e := range s.Directions {
		out.Directions[d] = openapi.DirectionEffects{
			DirectionDeg: float64(d) * 360 / terrain.DirectionCount,
			GroundFactor: n.figure(e.Ground), ObstacleFactor: n.figure(e.Obstacle), ReliefFactor: n.figure(e.Relief),
			AddedTurbulence: n.figure(e.AddedTurbulence),
		}
	}
	return &out
}

func fromSiting(in []assess.Siting, n *memory) []openapi.SitingRule {
	out := make([]openapi.SitingRule, len(in))
	for i, s := range in {
		out[i] = openapi.SitingRule{Rule: s.Rule, Words: s.Words, Source: s.Source, Broken: s.Broken, By: append([]string{}, s.By...),
			LowestHubM: n.figure(s.LowestHubM)}
	}
	return out
}

func fromProfile(p *assess.Profile, rec *assess.Record, n *memory) openapi.WindProfile {
	out := openapi.WindProfile{
		Method: openapi.WindProfileMethod(p.Method), Exponent: n.figure(p.Exponent), StandardError: n.figure(p.StandardError),
		RoughnessM: n.figure(p.RoughnessM), LowM: n.figure(p.LowM), HighM: n.figure(p.HighM), Pairs: int64(p.Pairs),
		Checks: []openapi.ShearCheck{},
	}
	for _, s := range p.Sectors {
		out.Sectors = append(out.Sectors, openapi.SectorShear{FromDeg: s.FromDeg, ToDeg: s.ToDeg, Night: fromShear(s.Night, n), Day: fromShear(s.Day, n)})
	}
	for _, m := range p.Months {
		out.Months = append(out.Months, openapi.MonthShear{Night: fromShear(m.Night, n), Day: fromShear(m.Day, n)})
	}
	if len(p.Checks) > 0 {
		out.Checks = fromShearChecks(p.Checks, rec.Series, n)
	}
	return out
}

func fromShear(c resource.ShearClass, n *memory) openapi.ShearClass {
	return openapi.ShearClass{Exponent: n.figure(c.Exponent), StandardError: n.figure(c.StandardError), RoughnessM: n.figure(c.RoughnessM),
		N: int64(c.N), Source: c.Source}
}

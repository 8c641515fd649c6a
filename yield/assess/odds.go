package assess

import (
	"errors"
	"math"

	"mastworth/yield"
	"mastworth/yield/spread"
)

// maxDrawsTimesTowers bounds what one request may ask of the machine it runs on.
const maxDrawsTimesTowers = 400_000

// energyNodes is at how many factors on the wind speed the energy is worked out for the odds.
const energyNodes = 34

// Odds are what the draws say, for the whole request.
type Odds struct {
	Draws   int // that were made
	Seed    uint64
	Sources []Doubt
	Solar   struct{ Year, Life spread.Period }
	Price   spread.Spread
	Beyond  float64 // share of draws whose wind is outside what the energy was worked out for
	// Sensitivity and linear standard uncertainties are by height, in HeightOdds.
}

// HeightOdds are what the draws say of one tower.
type HeightOdds struct {
	spread.Height
	BelowBoth spread.Odds // that its kWh is the cheapest of wind, array and bought; NaN with neither to compare
}

// drawOdds sends every source of uncertainty through energy and money, and puts what comes out into heights.
func (a *assessment) drawOdds(heights []Height) (*Odds, error) {
	r := &a.r
	if r.Uncertainty.Draws == NoDraws {
		return nil, nil
	}
	sources := a.doubts(heights)
	m := spread.Model{
		Solar: spread.Solar{PerKWh: heights[0].Solar.PerKWh, AnnualKWh: heights[max(best(heights), 0)].Solar.AnnualKWh, LifeYears: r.Solar.LifeYears},
		Price: r.Money.worthPerKWh(), LifeYears: r.Money.LifeYears, Rate: r.Money.DiscountRate,
		Decline: r.Money.OutputDecline,
	}
	for i := range heights {
		h, err := a.heightModel(&heights[i], i)
		if err != nil {
			return nil, err
		}
		m.Heights = append(m.Heights, h)
	}
	drawn := make([]spread.Source, len(sources))
	for i := range sources {
		drawn[i] = sources[i].Source
	}
	result, err := spread.Draw(m, drawn, spread.Options{Draws: r.Uncertainty.Draws, Seed: r.Seed, Keep: true})
	if err != nil {
		return nil, oddsError(err)
	}
	for i := range heights {
		heights[i].Odds = &HeightOdds{result.Heights[i], belowBoth(result.Joint, i, result.Blocks)}
	}
	a.warnings = append(a.warnings, result.Warnings...)
	a.sources = append(a.sources, Provenance{"odds", "quasi-random draws of every source through energy and money, all heights in the same draw",
		"JCGM 101:2008; direction numbers of Joe & Kuo 2008"})
	out := &Odds{Draws: result.Draws, Seed: result.Seed, Sources: sources, Price: result.Price, Beyond: result.Beyond}
	out.Solar.Year, out.Solar.Life = result.Solar.Year, result.Solar.Life
	return out, nil
}

// heightModel is one tower for the draws: its energy in a stronger or weaker wind, from the same calculation as the estimate's.
func (a *assessment) heightModel(h *Height, i int) (spread.HeightModel, error) {
	r := &a.r
	table, err := a.energyTable(h, i)
	if err != nil {
		return spread.HeightModel{}, err
	}
	net, _ := r.Losses.Apply(1)
	plan := r.Money.plan(r.Towers[i].Cost)
	capital, replacements := plan.YearlyParts()
	return spread.HeightModel{
		Energy: table, NetShare: net, RatedKW: r.Turbine.RatedPowerW / 1000,
		CapitalPerYear: capital, ReplacementsPerYear: replacements, UpkeepPerYear: r.Money.YearlyCost,
	}, nil
}

// energyTable is the gross energy of a tower in a stronger or weaker wind, made once.
func (a *assessment) energyTable(h *Height, i int) (*spread.EnergyTable, error) {
	if a.tables == nil {
		a.tables = make([]*spread.EnergyTable, len(a.hubs))
	}
	if t := a.tables[i]; t != nil {
		return t, nil
	}
	at := &a.hubs[i]
	// The piled-up speeds are a millionth off; the table meets the estimate itself.
	exact := 1.0
	if near := yield.AnnualKWh(at.power.meanPowerAt(at.curve, 1)); near > 0 {
		exact = h.Energy.GrossKWh / near
	}
	table, err := spread.Tabulate(func(m float64) float64 {
		return exact * yield.AnnualKWh(at.power.meanPowerAt(at.curve, m))
	}, spread.Multipliers(energyNodes))
	if err != nil {
		return nil, oddsError(err)
	}
	a.tables[i] = table
	return table, nil
}

// belowBoth counts the draws in which a tower's kWh is cheaper than whatever there is to compare it with. Its sampling error is
// from the scatter between the nets.
func belowBoth(j *spread.Joint, height, blocks int) spread.Odds {
	cost := j.CostPerKWh[height]
	size := len(cost) / blocks
	shares := make([]float64, blocks)
	for b := range shares {
		n, compared := 0, false
		for i := b * size; i < (b+1)*size; i++ {
			other := math.Inf(1)
			if s := j.SolarPerKWh[i]; s == s {
				other, compared = s, true
			}
			if p := j.Price[i]; p == p {
				other, compared = math.Min(other, p), true
			}
			if cost[i] < other {
				n++
			}
		}
		if !compared {
			return spread.Odds{Share: nan, SamplingError: nan}
		}
		shares[b] = float64(n) / float64(size)
	}
	return spread.OddsOf(shares)
}

// oddsError is a fault the draws found, at its place in the request.
func oddsError(err error) error {
	var fault *spread.Fault
	if errors.As(err, &fault) {
		return invalid("uncertainty."+fault.Field, "%s", fault.Error())
	}
	return invalid("uncertainty", "%s", err)
}

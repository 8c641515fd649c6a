package spread

import (
	"fmt"
	"math"
)

const (
	// MinDraws and MaxDraws bound the draws asked for.
	MinDraws, MaxDraws = 100, 1_000_000
	// MaxHeights bounds the heights of a model.
	MaxHeights   = 64
	maxLifeYears = 100
	// maxWorlds bounds draws times heights, and so the memory: about 300 MB.
	maxWorlds = 8_000_000
	// leastBlocks is the least number of independent nets, from whose scatter the sampling errors come.
	leastBlocks = 8
)

// HeightModel is the machine on one tower.
type HeightModel struct {
	Energy   *EnergyTable // a year's energy, kWh, by a factor on every wind speed
	NetShare float64      // what the losses leave of it, above 0 to 1; 1 where the table is net already
	RatedKW  float64      // for the capacity factor; NaN where it is not known
	// CapitalPerYear, ReplacementsPerYear and UpkeepPerYear are even yearly payments over the life, as of the engineering-
	// economics tables: capital times the capital recovery factor, replacements likewise, and the yearly cost.
	CapitalPerYear, ReplacementsPerYear, UpkeepPerYear float64
}

// Solar is the array beside the machine.
type Solar struct {
	PerKWh    float64 // cost of a kWh over its life; NaN for no array
	AnnualKWh float64 // a year's energy of the array; NaN where it is not known
	LifeYears int     // over which its years are averaged; 0 for the machine's life
}

// Model is what the draws go through.
type Model struct {
	Heights   []HeightModel
	Solar     Solar
	Price     float64 // of a bought kWh; NaN where it is not known
	LifeYears int
	Rate      float64 // real discount rate a year, a share above −1
	Decline   float64 // share of its output the machine loses from each year to the next, from 0 to below 1
}

// Options are how to draw.
type Options struct {
	// Draws is the least number of draws, from MinDraws to MaxDraws. It is rounded up to whole nets of a power of two of
	// points, by less than an eighth from 1000 draws on.
	Draws int
	Seed  uint64 // any number; the same seed gives the same answer
	// Workers is how many goroutines draw; 0 for as many as there are processors. It does not change the answer.
	Workers int
	// Keep keeps the draws themselves in the result's Joint, 8 bytes a number.
	Keep bool
}

// validate returns the first fault of model, sources and options.
func validate(m *Model, sources []Source, o *Options) error {
	if o.Draws < MinDraws || o.Draws > MaxDraws {
		return faultf("", "draws", "must be from %d to %d, not %d", MinDraws, MaxDraws, o.Draws)
	}
	if err := m.validate(); err != nil {
		return err
	}
	if len(sources) > MaxSources {
		return faultf("", "sources", "there are %d sources of uncertainty; at most %d are drawn, so put small ones together", len(sources), MaxSources)
	}
	if n := o.Draws * len(m.Heights); n > maxWorlds {
		return faultf("", "draws", "%d draws at %d heights are more than fit; their product may be at most %d", o.Draws, len(m.Heights), maxWorlds)
	}
	seen := make(map[string]bool, len(sources))
	for i := range sources {
		s := &sources[i]
		if err := s.validate(len(m.Heights)); err != nil {
			return err
		}
		if seen[s.Name] {
			return faultf(s.Name, "name", "is there twice; give each source its own name")
		}
		seen[s.Name] = true
	}
	return nil
}

func (m *Model) validate() error {
	finite := func(v float64) bool { return v >= 0 && !math.IsInf(v, 1) }
	known := func(v float64) bool { return math.IsNaN(v) || finite(v) }
	switch {
	case m.LifeYears < 1 || m.LifeYears > maxLifeYears:
		return faultf("", "life_years", "a horizon must be from 1 to %d years, not %d", maxLifeYears, m.LifeYears)
	case m.Solar.LifeYears < 0 || m.Solar.LifeYears > maxLifeYears:
		return faultf("", "solar.life_years", "must be from 1 to %d years, or 0 for the machine's life, not %d", maxLifeYears, m.Solar.LifeYears)
	case !(m.Rate > -1 && m.Rate <= 1):
		return faultf("", "rate", "the discount rate must be a share above -1 to 1, not %g", m.Rate)
	case !(m.Decline >= 0 && m.Decline < 1):
		return faultf("", "decline", "must be a share from 0 to below 1, not %g", m.Decline)
	case !known(m.Price):
		return faultf("", "price", "must be a number from 0, not %g", m.Price)
	case !known(m.Solar.PerKWh) || !known(m.Solar.AnnualKWh):
		return faultf("", "solar", "the cost of a kWh and the energy must be numbers from 0, not %g and %g", m.Solar.PerKWh, m.Solar.AnnualKWh)
	case len(m.Heights) < 1 || len(m.Heights) > MaxHeights:
		return faultf("", "heights", "there must be from 1 to %d heights, not %d", MaxHeights, len(m.Heights))
	}
	for i := range m.Heights {
		h := &m.Heights[i]
		at := fmt.Sprintf("heights[%d].", i)
		switch {
		case h.Energy == nil:
			return faultf("", at+"energy", "has no table of energy; make one with NewEnergyTable")
		case !(h.NetShare > 0 && h.NetShare <= 1):
			return faultf("", at+"net_share", "what losses leave must be a share above 0 to 1, not %g", h.NetShare)
		case !math.IsNaN(h.RatedKW) && !(h.RatedKW > 0 && finite(h.RatedKW)):
			return faultf("", at+"rated_kw", "must be above 0 kW, not %g", h.RatedKW)
		case !finite(h.CapitalPerYear) || !finite(h.ReplacementsPerYear) || !finite(h.UpkeepPerYear):
			return faultf("", at+"costs", "must be numbers from 0, not %g, %g and %g", h.CapitalPerYear, h.ReplacementsPerYear, h.UpkeepPerYear)
		}
	}
	return nil
}

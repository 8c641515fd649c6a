package spread

import "mastworth/resource"

// Level is a value with the standard error that comes from drawing a limited number of times.
type Level struct{ Value, SamplingError float64 }

// Interval is a coverage interval: the output lies within it with its coverage probability.
type Interval struct{ Low, High float64 }

// CoverageProbability is that of a Spread's intervals.
const CoverageProbability = 0.95

// Contribution is the share of an output's variance that one source brings by itself.
type Contribution struct {
	Source string
	Share  float64
}

// Spread is the distribution of an output quantity. Everything is NaN where the output is not known.
//
// For energy, capacity factor and net present value P90 is what is exceeded with 90 %; for a cost it is what is not exceeded
// with 90 %: further down the list is always the less pleasant side. Costs are +Inf where draws make no energy; then Mean, SD and
// the shares are NaN.
type Spread struct {
	Central                 float64 // with every source at its centre; the distribution's middle may lie elsewhere
	P50, P75, P90, P95, P99 Level
	Mean, SD                Level    // expectation and standard uncertainty
	Symmetric, Shortest     Interval // 95 %: as much below as above, and the narrowest
	// Contributions are first-order shares of the variance (Sobol' 1993), source by source in their order, by projection onto
	// polynomials of up to the third degree on the same draws. A source that does not touch the output has 0.
	Contributions []Contribution
	// Together is what the shares leave to 1: sources that act through one another, and noise of about three in the number
	// of draws a source.
	Together float64
}

// Period is what a length of time brings.
type Period struct {
	Energy         Spread // net, kWh a year
	CapacityFactor Spread // share of the rated power; NaN where that is not known
	CostPerKWh     Spread
}

// Odds are a probability and its standard error from drawing. NaN where there is nothing to compare with.
type Odds struct{ Share, SamplingError float64 }

// Swing is what one source alone does, a standard uncertainty below and above its centre, the others at theirs. In the life, a
// source drawn every year counts with the standard uncertainty of its mean, divided by the root of the years.
type Swing struct {
	Source     string
	Year, Life Ends
}

// Ends are an output's values with a source below and above.
type Ends struct {
	EnergyBelow, EnergyAbove float64 // kWh a year
	CostBelow, CostAbove     float64 // cost per kWh
}

// Height is the answer for one tower.
type Height struct {
	Year, Life Period
	NPV        Spread // net present value over the life; NaN without a price
	Cheapest   Odds   // that this height makes the cheapest kWh over the life; of equals, the first in the list has it
	BestValue  Odds   // that this height has the highest net present value
	BelowSolar Odds   // that its kWh is cheaper than the array's over their lives
	BelowPrice Odds   // that its kWh is cheaper than a bought one: that the net present value is above 0
	Swings     []Swing
	// LinearYear and LinearLife are the energy's relative standard uncertainty by the law of propagation (JCGM 100), for
	// comparison: the root of the sum of squares, wind speeds weighted with Sensitivity, d ln E/d ln v at the centre.
	LinearYear, LinearLife, Sensitivity float64
}

// Result is what the draws say.
type Result struct {
	Seed    uint64
	Draws   int // that were made: Blocks nets of equal size
	Blocks  int
	Heights []Height
	Solar   struct{ Year, Life Period } // the array; capacity factors are not known
	Price   Spread
	// Beyond is the share of factors on the wind speed that fell outside the energy tables, Clipped that of factors of any
	// source that were drawn up to 0.
	Beyond, Clipped float64
	Warnings        []resource.Warning
	Joint           *Joint // where the options keep the draws
}

// Joint are the draws themselves, in their order, over the life: index them together for anything else that depends on the
// same world.
type Joint struct {
	EnergyKWh, CostPerKWh, NPV [][]float64 // height, draw
	SolarPerKWh, Price         []float64   // draw
	Scores                     [][]float64 // source, draw: standard scores; of sources drawn every year, those of the first year
}

// OddsOf are the odds that shares counted in independent nets give together, with their standard error.
func OddsOf(shares []float64) Odds {
	mean, _ := moments(shares)
	return Odds{mean, scatter(shares)}
}

package assess

import (
	"mastworth/yield/cost"
	"mastworth/yield/household"
)

// Decision is what helps to decide, beside the verdict.
type Decision struct {
	BestValueHubM float64 // the height with the highest net present value; NaN without a price or energy
	Steps         []TowerStep
	Clear         []ClearHeight
	Split         *Split
	Cash          *cost.Flow // of the best height; nil without a price
}

// TowerStep is what one tower adds to the next lower one.
type TowerStep struct {
	HubHeightM     float64
	ExtraCost      float64 // a year, over the next lower tower; NaN of the lowest
	ExtraKWh       float64 // net, a year
	MarginalPerKWh float64 // NaN of the lowest and where there is no more energy
	Dominated      bool    // another tower makes as much for less
	OnFrontier     bool    // no mixture of two other towers makes as much for less
}

// ClearHeight is the first tower that clears a siting rule; HubHeightM is NaN where none does.
type ClearHeight struct {
	Rule       string
	HubHeightM float64
}

// Split is a year's money of the best height, split between wind and solar.
type Split struct {
	BudgetPerYear float64
	Towers        []float64 // hub heights of the machines offered, m, by the index of a row's Wind, here and in AnySize
	// The embedded table buys whole machines, one at most. Its rows tell of months only where they are known, else they are NaN
	// and there is no most even row, with the warning months_unknown.
	household.SplitTable
	// AnySize is the same as if machines came in all sizes at the price a kWh of the cheapest: what shares a smaller or larger
	// machine would be for.
	AnySize household.SplitTable
	// Complement compares the months of the best height's machine with those of the array; nil where either are not known.
	Complement *household.Complement
	Home       *Home // nil where no household is described, or it cannot be followed, which a warning says
}

// Home is the household as it was followed. Results are sums over the steps followed, and their Yearly those of a year.
type Home struct {
	YearlyKWh  float64
	LoadSource string // how the load's shape came about
	StepS      int64
	Steps      int // in which load, wind and sun are all known
	// BatteryPerYear is what the battery costs a year; it is not in the budget.
	BatteryPerYear float64
	// Wind is the home with the best height's machine alone, Solar with its equal-cost array alone.
	Wind, Solar household.Result
	// Mixed is the home with what the row MixedRow buys: of the rows with machine and array both, the one whose kWh used at home
	// costs least. Nil and −1 where no tower leaves money for an array.
	Mixed    *household.Result
	MixedRow int
}

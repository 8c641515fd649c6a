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
	Towers        []float64 // hub heights of the machines offered, m, by the index of a row's Wind
	household.SplitTable
	Complement household.Complement
	Home       *Home // nil where the data are not hourly or no household is described
}

// Home is the household as it was followed.
type Home struct {
	YearlyKWh  float64
	LoadSource string // how the load's shape came about
	// Best is the best height's machine alone with its equal-cost array left out, hour by hour; Solar the array alone.
	Wind, Solar household.Result
}

package assess

import (
	"mastworth/yield/cost"
	"mastworth/yield/decide"
	"mastworth/yield/household"
)

// Decision is what helps to decide, beside the verdict.
type Decision struct {
	BestValueHubM float64     // the height with the highest net present value; NaN without a price or energy
	Steps         []TowerStep // the towers by rising height
	Clear         []ClearHeight
	BreakEvens    []BreakEven // nil where no odds are drawn
	Measuring     *Measuring  // nil where no odds are drawn, or there is nothing to compare with
	NextStep      *NextStep   // nil where no odds are drawn, unless there is too little to go on for a verdict
	Split         *Split
	Cash          *cost.Flow // of the best height; nil without a price
	SolarCash     *cost.Flow // of its equal-cost array; nil without a price
}

// decide fills in the decision about the tower at b; below 0 none makes energy, and there is little to decide.
func (a *assessment) decide(heights []Height, b int, odds *Odds, verdict Answer) (Decision, error) {
	var d Decision
	if err := a.climb(heights, &d); err != nil {
		return d, err
	}
	if err := a.money(heights, b, &d); err != nil || b < 0 {
		return d, err
	}
	if odds == nil { // the quickest answer is asked for
		step, err := a.nextStep(nil, &heights[b], verdict)
		d.NextStep = step
		return d, err
	}
	var err error
	if d.BreakEvens, err = a.breakEvens(heights, b); err != nil {
		return d, err
	}
	if d.Measuring, err = a.measuring(heights, b, odds); err != nil {
		return d, err
	}
	d.NextStep, err = a.nextStep(d.Measuring, &heights[b], verdict)
	return d, err
}

// TowerStep is what one tower adds to the next lower one.
type TowerStep struct {
	HubHeightM     float64
	ExtraCost      float64 // a year, over the next lower tower; NaN of the lowest
	ExtraKWh       float64 // net, a year, evenly over the life
	MarginalPerKWh float64 // NaN of the lowest and where there is no more energy
	Dominated      bool    // another tower makes as much for less
	OnFrontier     bool    // no mixture of two other towers makes as much for less
}

// ClearHeight is the first tower that clears a siting rule; HubHeightM is NaN where none does.
type ClearHeight struct {
	Rule       string
	HubHeightM float64
	LowestHubM float64 // that would clear it
}

// Rival is what wind's kWh is compared with.
type Rival string

// The rivals.
const (
	RivalSolar Rival = "solar" // a kWh of the array
	RivalPrice Rival = "price" // what a kWh is worth by the prices given
)

// BreakEven is how large one number would have to be, all others as they are, for the best height's kWh to cost as much as a
// rival's. Numbers that are not known are NaN.
type BreakEven struct {
	Name, Unit      string
	Rival           Rival
	Now             float64
	Lowest, Highest float64 // within reason: where it was looked for
	Cheaper         bool    // whether wind's kWh is the cheaper now
	Value           float64 // where that turns; NaN where nothing within reason turns it
	Words           string
}

// Measuring is what measuring on before the decision would be worth. Money is at present value.
type Measuring struct {
	decide.Measured
	SpeedSD float64 // relative standard uncertainty of the long-run wind at the best height's hub
	Rule    string  // how the campaigns are seen
}

// NextStep is what to do next.
type NextStep struct {
	Code   string
	Months int // of measuring; else 0
	Words  string
}

// Split is a year's money of the best height, split between wind and solar.
type Split struct {
	BudgetPerYear float64
	Towers        []float64 // hub heights of the machines offered, m, by the index of a row's Wind, here and in AnySize
	// The embedded table buys whole machines, one at most. Where months are not known its rows tell of no evenness, and
	// there is no most even row, with the warning months_unknown.
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

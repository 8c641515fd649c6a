package household

import (
	"fmt"
	"math"
)

// Offer is something that turns a yearly cost into energy: one whole wind machine on one tower, or one kilowatt of array.
type Offer struct {
	Name       string
	YearlyCost float64     // even yearly cost over the life, capital and upkeep together, above 0
	MonthlyKWh [12]float64 // what it makes at the meter, January first
	// PowerW is what it makes in each step of Options.Home, W; nil where only months are known. It should add up to the
	// months: what the split counts as energy is MonthlyKWh, what it counts as met or spilled is PowerW.
	PowerW []float64
	// EvenShare is the even yearly energy over the life, discounted as the cost is, as a share of MonthlyKWh, which is the
	// first year's: below 1 for what makes less from year to year. Costs per kWh are counted by it. 0 stands for 1.
	EvenShare float64
}

// evenOf is the even yearly energy of a first year's.
func (o *Offer) evenOf(yearlyKWh float64) float64 {
	if o.EvenShare == 0 {
		return yearlyKWh
	}
	return o.EvenShare * yearlyKWh
}

// YearlyKWh is the sum of the months.
func (o *Offer) YearlyKWh() float64 {
	sum := 0.0
	for _, v := range o.MonthlyKWh {
		sum += v
	}
	return sum
}

func (o *Offer) validate(steps int) *Fault {
	if !(o.YearlyCost > 0) || math.IsInf(o.YearlyCost, 1) {
		return fault("yearly_cost", "must be a number above 0, not %g", o.YearlyCost)
	}
	if !(o.EvenShare >= 0) || math.IsInf(o.EvenShare, 1) {
		return fault("even_share", "must be a number above 0, or 0 for a whole one, not %g", o.EvenShare)
	}
	for m, v := range o.MonthlyKWh {
		if !(v >= 0) || math.IsInf(v, 1) {
			return fault(fmt.Sprintf("monthly_kwh[%d]", m), "must be a number from 0, not %g", v)
		}
	}
	if steps > 0 && len(o.PowerW) != steps {
		return fault("power_w", "has %d steps where the load has %d", len(o.PowerW), steps)
	}
	return nil
}

// Options are how a budget is split.
type Options struct {
	// Shares are the shares of the budget set aside for wind, 0 to 1 each; nil for 21 from 0 to 1.
	Shares []float64
	// Fraction lets wind be bought by the fraction: the offer with the cheapest kWh, as much of it as the money buys, as if
	// machines came in all sizes at one price a kWh. The zero value buys whole machines alone: of those that the share can
	// pay, the one that makes most, and the money that is left goes to the array.
	Fraction bool
	// MaxMachines is the most whole machines that are bought, all alike; 0 stands for 1, a backyard's.
	MaxMachines int
	// Home has the load, its months and its step, and no wind or solar of its own; nil where there are no hourly data.
	Home    *Input
	Battery Battery
	// BatteryYearlyCost is what the battery costs a year. It is paid beside the budget, whatever the split.
	BatteryYearlyCost float64
}

func (o *Options) validate(budget float64, wind []Offer, solar *Offer) error {
	if !(budget > 0) || math.IsInf(budget, 1) {
		return fault("budget_per_year", "must be a number above 0, not %g", budget)
	}
	if len(wind) == 0 && solar == nil {
		return fault("wind", "there is neither a wind machine nor an array to buy")
	}
	steps := 0
	if o.Home != nil {
		steps = len(o.Home.LoadW)
		if o.Home.WindW != nil || o.Home.SolarW != nil {
			return fault("home", "must have no wind or solar power of its own; they come with the offers")
		}
	}
	for i := range wind {
		if f := wind[i].validate(steps); f != nil {
			return f.in(fmt.Sprintf("wind[%d]", i))
		}
	}
	if solar != nil {
		if f := solar.validate(steps); f != nil {
			return f.in("solar")
		}
	}
	for i, s := range o.Shares {
		if !(s >= 0 && s <= 1) {
			return fault(fmt.Sprintf("shares[%d]", i), "must be a share from 0 to 1, not %g", s)
		}
	}
	if o.MaxMachines < 0 {
		return fault("max_machines", "must be 0 or more, not %d", o.MaxMachines)
	}
	if !(o.BatteryYearlyCost >= 0) || math.IsInf(o.BatteryYearlyCost, 1) {
		return fault("battery_yearly_cost", "must be a number from 0, not %g", o.BatteryYearlyCost)
	}
	return o.Battery.Validate()
}

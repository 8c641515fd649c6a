package household

import "math"

// BatteryRule names how the battery is run, for an estimate's provenance.
const BatteryRule = "greedy: what the home does not need now charges the battery, what it lacks now is taken from it; no " +
	"forecast, no charging from the grid, all losses on the way in"

// Battery is a store that is filled by what is left over and emptied by what is missing, as soon as either is there
// (greedy). It never charges from the grid and never waits for a dearer hour. No ageing, no standing loss, no loss
// between a load's and a battery's socket but in Efficiency.
type Battery struct {
	// CapacityKWh is what a full battery gives back, kWh (usable, not nominal). 0 for no battery.
	CapacityKWh float64
	// PowerKW is the most it takes or gives at its socket, kW, above 0; +Inf for no limit.
	PowerKW float64
	// Efficiency is the share of what goes in that comes out again, above 0 to 1. All of the loss is counted on the way
	// in, so that CapacityKWh can be drawn in full.
	Efficiency float64
	// StartShare is how full it is at the first step, 0 to 1.
	StartShare float64
}

// Validate returns the first thing that cannot be as a *Fault, or nil. Without capacity the rest is not read.
func (b Battery) Validate() error {
	switch {
	case !(b.CapacityKWh >= 0) || math.IsInf(b.CapacityKWh, 1):
		return fault("battery.capacity_kwh", "must be a number from 0, not %g", b.CapacityKWh)
	case b.CapacityKWh == 0:
		return nil
	case !(b.PowerKW > 0):
		return fault("battery.power_kw", "must be above 0, not %g", b.PowerKW)
	case !(b.Efficiency > 0 && b.Efficiency <= 1):
		return fault("battery.efficiency", "must be a share above 0 to 1, not %g; 90 %% is 0.9", b.Efficiency)
	case !(b.StartShare >= 0 && b.StartShare <= 1):
		return fault("battery.start_share", "must be a share from 0 to 1, not %g", b.StartShare)
	}
	return nil
}

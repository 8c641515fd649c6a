package resource

import "slices"

// Rule is one test of screening.
type Rule struct {
	Name   string  // stable, in snake_case
	Doc    string  // what it looks for, in a sentence
	Flag   Flag    // what the values it finds carry; 0: it only reports
	Limits []Limit // what can be tuned, in a fixed order

	channel func(x *screening, channel int) // looks at one channel
	record  func(x *screening)              // looks at the record as a whole
}

// rules is the whole of screening, in order: first those that flag, then those that only report, which see what is left.
// A new rule needs a line here, and a flag of its own where it flags. Range comes first: see ScreenOptions.plan.
var rules = [...]Rule{
	{Name: "range", Doc: "a value outside what its quantity can physically be",
		Flag: FlagRange, Limits: rangeLimits, channel: findRange},
	{Name: "spike", Doc: "up to three values that jump away from both neighbours and back, further than air does",
		Flag: FlagSpike, Limits: spikeLimits, channel: findSpike},
	{Name: "flat_line", Doc: "a speed or direction that stands still, to the digit, for longer than wind does in this record",
		Flag: FlagFlat, Limits: flatLimits, channel: findFlat},
	{Name: "icing", Doc: "a cup anemometer standing still in frost, its vane standing still as well",
		Flag: FlagIcing, Limits: icingLimits, channel: findIcing},
	{Name: "mast_shadow", Doc: "directions from which a speed sensor reads less than its neighbour at about the same height: the mast is in the way",
		Flag: FlagShadow, Limits: shadowLimits, record: findShadow},
	{Name: "missing_stamps", Doc: "stamps that are absent from the time axis, or that do not come after the one before",
		Limits: gapLimits, record: findGaps},
	{Name: "clock_shift", Doc: "a moment at which the daily pattern jumps, as when a clock is set anew or follows summer time",
		Limits: clockLimits, record: findClockShift},
	{Name: "swapped_channels", Doc: "channels that seem to stand in each other's place, or to have the wrong sign",
		Limits: swapLimits, record: findSwapped},
	{Name: "sensor_drift", Doc: "a speed sensor that reads less and less, or more and more, than another at about its height",
		Limits: driftLimits, record: findDrift},
	{Name: SuspectUnit, Doc: "values that look as if they were read in another unit than they were written in",
		Limits: unitLimits, channel: findUnit},
}

// Rules lists the rules of screening in the order in which they run, each with its limits as usual.
func Rules() []Rule {
	out := slices.Clone(rules[:])
	for i := range out {
		out[i].Limits = slices.Clone(out[i].Limits)
	}
	return out
}

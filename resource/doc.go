// Package resource is the science of the wind at a place: records of it, their screening and statistics, the Weibull
// distribution and its fits, the density of air, and the profile that carries a wind from one height to another.
//
// It is pure: no input or output, no clock, no randomness, no logging. Everything is in SI units but for temperature
// (°C) and directions (degrees clockwise from north, the way the wind comes from). A year's months and a day's hours are
// counted in local standard time, never in summer time.
//
// The way of the work:
//
//	findings := resource.Screen(series)                 // flags what is doubtful; values stay
//	stats, err := resource.Describe(series, channel)    // means, sectors, months, hours, Weibull
//	table, err := resource.MeasuredShear(series, 12)    // where a record has two heights
//	factor, err := resource.LogFactor(ground, 10, 18)   // where it has one
//
// Data that cannot bear a result give an error that says why, with numbers; sentinel errors tell the kinds apart.
// NaN means "missing" or "unknown" throughout.
//
// The packages below it take it further: climate describes a record at length, terrain and shelter are what lies and stands
// around a mast, longterm stretches a short record to the long run, extreme is the strongest wind, ingest reads files. Not in
// any of them: stability of the air beyond night and day, mountains, and the turning of the wind with height.
package resource

// Package yield turns wind at a hub into energy: the power curve, its correction for air density, a year's energy in a
// Weibull distribution, a histogram or a record's own speeds, and the losses on the way to the meter.
//
// Speeds are in m/s, powers in W at the machine's terminals, energies in kWh. It is pure: no input or output, no clock.
package yield

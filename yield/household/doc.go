// Package household follows a home hour by hour: what it draws, what its wind machine and its array make, what a battery
// carries from one hour to a later one, what is missing and what is left over; and it splits a yearly budget between
// wind and solar.
//
// Powers are means over a step, W; energies are kWh. It is pure: no input or output, no clock. NaN means "not known".
package household

import (
	"fmt"

	"mastworth/resource"
)

// Fault says which part of what was given cannot be, and why.
type Fault struct {
	Field  string // such as "battery.efficiency" or "load_w[17]"
	Reason string
}

// Error is the field and the reason in one line.
func (f *Fault) Error() string { return "household: " + f.Field + ": " + f.Reason }

func fault(field, format string, args ...any) *Fault {
	return &Fault{Field: field, Reason: fmt.Sprintf(format, args...)}
}

// in puts a fault's field under a place.
func (f *Fault) in(place string) *Fault {
	return &Fault{Field: place + "." + f.Field, Reason: f.Reason}
}

func warning(code, format string, args ...any) resource.Warning {
	return resource.Warning{Code: code, Detail: fmt.Sprintf(format, args...)}
}

// hoursOfYear is the length of a common year; daysOfMonth are its months.
const hoursOfYear = 8760

var daysOfMonth = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

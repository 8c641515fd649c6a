// Package climate draws the fuller picture of the wind that a record holds at one height: by sector, month, hour, month and
// hour, and year; turbulence and gusts by speed; and how the ways of fitting a Weibull distribution compare.
//
// Package resource's Describe is the shorter picture an estimate rests on; where both give a number it is the same one.
// Like its parent the package is pure: no input or output, no clock, no randomness. NaN means "not known".
package climate

// Package longterm puts a short record of a site in the place of a long one: the relation between the record and a
// reference nearby, over the time both have, is applied to the whole time of the reference ("measure, correlate,
// predict"). A year can be a tenth windier or calmer than the long run, which is a third of the energy.
//
// Like its parent the package is pure: no input or output, no clock, no randomness. NaN means "not known".
package longterm

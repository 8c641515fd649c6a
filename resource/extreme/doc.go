// Package extreme estimates the strongest wind to be expected at a place from a record of it: largest values by year and by
// storm, the Gumbel distribution by three estimators with its confidence band, and the gust that is exceeded once in 50 years
// on average, beside the small-turbine class of IEC 61400-2 that would cover it.
//
// What it says is a caution, never a structural verdict: an extrapolation from a few years to fifty. It knows of no hills, no
// obstacles, no tropical cyclones and no tornadoes. Like its parent the package is pure. NaN means "not known".
package extreme

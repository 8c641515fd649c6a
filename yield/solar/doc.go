// Package solar estimates what one kilowatt of photovoltaic modules makes in a year: sun position, the split of global
// irradiance into direct and diffuse, the tilted plane under an anisotropic sky, reflection at the glass, cell
// temperature, and a share of other losses.
//
// Irradiation comes from an hourly record (FromSeries), from monthly sums (FromMonthly), from a yearly sum (FromYearly),
// or, weakest, from the latitude alone (FromLatitude). All four end in the same sum over sun directions, so they differ
// only in what they know about the sky.
//
// Angles in the exported surface are degrees, azimuths clockwise from north, latitudes positive north, longitudes
// positive east. Irradiance is in W/m², irradiation in kWh/m².
//
// Not modelled: shade from the horizon, trees or other rows; snow; spectrum; the fall of efficiency in weak light; the
// ceiling of an inverter smaller than the array. The first two are the site's; the others are small and belong to
// Array.Losses.
package solar

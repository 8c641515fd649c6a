package solar

import "math"

// DefaultWind is the wind at the modules, m/s, where nothing is known: a sheltered garden or roof. Low, so that the
// cells run warm and the estimate does not flatter.
const DefaultWind = 1

// DefaultAir is the air temperature by day, °C, that is assumed where none is measured, on day n of the year: a smooth
// curve through the climates of inhabited coasts and plains (judgement, from memory, ±6 K), cooled by 6.5 K/km
// (ISO 2533) and warmed by 3 K because the sun shines by day. NaN elevation counts as sea level.
func DefaultAir(latitudeDeg, elevationM, n float64) float64 {
	if elevationM != elevationM {
		elevationM = 0
	}
	square := latitudeDeg * latitudeDeg
	mean := 27 - 0.0062*square
	swing := min(0.0045*square, 12)
	if latitudeDeg < 0 {
		swing = -swing
	}
	const warmest = 205 // day of the year in the north: a month after the longest day
	return mean + swing*math.Cos(2*math.Pi*(n-warmest)/365) + 3 - 0.0065*elevationM
}

// windAtModules brings a wind measured at a height, m, down to an array some 3 m above ground among gardens and houses:
// power law with an exponent of 0.2 (judgement). NaN height counts as 10 m; a sensor lower than the array is not raised.
func windAtModules(heightM float64) (factor float64) {
	const array, exponent = 3, 0.2
	if heightM != heightM {
		heightM = 10
	}
	return math.Pow(array/max(heightM, array), exponent)
}

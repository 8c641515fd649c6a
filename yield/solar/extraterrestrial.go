package solar

import "math"

// SolarConstant is the sun's irradiance at one astronomical unit, W/m²: the value of the World Radiation Center that
// Duffie & Beckman's tables and the typical years use. Kopp & Lean 2011 measure 1361, 0.4 % less; the correlations here
// were drawn with the higher value and keep it.
const SolarConstant = 1367

// MeanDays are the days of the year whose extraterrestrial irradiation is nearest to their month's mean, January first:
// Klein 1977; Duffie & Beckman, table 1.6.1.
var MeanDays = [12]int{17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344}

// monthDays are the days of the months in a year of 365.
var monthDays = [12]float64{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// Declination is the sun's declination, degrees, on day n of the year (1 January = 1), within 1.6°, and mostly 0.5°:
// Cooper 1969; Duffie & Beckman (1.6.1a).
func Declination(n float64) float64 {
	return 23.45 * math.Sin(2*math.Pi*(284+n)/365)
}

// Eccentricity is the factor on SolarConstant for the Earth's distance on day n of the year: Duffie & Beckman (1.4.1a).
func Eccentricity(n float64) float64 {
	return 1 + 0.033*math.Cos(2*math.Pi*n/365)
}

// EquationOfTime is apparent less mean solar time, minutes, on day n of the year, within 45 s: Spencer 1971; Duffie &
// Beckman (1.5.3).
func EquationOfTime(n float64) float64 {
	b := 2 * math.Pi * (n - 1) / 365
	s, c := math.Sincos(b)
	s2, c2 := math.Sincos(2 * b)
	return 229.2 * (0.000075 + 0.001868*c - 0.032077*s - 0.014615*c2 - 0.04089*s2)
}

// SunsetHourAngle is the hour angle, degrees, at which the sun's centre meets a level horizon without refraction:
// cos ω = −tan φ · tan δ, Duffie & Beckman (1.6.10). 0 where it does not rise, 180 where it does not set.
func SunsetHourAngle(latitudeDeg, declinationDeg float64) float64 {
	sinPhi, cosPhi := math.Sincos(latitudeDeg * rad)
	sinDec, cosDec := math.Sincos(declinationDeg * rad)
	return sunset(sinPhi*sinDec, cosPhi*cosDec) / rad
}

// sunset is the hour angle, rad, at which p + q·cos ω falls through zero: 0 where it never stands above, π where it
// never goes below. p is sin φ · sin δ, q is cos φ · cos δ.
func sunset(p, q float64) float64 {
	switch {
	case p >= math.Abs(q):
		return math.Pi
	case p <= -math.Abs(q):
		return 0
	}
	return math.Acos(-p / q)
}

// DailyExtraterrestrial is the irradiation above the atmosphere on the horizontal, kWh/m² a day, on day n of the year,
// for the given solar constant, W/m²: Duffie & Beckman (1.10.3).
func DailyExtraterrestrial(latitudeDeg float64, n, solarConstant float64) float64 {
	sinPhi, cosPhi := math.Sincos(latitudeDeg * rad)
	sinDec, cosDec := math.Sincos(Declination(n) * rad)
	p, q := sinPhi*sinDec, cosPhi*cosDec
	w := sunset(p, q)
	return max(0, 0.024*solarConstant*Eccentricity(n)/math.Pi*(q*math.Sin(w)+p*w))
}

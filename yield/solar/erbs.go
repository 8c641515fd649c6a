package solar

import "math"

// HourlyDiffuseShare is the diffuse share of an hour's global irradiation at the clearness index kt, the ratio of global
// to extraterrestrial horizontal irradiation: Erbs, Klein & Duffie 1982; Duffie & Beckman (2.10.1). 1 at or below
// kt = 0; 0.165 above 0.8; NaN for NaN.
func HourlyDiffuseShare(kt float64) float64 {
	switch {
	case kt <= 0:
		return 1
	case kt <= 0.22:
		return 1 - 0.09*kt
	case kt <= 0.8:
		return 0.9511 + kt*(-0.1604+kt*(4.388+kt*(-16.638+kt*12.336)))
	case kt > 0.8:
		return 0.165
	}
	return math.NaN()
}

// MonthlyDiffuseShare is the diffuse share of a month's global irradiation at the monthly clearness index kt and the
// sunset hour angle of the mean day, degrees: Erbs, Klein & Duffie 1982; Duffie & Beckman (2.12.1). The correlation was
// drawn for 0.3 ≤ kt ≤ 0.8: below, its curve is followed until it meets 1; above, kt counts as 0.8. NaN for NaN.
func MonthlyDiffuseShare(kt, sunsetDeg float64) float64 {
	kt = min(max(kt, 0), 0.8)
	share := 1.311 + kt*(-3.022+kt*(3.427-kt*1.821))
	if sunsetDeg <= 81.4 {
		share = 1.391 + kt*(-3.560+kt*(4.189-kt*2.137))
	}
	return min(share, 1)
}

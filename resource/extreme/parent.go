package extreme

import (
	"math"

	"mastworth/resource"
)

// IndependentPerYear is how many independent means of 10 minutes a year of wind is worth, 23 037 (from memory).
const IndependentPerYear = 23037

// FromWeibull is the rule of thumb for a place without a long record: the speed, m/s, that a Weibull distribution of the
// mean wind lets be exceeded once in a number of years, of so many independent values a year: A·(ln(perYear·years))^(1/k). For
// one year it is the mode of the yearly maximum. The tail of a distribution fitted to ordinary wind is no measurement of
// storms: take it beside the rule of 5 times the mean, and the larger. NaN unless perYear·years is above 1.
func FromWeibull(w resource.Weibull, perYear, years float64) float64 {
	if !(perYear*years > 1) {
		return math.NaN()
	}
	return w.Scale * math.Pow(math.Log(perYear*years), 1/w.Shape)
}

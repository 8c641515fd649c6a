package household

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// Complement is how well wind and sun make up for one another over the months, January first.
type Complement struct {
	// Correlation of the twelve monthly energies of wind with those of solar (Pearson): −1 where one is strong just when
	// the other is weak, 1 where both go together. NaN where one of them is the same in all months.
	Correlation float64
	// WindAbove and SolarAbove tell the months in which each is above its own mean month.
	WindAbove, SolarAbove [12]bool
	// BothBelow counts the months in which both are at or below their means, BothAbove those in which both are above.
	BothBelow, BothAbove int
	// WindEvenness, SolarEvenness are the coefficients of variation of each one's months: see Evenness.
	WindEvenness, SolarEvenness float64
}

// Complements compares the monthly energies of wind and solar, kWh or any one unit each. Each is compared with itself
// alone, so that sizes do not matter. A NaN makes the numbers NaN, and no month of its row above the mean.
func Complements(wind, solar [12]float64) Complement {
	c := Complement{WindEvenness: Evenness(wind), SolarEvenness: Evenness(solar), Correlation: math.NaN()}
	const level = 1e-12 // rounding of twelve equal months
	if c.WindEvenness > level && c.SolarEvenness > level {
		c.Correlation = stat.Correlation(wind[:], solar[:], nil)
	}
	windMean, solarMean := stat.Mean(wind[:], nil), stat.Mean(solar[:], nil)
	for m := range wind {
		c.WindAbove[m], c.SolarAbove[m] = wind[m] > windMean, solar[m] > solarMean
		switch {
		case c.WindAbove[m] && c.SolarAbove[m]:
			c.BothAbove++
		case wind[m] <= windMean && solar[m] <= solarMean:
			c.BothBelow++
		}
	}
	return c
}

// Evenness is the coefficient of variation of twelve monthly energies: their standard deviation (over twelve, not eleven:
// the months are all there are) over their mean. 0 where all are alike; NaN for a sum of 0 or a NaN.
func Evenness(months [12]float64) float64 {
	mean := 0.0
	for _, v := range months {
		mean += v / 12
	}
	squares := 0.0
	for _, v := range months {
		squares += (v - mean) * (v - mean)
	}
	return math.Sqrt(squares/12) / mean
}

// MonthlyKWh is a whole year's energy by month, January first, of a row of mean powers, W, with the month of each step:
// each month's mean power over the month's usual length, so that gaps and several years do no harm. NaN for a month
// without a value; NaN powers are left out. Panics where the rows differ in length.
func MonthlyKWh(powerW []float64, months []uint8) [12]float64 {
	if len(powerW) != len(months) {
		panic("household: powers and months of different length")
	}
	var sum, n, out [12]float64
	for i, p := range powerW {
		if p == p {
			sum[months[i]] += p
			n[months[i]]++
		}
	}
	for m := range out {
		out[m] = sum[m] / n[m] * 24 * float64(daysOfMonth[m]) / 1000
	}
	return out
}

// Package cost turns what a machine costs over its life into a cost per kWh, a net present value and a payback time.
//
// Money is in any one currency, real (in the money of today), with a discount rate above inflation to match. Payments fall
// at the ends of years, the capital at the start. There is no tax law in it.
package cost

import "math"

// PresentWorth is what 1 at the end of every year for n years is worth today at a rate a year, (P/A, i, n) of the
// engineering-economics tables: (1 − (1+i)^−n)/i, and n at a rate of 0. A rate of −1 or less gives NaN.
func PresentWorth(rate float64, years int) float64 {
	switch n := float64(years); {
	case !(rate > -1):
		return math.NaN()
	case rate == 0:
		return n
	default:
		// expm1 and log1p keep the digits that a small rate would lose.
		return -math.Expm1(-n*math.Log1p(rate)) / rate
	}
}

// CapitalRecovery is the even yearly payment over n years that 1 today is worth at a rate a year, (A/P, i, n) of the tables:
// i(1+i)^n/((1+i)^n − 1), and 1/n at a rate of 0.
func CapitalRecovery(rate float64, years int) float64 { return 1 / PresentWorth(rate, years) }

// presentOf is what 1 at the end of a year is worth today, (P/F, i, n).
func presentOf(rate float64, year int) float64 { return growthOf(rate).after(-float64(year)) }

// growth is what grows by a share from each year to the next; the zero value stays as it is.
type growth struct{ log float64 } // ln(1 + share)

func growthOf(share float64) growth { return growth{math.Log1p(share)} }

// after is what 1 has grown to after so many years.
func (g growth) after(years float64) float64 {
	if g.log == 0 {
		return 1
	}
	return math.Exp(years * g.log)
}

// RealRate is the rate above inflation: (1+nominal)/(1+inflation) − 1.
func RealRate(nominal, inflation float64) float64 { return (1+nominal)/(1+inflation) - 1 }

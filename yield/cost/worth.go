package cost

import "math"

// Worth values one plan's energy many times: what does not hang on the energy is worked out once.
type Worth struct {
	yearly, presentCost    float64
	presentWorth, recovery float64
	discounted             float64 // present worth of the energy of a life whose first year makes 1
	declines               bool
}

// Worth works out what the plan's methods of the same names share.
func (p Plan) Worth() Worth {
	w := Worth{yearly: p.Yearly, presentCost: p.presentCost(), presentWorth: PresentWorth(p.Rate, p.LifeYears), declines: p.Decline != 0}
	w.recovery = 1 / w.presentWorth
	if !w.declines {
		return w
	}
	worth, next := 1/(1+p.Rate), (1-p.Decline)/(1+p.Rate)
	for range p.LifeYears {
		w.discounted += worth
		worth *= next
	}
	return w
}

// YearlyEquivalent is Plan.YearlyEquivalent.
func (w *Worth) YearlyEquivalent() float64 { return w.presentCost*w.recovery + w.yearly }

// EvenEnergy is Plan.EvenEnergy.
func (w *Worth) EvenEnergy(firstYearKWh float64) float64 {
	if !w.declines {
		return firstYearKWh
	}
	return firstYearKWh * w.discounted * w.recovery
}

// PerKWh is Plan.PerKWh.
func (w *Worth) PerKWh(firstYearKWh float64) float64 {
	if !(firstYearKWh > 0) {
		return math.NaN()
	}
	return w.YearlyEquivalent() / w.EvenEnergy(firstYearKWh)
}

// NPV is Plan.NPV.
func (w *Worth) NPV(firstYearKWh, pricePerKWh float64) float64 {
	return (w.EvenEnergy(firstYearKWh)*pricePerKWh-w.yearly)*w.presentWorth - w.presentCost
}

package spread_test

import (
	"fmt"
	"math"

	"mastworth/yield/spread"
)

// How sure is a year's energy, and how sure the life's, of a machine that makes 1000 kWh at a site whose energy goes with the
// square of the wind speed?
func ExampleDraw() {
	energy, err := spread.Tabulate(func(m float64) float64 { return 1000 * m * m }, spread.Multipliers(34))
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := spread.Draw(spread.Model{
		Heights:   []spread.HeightModel{{Energy: energy, NetShare: 1, RatedKW: 1, CapitalPerYear: 150, UpkeepPerYear: 50}},
		Solar:     spread.Solar{PerKWh: math.NaN(), AnnualKWh: math.NaN()},
		Price:     0.25,
		LifeYears: 20,
	}, []spread.Source{
		{Name: "long-term wind", Kind: spread.WindSpeed, Standard: 0.08},
		{Name: "year to year", Kind: spread.WindSpeed, Standard: 0.06, EveryYear: true},
	}, spread.Options{Draws: 10000, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	h := r.Heights[0]
	fmt.Printf("one year: P50 %.2g, P90 %.2g kWh\n", h.Year.Energy.P50.Value, h.Year.Energy.P90.Value)
	fmt.Printf("the life: P50 %.2g, P90 %.2g kWh a year\n", h.Life.Energy.P50.Value, h.Life.Energy.P90.Value)
	fmt.Printf("cheaper than the price with %.0f %%\n", 100*h.BelowPrice.Share)
	// Output:
	// one year: P50 1e+03, P90 7.6e+02 kWh
	// the life: P50 1e+03, P90 8.1e+02 kWh a year
	// cheaper than the price with 91 %
}

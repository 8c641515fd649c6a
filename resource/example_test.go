package resource_test

import (
	"fmt"

	"mastworth/resource"
)

// An airport's 5 m/s at 10 m over grass, carried to 20 m in a suburb whose gardens lift the wind's floor by 3.5 m
// (reference chain: 4.83879 m/s).
func ExampleExposureFactor() {
	airport := resource.Ground{RoughnessM: 0.03}
	suburb := resource.Ground{RoughnessM: 0.5, DisplacementM: 3.5}
	factor, err := resource.ExposureFactor(airport, suburb, 10, 20)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.5f m/s\n", 5*factor)
	_, err = resource.LogFactor(suburb, 20, 4)
	fmt.Println(err)
	// Output:
	// 4.83879 m/s
	// inside what covers the ground: a height of 4 m is not above displacement height 3.5 m plus roughness length 0.5 m; go well above 4 m, or describe the ground as more open
}

// The power in a wind of 5 m/s on average hangs on its shape (reference values 208.14, 146.22 and 120.77 W/m²).
func ExampleWeibull_PowerDensity() {
	for _, k := range []float64{1.5, 2, 2.5} {
		w := resource.Weibull{Shape: k, Scale: 1}
		w = w.Scaled(5 / w.Mean())
		fmt.Printf("k %.1f: %.2f W/m²\n", k, w.PowerDensity(1.225))
	}
	// Output:
	// k 1.5: 208.14 W/m²
	// k 2.0: 146.22 W/m²
	// k 2.5: 120.77 W/m²
}

func ExampleFitSpeeds() {
	_, err := resource.FitSpeeds([]float64{3.1, 4.2, 0, 5.5}, resource.MaximumLikelihood)
	fmt.Println(err)
	// Output:
	// too few speeds to fit: 3 are above zero (and 1 are calm); at least 30 are needed
}

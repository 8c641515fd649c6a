package terrain_test

import (
	"fmt"
	"math"

	"mastworth/resource"
	"mastworth/resource/terrain"
)

// A garden behind 300 m of houses in the west, fields elsewhere; the wind was measured at an airport.
func ExampleTransfer() {
	airport := terrain.Grounds{Everywhere: resource.Ground{RoughnessM: 0.03}}
	garden := terrain.Grounds{
		Everywhere: resource.Ground{RoughnessM: 0.1},
		Patches: []terrain.Patch{
			{FromDeg: 225, ToDeg: 315, Ground: resource.Ground{RoughnessM: 0.5}, ChangeAtM: 300},
			{FromDeg: 315, ToDeg: 345, Ground: resource.Ground{RoughnessM: 0.5}, ChangeAtM: math.NaN()},
		},
	}
	factors, err := terrain.Transfer(airport, garden, 10, 20)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, direction := range []int{18, 27, 33} {
		x := factors[direction]
		fmt.Printf("%d°: %.3f (%.3f to %.3f)\n", 10*direction, x.Factor, x.Low, x.High)
	}
	// Output:
	// 180°: 1.084 (1.084 to 1.084)
	// 270°: 1.080 (1.008 to 1.084)
	// 330°: 1.008 (1.008 to 1.008)
}

func ExampleRelief_SpeedUp() {
	hill := terrain.Relief{Shape: terrain.Hill, HeightM: 30, HalfLengthM: 150, FromDeg: 0, ToDeg: 360}
	fmt.Printf("%.5f\n", hill.SpeedUp(15))
	// Output: 0.21450
}

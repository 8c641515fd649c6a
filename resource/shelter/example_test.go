package shelter_test

import (
	"fmt"

	"github.com/paulmach/orb"

	"mastworth/resource/shelter"
)

// A row of poplars stands 90 m south-west of the mast, across the wind, and grows.
func ExampleOverLife() {
	poplars := []shelter.Obstacle{{
		Name: "poplars", BearingDeg: 225, DistanceM: 90, HeightM: 9, WidthM: 60, Porosity: 0.4, GrowthMPerYear: 0.25,
	}}
	grass := func(int) float64 { return 0.03 }
	for _, hub := range []float64{12, 18, 24} {
		mean, first, last := shelter.OverLife(poplars, hub, grass, 20)
		const southWest = 23 // 230 degrees
		fmt.Printf("%g m: %.2f of the speed, now %.2f, at the end %.2f\n",
			hub, mean.Factor[southWest], first.Factor[southWest], last.Factor[southWest])
	}
	// Output:
	// 12 m: 0.70 of the speed, now 0.80, at the end 0.60
	// 18 m: 0.86 of the speed, now 0.92, at the end 0.78
	// 24 m: 0.95 of the speed, now 0.98, at the end 0.91
}

// The same row drawn on a map, and what the published rules ask of a tower with a rotor of 5 m.
func ExampleFromGeometry() {
	mast := orb.Point{8.1, 54.2}
	row := orb.LineString{{8.09872, 54.19938}, {8.09938, 54.19912}}
	pieces, err := shelter.FromGeometry(mast, row, shelter.Properties{Name: "poplars", HeightM: 9, Porosity: 0.4})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, o := range pieces {
		fmt.Printf("%s: %.0f degrees, %.0f m away, %.0f m wide\n", o.Name, o.BearingDeg, o.DistanceM, o.WidthM)
	}
	for _, s := range shelter.JudgeSiting(pieces, 18, 5, 0)[:2] {
		fmt.Printf("%s: broken %t, lowest hub %.1f m\n", s.Rule, s.Broken, s.LowestHubM)
	}
	_, err = shelter.FromGeometry(mast, orb.Point{8.1, 54.2}, shelter.Properties{HeightM: 9})
	fmt.Println(err)
	// Output:
	// poplars: 207 degrees, 104 m away, 17 m wide
	// poplars: 216 degrees, 104 m away, 17 m wide
	// poplars: 226 degrees, 105 m away, 17 m wide
	// three_heights: broken true, lowest hub 29.5 m
	// rotor_above_500_ft: broken true, lowest hub 20.6 m
	// geometry: the mast, at longitude 8.100000, latitude 54.200000, stands under it, 2.2 m inside; move the mast, or correct position or width
}

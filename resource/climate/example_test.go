package climate_test

import (
	"fmt"
	"math"
	"time"

	"mastworth/resource"
	"mastworth/resource/climate"
)

// An invented year: a breeze from the south-west by day, a light wind from the north-east at night.
func ExampleOf() {
	s := &resource.Series{StepS: 3600}
	var speeds, directions []float64
	begin := time.Date(2025, time.January, 1, 0, 0, 0, 0, time.UTC).Unix()
	for hour := range 8760 {
		speed, direction := 2.5, 45.0
		if h := hour % 24; h >= 8 && h < 20 {
			speed, direction = 5+math.Sin(float64(hour)), 225
		}
		s.Times = append(s.Times, begin+int64(hour)*3600)
		speeds, directions = append(speeds, speed), append(directions, direction)
	}
	s.Channels = []resource.Channel{
		{Name: "speed", Quantity: resource.Speed, HeightM: 18, Values: speeds},
		{Name: "direction", Quantity: resource.Direction, HeightM: 18, Values: directions},
	}
	c, err := climate.Of(s, 0, climate.Options{Sectors: 8})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("mean %.2f m/s, at noon %.2f m/s, at midnight %.2f m/s\n", c.MeanMS, c.Hours[12].MeanMS, c.Hours[0].MeanMS)
	for _, sector := range c.Sectors {
		if sector.N > 0 {
			fmt.Printf("%5.1f° to %5.1f°: %.0f %% of the time, %.0f %% of the energy\n", sector.FromDeg, sector.ToDeg,
				100*sector.Share, 100*sector.EnergyShare)
		}
	}
	fmt.Println(c.WhyNoTurbulence)
	// Output:
	// mean 3.75 m/s, at noon 5.00 m/s, at midnight 2.50 m/s
	//  22.5° to  67.5°: 50 % of the time, 11 % of the energy
	// 202.5° to 247.5°: 50 % of the time, 89 % of the energy
	// The record has no standard deviation of speed at this height; let the logger store it with each mean.
}

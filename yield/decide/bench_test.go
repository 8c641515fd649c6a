package decide_test

import (
	"math"
	"testing"

	"mastworth/yield/decide"
)

// Six campaigns are held to a millisecond where the Value turns once; one that turns again is searched for more turns.
func BenchmarkMeasure(b *testing.B) {
	var six []decide.Campaign
	for _, months := range []int{1, 3, 6, 12, 24, 36} {
		six = append(six, decide.Campaign{Months: months, NoiseSD: decide.NoiseOf(months, 0.06, 0.02, false), Cost: 100})
	}
	smooth := func(f float64) float64 { return 9000*(1-math.Exp(-f*f*f)) - 5600 }
	twice := func(f float64) float64 { return 0.3 - (f-1)*(f-1)*20 }
	for _, c := range []struct {
		name  string
		value func(float64) float64
		sd    float64
	}{{"smooth", smooth, 0.2}, {"kinked", windlike, 0.2}, {"turns twice", twice, 0.2}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := decide.Measure(decide.Prospect{Value: c.value, SpeedSD: c.sd, Keeps: 0.03}, six); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

package machine

import (
	"testing"

	"mastworth/yield/drive"
)

// The aim is 10 ms for 60 winds and 20 elements.
func BenchmarkSolve(b *testing.B) {
	d := sixBoards(b)
	for b.Loop() {
		if _, err := Solve(d, seaLevel); err != nil {
			b.Fatal(err)
		}
	}
}

// A limit by power must be sought in each wind's rotor.
func BenchmarkSolvePowerLimit(b *testing.B) {
	d := sixBoards(b)
	d.Furling.PowerLimitW = 250
	for b.Loop() {
		if _, err := Solve(d, seaLevel); err != nil {
			b.Fatal(err)
		}
	}
}

// The aim is a second for 200 combinations on two cores.
func BenchmarkMatch200(b *testing.B) {
	d := sixBoards(b)
	var s drive.Sweep
	for i := range 20 {
		s.GearRatios = append(s.GearRatios, 1+float64(i))
	}
	for i := range 10 {
		s.TurnsRatios = append(s.TurnsRatios, 0.5+0.15*float64(i))
	}
	mean := rayleigh(5)
	for b.Loop() {
		if got, err := Match(d, s, mean, nil); err != nil || len(got) != 200 {
			b.Fatal(len(got), err)
		}
	}
}

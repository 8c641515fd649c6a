package spread

import (
	"fmt"
	"testing"
)

// What a service does by default, and what is held to 150 ms on two cores: 10 000 draws at eight heights, solar, price and
// cost included. Time grows in proportion to both, but for the making of the scores, which all heights share.
func BenchmarkDraw(b *testing.B) {
	for _, heights := range []int{1, 2, 4, 8} {
		m, sources := garden(b, heights)
		for _, draws := range []int{1000, 10000, 100000} {
			if draws == 100000 && heights > 2 {
				continue
			}
			b.Run(fmt.Sprintf("draws=%d/heights=%d", draws, heights), func(b *testing.B) {
				for b.Loop() {
					if _, err := Draw(m, sources, Options{Draws: draws, Seed: 1}); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*draws*heights), "ns/draw/height")
			})
		}
	}
}

func BenchmarkEnergyTable(b *testing.B) {
	f := yearly(inventedCurve(), 5)
	x := Multipliers(45)
	y := make([]float64, len(x))
	for i, m := range x {
		y[i] = f(m)
	}
	b.Run("new", func(b *testing.B) {
		for b.Loop() {
			if _, err := NewEnergyTable(x, y); err != nil {
				b.Fatal(err)
			}
		}
	})
	t, _ := NewEnergyTable(x, y)
	b.Run("at", func(b *testing.B) {
		sum, m := 0.0, 0.6
		for b.Loop() {
			m += 0.0137
			if m > 1.5 {
				m -= 0.9
			}
			sum += t.At(m)
		}
	})
}

package shelter

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
)

// garden is 40 obstacles all round, half of which grow, with arcs of 3 to 50 degrees.
func garden() []Obstacle {
	obstacles := make([]Obstacle, 40)
	for i := range obstacles {
		f := float64(i)
		obstacles[i] = Obstacle{
			BearingDeg: math.Mod(f*47, 360), DistanceM: 25 + 7*f, HeightM: 4 + math.Mod(f*3, 11), WidthM: 8 + math.Mod(f*7, 25),
			Porosity: 0.45 * float64(i%2), GrowthMPerYear: 0.25 * float64(i%2),
		}
	}
	return obstacles
}

func uneven(d int) float64 { return 0.03 + 0.02*float64(d) }

// BenchmarkShelterSite is a whole site: 40 obstacles, 36 directions of different ground, 8 heights, each over 20 years.
func BenchmarkShelterSite(b *testing.B) {
	obstacles := garden()
	b.ReportAllocs()
	for b.Loop() {
		for hub := 12.0; hub <= 40; hub += 4 {
			OverLife(obstacles, hub, uneven, 20)
		}
	}
}

// BenchmarkShelterAt is one height in one year.
func BenchmarkShelterAt(b *testing.B) {
	obstacles := garden()
	for b.Loop() {
		At(obstacles, 18, uneven, 0)
	}
}

// BenchmarkShelterOutline is a wood of as many corners as may be, checked and cut into obstacles.
func BenchmarkShelterOutline(b *testing.B) {
	var ring orb.Ring
	for i := range VerticesMost - 1 {
		f := float64(i)
		ring = append(ring, at(20+40*math.Cos(2*math.Pi*f/(VerticesMost-1)), 300+(150+10*math.Sin(f))*math.Sin(2*math.Pi*f/(VerticesMost-1))))
	}
	ring = append(ring, ring[0])
	for b.Loop() {
		if _, err := FromGeometry(mast, orb.Polygon{ring}, plain); err != nil {
			b.Fatal(err)
		}
	}
}

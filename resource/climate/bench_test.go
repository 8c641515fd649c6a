package climate

import (
	"math"
	"math/rand/v2"
	"testing"

	"mastworth/resource"
)

// minuteYear is an invented year of 1-minute values with six channels: speed, its deviation, gust, direction, temperature,
// pressure. The wind keeps its speed and direction for a while, as wind does; digits 0 leaves speeds as they are drawn.
func minuteYear(decimals float64) *resource.Series {
	const n = 525600
	r := rand.New(rand.NewPCG(3, 5))
	s := &resource.Series{StepS: 60, UTCOffsetS: 3600}
	add := func(q resource.Quantity) []float64 {
		values := make([]float64, n)
		s.Channels = append(s.Channels, resource.Channel{Name: q.String(), Quantity: q, HeightM: 20, Values: values})
		return values
	}
	speed, deviation, gust := add(resource.Speed), add(resource.SpeedSD), add(resource.Gust)
	direction, temperature, pressure := add(resource.Direction), add(resource.Temperature), add(resource.Pressure)
	u, w, bearing := 0.0, 0.0, 200.0
	round := func(v float64) float64 {
		if decimals == 0 {
			return v
		}
		return math.Round(v*decimals) / decimals
	}
	for i := range n {
		s.Times = append(s.Times, 1735686000+60*int64(i))
		u, w = 0.99*u+0.141*r.NormFloat64(), 0.99*w+0.141*r.NormFloat64()
		speed[i] = round(4 * math.Hypot(u, w))
		deviation[i] = round(speed[i] * (0.15 + 0.03*r.NormFloat64()))
		gust[i] = round(speed[i] * (1.3 + 0.1*r.Float64()))
		bearing = math.Mod(bearing+360+4*r.NormFloat64(), 360)
		direction[i] = math.Floor(bearing)
		temperature[i], pressure[i] = round(10+r.NormFloat64()), 101000+100*r.NormFloat64()
	}
	return s
}

func benchmarkYear(b *testing.B, decimals float64, o Options) {
	s := minuteYear(decimals)
	b.ReportAllocs()
	for b.Loop() {
		if c, err := Of(s, 0, o); err != nil || !c.Fits[0].Used || c.Turbulence == nil || c.Gusts == nil {
			b.Fatal(err, c.Fits)
		}
	}
}

// BenchmarkClimateYear is a year of 1-minute values to 0.01 m/s, as loggers store them.
func BenchmarkClimateYear(b *testing.B) { benchmarkYear(b, 100, Options{}) }

// BenchmarkClimateYearFine has no two speeds alike, and 36 sectors.
func BenchmarkClimateYearFine(b *testing.B) { benchmarkYear(b, 0, Options{Sectors: 36}) }

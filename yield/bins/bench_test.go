package bins

import (
	"math"
	"testing"
)

// A year of minutes, as a logger with air and direction writes them: the promise is 300 ms.
func BenchmarkYearOfMinutes(b *testing.B) {
	l := weather(1, 525600, plain(), 6, 100)
	l.DirectionDeg = make([]float64, len(l.Times))
	l.HumidityShare = make([]float64, len(l.Times))
	for i := range l.Times {
		l.DirectionDeg[i] = math.Mod(float64(i)*0.37, 360)
		l.HumidityShare[i] = 0.6
		l.TemperatureC[i] += math.Mod(float64(i)*0.01, 10)
	}
	bare := l
	bare.TemperatureC, bare.PressurePa, bare.HumidityShare, bare.DirectionDeg = nil, nil, nil, nil
	for _, c := range []struct {
		name string
		log  Log
		o    Options
	}{
		{"wind and power", bare, Options{RotorDiameterM: 3.7}},
		{"air, a sector left out", l, Options{RotorDiameterM: 3.7, LeaveOut: [][2]float64{{350, 20}}}},
		{"ten-minute averages", l, Options{RotorDiameterM: 3.7, AveragingS: 600, LeaveOut: [][2]float64{{350, 20}}}},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Measure(c.log, c.o); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

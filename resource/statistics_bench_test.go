package resource

import (
	"math"
	"math/rand/v2"
	"testing"
)

// tenMinuteYear is a year of 10-minute values: two speeds, direction, temperature, pressure, humidity.
func tenMinuteYear() *Series {
	r := rand.New(rand.NewPCG(9, 10))
	const n = 52560
	s := &Series{StepS: 600, UTCOffsetS: 3600}
	for i := range n {
		s.Times = append(s.Times, 1356994800+int64(i)*600)
	}
	make1 := func(q Quantity, heightM float64, f func(i int) float64) {
		c := Channel{Name: q.String(), Quantity: q, HeightM: heightM, Values: make([]float64, n)}
		for i := range c.Values {
			c.Values[i] = f(i)
		}
		s.Channels = append(s.Channels, c)
	}
	w := Weibull{Shape: 2, Scale: 6}
	make1(Speed, 40, func(int) float64 { return math.Round(w.Quantile(r.Float64())*100) / 100 })
	make1(Speed, 20, func(i int) float64 { return s.Channels[0].Values[i] * math.Pow(0.5, 0.2) })
	make1(Direction, 40, func(int) float64 { return 360 * r.Float64() })
	make1(Temperature, 2, func(int) float64 { return 10 + 3*r.NormFloat64() })
	make1(Pressure, 2, func(int) float64 { return 100000 + 300*r.NormFloat64() })
	make1(Humidity, 2, func(int) float64 { return r.Float64() })
	return s
}

func BenchmarkDescribeYear(b *testing.B) {
	s := tenMinuteYear()
	for b.Loop() {
		if st, err := Describe(s, 0); err != nil || st.FitError != nil || st.Sectors[3].Fit == nil {
			b.Fatal(err, st.FitError)
		}
	}
}

func BenchmarkMeasuredShearYear(b *testing.B) {
	s := tenMinuteYear()
	for b.Loop() {
		if _, err := MeasuredShear(s, SectorCount); err != nil {
			b.Fatal(err)
		}
	}
}

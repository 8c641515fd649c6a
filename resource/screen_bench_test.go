package resource

import (
	"math"
	"math/rand/v2"
	"testing"
)

// mast is a record of one mast from 1 January 2021 at UTC+1, invented but lifelike: weather that comes and goes over
// days, a day's course, and turbulence; two speeds at 40 m, deviation, direction, temperature and pressure. Nothing is
// wrong with it.
func mast(stepS int64, days int) *Series {
	r := rand.New(rand.NewPCG(11, 12))
	n := days * secondsPerDay / int(stepS)
	s := &Series{StepS: stepS, UTCOffsetS: 3600, Times: make([]int64, n)}
	for _, c := range []Channel{
		{Name: "speed_a", Quantity: Speed, HeightM: 40}, {Name: "speed_b", Quantity: Speed, HeightM: 40},
		{Name: "speed_sd", Quantity: SpeedSD, HeightM: 40}, {Name: "vane", Quantity: Direction, HeightM: 40},
		{Name: "air", Quantity: Temperature, HeightM: 2}, {Name: "pressure", Quantity: Pressure, HeightM: 2},
	} {
		c.Values = make([]float64, n)
		s.Channels = append(s.Channels, c)
	}
	keep := math.Exp(-float64(stepS) / secondsPerDay)
	fresh := math.Sqrt(1 - keep*keep)
	weather, turn, warmth, weight := 0.0, 0.0, 0.0, 0.0
	round := func(v, to float64) float64 { return math.Round(v/to) * to }
	for i := range n {
		s.Times[i] = 1609455600 + int64(i)*stepS
		hour := float64(int64(i)*stepS%secondsPerDay) / secondsPerHour
		weather = keep*weather + fresh*r.NormFloat64()
		turn = keep*turn + fresh*r.NormFloat64()
		warmth = keep*warmth + fresh*r.NormFloat64()
		weight = keep*weight + fresh*r.NormFloat64()
		day := math.Cos((hour - 15) / hoursPerRadian)
		v := 6 * math.Exp(0.45*weather+0.08*day)
		s.Channels[0].Values[i] = round(max(v*(1+0.05*r.NormFloat64()), 0), 0.001)
		s.Channels[1].Values[i] = round(max(s.Channels[0].Values[i]*(1+0.01*r.NormFloat64()), 0), 0.001)
		s.Channels[2].Values[i] = round(v*(0.13+0.02*r.Float64()), 0.001)
		s.Channels[3].Values[i] = round(math.Mod(220+120*turn+5*r.NormFloat64()+7200, 360), 0.01)
		s.Channels[4].Values[i] = round(11+4*day+4*warmth, 0.01)
		s.Channels[5].Values[i] = round(99000+800*weight, 1)
	}
	return s
}

// BenchmarkScreenYear screens one year of one-minute data, 525 600 rows of six channels.
func BenchmarkScreenYear(b *testing.B) {
	s := mast(60, 365)
	if found := Screen(s); len(found) != 0 {
		b.Fatalf("%+v", found)
	}
	for b.Loop() {
		Screen(s)
	}
}

// BenchmarkScreenYearFlagged is the same where every channel has flags.
func BenchmarkScreenYearFlagged(b *testing.B) {
	s := mast(60, 365)
	for i := range s.Channels {
		s.Channels[i].Flags = make([]Flag, s.Len())
		s.Channels[i].Flags[7] = FlagExclude
	}
	for b.Loop() {
		Screen(s)
	}
}

package main

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"time"
)

// demoRecord writes an invented logger file: one year of hourly wind at 6 m and 10 m behind the hedges of a garden that
// does not exist. Every number comes out of a seeded random walk, so the file is the same each time.
func demoRecord() []byte {
	const (
		seed      = 20240101
		shape     = 1.9
		low, high = 6.0, 10.0
		memory    = 0.93 // hour to hour correlation of the underlying walk
	)
	var b bytes.Buffer
	b.WriteString("time (UTC),wind speed 10 m (m/s),wind speed 6 m (m/s),wind direction 10 m (deg),temperature (C),pressure (hPa)\n")
	rng := rand.New(rand.NewPCG(seed, 1))
	walk, turn, front := rng.NormFloat64(), 225.0, rng.NormFloat64()
	start := time.Date(2024, time.January, 1, 0, 0, 0, 0, time.UTC)
	for h := range 366 * 24 {
		t := start.Add(time.Duration(h) * time.Hour)
		walk = memory*walk + math.Sqrt(1-memory*memory)*rng.NormFloat64()
		front = 0.99*front + math.Sqrt(1-0.99*0.99)*rng.NormFloat64()
		turn += 12 * rng.NormFloat64()
		turn += 0.02 * (225 - turn) // westerlies prevail

		season := math.Cos(2 * math.Pi * float64(t.YearDay()-20) / 366) // +1 in late January
		noon := math.Cos(2 * math.Pi * float64(t.Hour()-14) / 24)       // +1 in the early afternoon
		scale := 3.6 * (1 + 0.18*season) * (1 + 0.12*noon)
		// The walk is normal; its probability through the Weibull quantile gives speeds.
		p := 0.5 * math.Erfc(-walk/math.Sqrt2)
		v10 := scale * math.Pow(-math.Log1p(-p), 1/shape)
		shear := 0.30 - 0.10*noon // stronger at night
		v6 := v10 * math.Pow(low/high, shear)

		temperature := 10.5 - 7*season + 3.5*noon + 2*front
		pressure := 1002 - 8*front
		fmt.Fprintf(&b, "%s,%s,%s,%.0f,%.1f,%.1f\n", t.Format("2006-01-02 15:04"), cup(v10), cup(v6),
			math.Mod(turn+720, 360), temperature, pressure)
	}
	return b.Bytes()
}

// cup is what a cup anemometer with a starting speed of 0.4 m/s and a resolution of 0.1 m/s would log.
func cup(v float64) string {
	if v < 0.4 {
		return "0.0"
	}
	return fmt.Sprintf("%.1f", v)
}

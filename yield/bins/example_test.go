package bins_test

import (
	"fmt"

	"mastworth/yield/bins"
)

// Twenty minutes in each of four bins make a curve of four points, and a list of what a test would still need.
func ExampleMeasure() {
	l := bins.Log{StepS: 60}
	for _, p := range []struct{ speedMS, powerW float64 }{{4, 60}, {4.5, 90}, {5, 130}, {5.5, 180}} {
		for range 20 {
			l.Times = append(l.Times, 60*int64(len(l.Times)))
			l.SpeedMS = append(l.SpeedMS, p.speedMS)
			l.PowerW = append(l.PowerW, p.powerW)
		}
	}
	r, err := bins.Measure(l, bins.Options{RotorDiameterM: 2.4})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range r.Bins {
		fmt.Printf("%.1f m/s: %.0f W, coefficient %.2f, %.0f min\n", b.CentreMS, b.PowerW, b.Cp, b.Minutes)
	}
	for _, m := range r.Missing {
		fmt.Println("missing:", m)
	}
	// Output:
	// 4.0 m/s: 60 W, coefficient 0.34, 20 min
	// 4.5 m/s: 90 W, coefficient 0.36, 20 min
	// 5.0 m/s: 130 W, coefficient 0.38, 20 min
	// 5.5 m/s: 180 W, coefficient 0.39, 20 min
	// missing: the bins from 3.0 to 3.5 m/s hold nothing; each needs 10 minutes
	// missing: the bins from 6.0 to 14.0 m/s hold nothing; each needs 10 minutes
	// missing: the log holds 1.3 of the 60 hours it needs with wind from 3.0 to 14.0 m/s; 58.7 are missing
}

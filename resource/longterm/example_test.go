package longterm_test

import (
	"fmt"

	"mastworth/resource/longterm"
)

// Four months were measured; a reference near by has two years.
func ExamplePredict() {
	record, reference := madeUp()
	r, err := longterm.Predict(record, 0, reference, 0, longterm.Options{MaxShiftS: longterm.DefaultMaxShiftS})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d hours in common, r² %.2f\n", r.ConcurrentN, r.R2)
	fmt.Printf("those hours by all of the reference's: %.3f\n", r.LongTerm.Windiness)
	fmt.Printf("%.2f m/s measured, %.2f m/s in the long run\n", r.Concurrent.TargetMeanMS, r.LongTerm.PredictedMeanMS)
	for _, w := range r.Warnings {
		fmt.Println(w.Code)
	}
	// Output:
	// 2928 hours in common, r² 0.74
	// those hours by all of the reference's: 0.990
	// 5.12 m/s measured, 5.17 m/s in the long run
	// long_term_season
	// long_term_brief_reference
}

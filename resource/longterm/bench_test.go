package longterm_test

import (
	"testing"

	"mastworth/resource/longterm"
)

// BenchmarkPredict: a year of ten-minute data against ten years of hours, with the search for a shift of the clocks.
func BenchmarkPredict(b *testing.B) {
	target, reference := weather(1, 3652, 3600, 600, 3000, 3365)
	for _, sectors := range []bool{false, true} {
		b.Run(map[bool]string{false: "together", true: "sectors"}[sectors], func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				predict(b, target, 1, reference, 0, longterm.Options{Sectors: sectors, MaxShiftS: longterm.DefaultMaxShiftS})
			}
		})
	}
}

// BenchmarkPredictAll is the same with two heights at once.
func BenchmarkPredictAll(b *testing.B) {
	target, reference := weather(1, 3652, 3600, 600, 3000, 3365)
	for b.Loop() {
		if _, _, err := longterm.PredictAll(target, []int{1, 2}, reference, 0, longterm.Options{Sectors: true, MaxShiftS: longterm.DefaultMaxShiftS}); err != nil {
			b.Fatal(err)
		}
	}
}

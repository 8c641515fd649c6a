package spread

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// The standard library's sort is the judge.
func TestSorter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.OneOf(rapid.Float64(), rapid.Float64Range(900, 1100),
			rapid.SampledFrom([]float64{0, 1, -1, math.Inf(1), math.Inf(-1)})), 1, 300).Draw(t, "values")
		want := slices.Clone(values)
		slices.Sort(want)
		var s sorter
		s.sort(values)
		if !slices.Equal(values, want) {
			t.Fatalf("%v, want %v", values, want)
		}
		run := rapid.IntRange(1, 50).Draw(t, "run")
		runs := slices.Clone(want)
		for i := range runs {
			runs[i] = want[(i*7919)%len(want)]
		}
		again := slices.Clone(runs)
		for from := 0; from < len(runs); from += run {
			s.sort(runs[from:min(from+run, len(runs))])
		}
		slices.Sort(again)
		if got := mergeRuns(runs, run); !slices.Equal(got, again) {
			t.Fatalf("merged %v, want %v", got, again)
		}
	})
}

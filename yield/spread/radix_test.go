package spread

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// The standard library's sort is the judge, of the whole and of its blocks, whatever was sorted before.
func TestSorter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s sorter
		for range 2 {
			values := rapid.SliceOfN(rapid.OneOf(rapid.Float64(), rapid.Float64Range(900, 1100),
				rapid.SampledFrom([]float64{0, 1, -1, math.Inf(1), math.Inf(-1)})), 1, 300).Draw(t, "values")
			size := rapid.IntRange(1, 310).Draw(t, "size")
			whole, blocks := slices.Sorted(slices.Values(values)), slices.Clone(values)
			for block := range slices.Chunk(blocks, size) {
				slices.Sort(block)
			}
			sorted, parts := s.sort(values, size)
			if !slices.Equal(sorted, whole) || !slices.Equal(parts, blocks) {
				t.Fatalf("%v and %v, want %v and %v", sorted, parts, whole, blocks)
			}
		}
	})
}

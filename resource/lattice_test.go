package resource

import (
	"maps"
	"math"
	"math/rand/v2"
	"testing"
)

// The counts are those of a map, whatever the values.
func TestLatticeCountsAsAMapDoes(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, distinct := range []int{1, 2, 37, latticeMost, latticeMost + 1} {
		c := Channel{Values: make([]float64, 20_000)}
		pitch := 0.1 * (1 + r.Float64())
		want, n := map[float64]int{}, 0
		for i := range c.Values {
			k := r.IntN(distinct)
			if i < distinct {
				k = i
			}
			switch v := float64(k) * pitch; {
			case k == 0 && i%2 == 1:
				c.Values[i] = math.Copysign(0, -1)
			case i%7 == 6 && i >= distinct:
				c.Values[i] = math.NaN()
				continue
			default:
				c.Values[i] = v
			}
			want[c.Values[i]]++
			n++
		}
		got := latticeOf(&c)
		if distinct > latticeMost {
			if got != nil {
				t.Errorf("%d distinct values are a lattice", distinct)
			}
			continue
		}
		if got == nil || got.n != n || !maps.Equal(got.counts, want) {
			t.Errorf("%d distinct values are counted wrongly", distinct)
		}
	}
}

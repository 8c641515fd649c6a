package document

import (
	"bytes"
	"testing"

	"golang.org/x/sync/errgroup"

	"mastworth/yield/assess"
)

// Answers that go by one another's memory must come out as those with memory of their own: long ones and short ones, many at once.
func TestAnswersShareMemory(t *testing.T) {
	type answer struct {
		e    assess.Estimate
		refs Refs
		want []byte
	}
	var answers []answer
	for _, towers := range []int{1, 12, 3} {
		for _, price := range []string{"0.31", ""} {
			r, refs := ToRequest(mustDecode(t, orchard, YAML))
			r.Uncertainty.Draws = assess.NoDraws
			r.Money.LifeYears = 10 * towers / 3
			if price == "" {
				r.Money.PricePerKWh = nan
			}
			r.Towers = nil
			for i := range towers {
				r.Towers = append(r.Towers, assess.Tower{HubHeightM: float64(10 + 2*i), Cost: float64(1000 + 100*i)})
			}
			e, err := assess.Run(r)
			if err != nil {
				t.Fatal(err)
			}
			wire := FromEstimate(&e, refs, "test")
			answers = append(answers, answer{e, refs, AppendEstimate(nil, &wire)})
		}
	}
	var group errgroup.Group
	for worker := range 4 {
		group.Go(func() error {
			for i := range 60 {
				a := &answers[(worker+i*(worker+1))%len(answers)]
				if got := AppendAnswer([]byte("before"), &a.e, a.refs, "test"); !bytes.Equal(got[len("before"):], a.want) {
					t.Errorf("wrote\n%s\nalone\n%s", got, a.want)
				}
			}
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		t.Fatal(err)
	}
}

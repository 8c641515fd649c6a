package document

import (
	"bytes"
	"testing"

	"golang.org/x/sync/errgroup"

	"mastworth/openapi"
	"mastworth/yield/assess"
	"mastworth/yield/cost"
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
			tablesAre(t, &wire, &e)
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

// tablesAre holds the tables that lie in one piece to the domain's own, so that none of them lies upon another.
func tablesAre(t *testing.T, wire *openapi.Estimate, e *assess.Estimate) {
	t.Helper()
	years := func(got []openapi.CashYear, want []cost.CashYear) {
		t.Helper()
		if len(got) != len(want) {
			t.Fatalf("%d years of %d", len(got), len(want))
		}
		for i := range want {
			if got[i].Year != want[i].Year || got[i].EnergyKWh != rounded(want[i].EnergyKWh) || got[i].Net != rounded(want[i].Net) {
				t.Errorf("year %d is %+v of %+v", i, got[i], want[i])
			}
		}
	}
	if d := &e.Decision; d.Cash != nil {
		years(wire.Decision.Cash.Years, d.Cash.Years)
		years(wire.Decision.SolarCash.Years, d.SolarCash.Years)
	}
	for i, r := range e.Decision.Split.Rows {
		if got := wire.Decision.Split.Rows[i]; got.WindShare != rounded(r.WindShare) || got.SolarKWh != rounded(r.SolarKWh) || *got.CostPerKWh != rounded(r.CostPerKWh) {
			t.Errorf("row %d is %+v of %+v", i, got, r)
		}
	}
}

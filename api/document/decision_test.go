package document

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"mastworth/openapi"
	"mastworth/yield/assess"
)

// answerOn is the estimate of a document, as somebody who reads the wire sees it.
func answerOn(t *testing.T, text string) (openapi.Estimate, map[string]any) {
	t.Helper()
	r, refs := ToRequest(mustDecode(t, text, YAML))
	e, err := assess.Run(r)
	if err != nil {
		t.Fatal(err)
	}
	out := FromEstimate(&e, refs, "test")
	wire := AppendEstimate(nil, &out)
	var all struct {
		Decision map[string]any `json:"decision"`
	}
	if err := json.Unmarshal(wire, &all); err != nil {
		t.Fatal(err)
	}
	return out, all.Decision
}

// evenOrchard leaves out of the orchard what makes its cash uneven.
func evenOrchard(t *testing.T) string {
	t.Helper()
	text := strings.Replace(orchard, "  replacements: [{year: 10, cost: 350, what: bearings and blades}]\n", "  output_decline: 0\n", 1)
	if text == orchard {
		t.Fatal("the orchard is not what it was")
	}
	return text
}

// An even payment over 20 years at 4 % is worth 13.5903 times itself now, and 11.4699 times at 6 % (P/A in the tables of
// engineering-economics texts, from memory; checked against (1 − (1+i)^−n)/i). The cash on the wire must come to that.
func TestCashIsThatOfTheTables(t *testing.T) {
	for rate, factor := range map[string]float64{"0.04": 13.5903, "0.06": 11.4699} {
		e, _ := answerOn(t, strings.Replace(evenOrchard(t), "discount_rate: 0.04", "discount_rate: "+rate, 1))
		c := e.Decision.Cash
		if c == nil || c.HubHeightM != *e.BestHubHeightM || len(c.Years) != 21 {
			t.Fatalf("at %s the cash is %+v", rate, c)
		}
		capital, even := -c.Years[0].Net, c.Years[1].Net
		for _, y := range c.Years[1:] {
			if math.Abs(y.Net-even) > 1e-6 || math.Abs(y.Net-(y.Income-y.Running-y.Replacement)) > 1e-6 ||
				math.Abs(y.EnergyKWh-y.SelfUsedKWh-y.SoldKWh) > 1e-6 {
				t.Errorf("year %d is not even, or does not add up: %+v", y.Year, y)
			}
		}
		if want := even*factor - capital; math.Abs(c.NPV-want) > 0.00005*even {
			t.Errorf("at %s the net present value is %g, by the table %g", rate, c.NPV, want)
		}
		if last := c.Years[20]; math.Abs(last.CumulativeDiscounted-c.NPV) > 1e-6 || math.Abs(last.Cumulative-(20*even-capital)) > 1e-6 {
			t.Errorf("the last sums are %+v", last)
		}
		if i := *c.IRR; math.Abs((1-math.Pow(1+i, -20))/i*even-capital) > 1e-5*capital {
			t.Errorf("at its internal rate of %g the money is not worth nothing", i)
		}
		if p := *c.PaybackYears; math.Abs(p-capital/even) > 1e-6 {
			t.Errorf("paid back after %g years, want %g", p, capital/even)
		}
	}
}

// What is not known is null or empty, and never left out.
func TestDecisionTellsWhatIsNotKnown(t *testing.T) {
	all := []string{"best_value_hub_height_m", "steps", "siting_heights", "break_evens", "measuring", "next_step", "split", "cash"}
	noPrice := strings.Replace(orchard, "  price_per_kwh: 0.28\n", "", 1)
	noSun := strings.Replace(noPrice, "solar: {cost_per_kw: 1500, yearly_cost_per_kw: 15, life_years: 25, tilt_deg: best, azimuth_deg: 180, losses: 0.14}\n", "", 1)
	still := strings.Replace(orchard, "power_curve: {air_density_kg_m3: 1.225, points: [[2.5, 0], [3, 12], [8, 430], [12, 9e2]]}",
		"power_curve: {points: [[60, 0], [70, 900]]}", 1)
	for name, c := range map[string]struct {
		text  string
		nulls []string
		empty []string
	}{
		"all known":  {orchard, nil, []string{"siting_heights"}},
		"no draws":   {orchard + "uncertainty: {draws: 0}\n", []string{"measuring", "next_step"}, []string{"break_evens", "siting_heights"}},
		"no price":   {noPrice, []string{"best_value_hub_height_m", "cash"}, []string{"siting_heights"}},
		"no rival":   {noSun, []string{"best_value_hub_height_m", "cash"}, nil},
		"no energy":  {still, []string{"best_value_hub_height_m", "measuring", "next_step", "split", "cash"}, []string{"break_evens"}},
		"some trees": {strings.Replace(orchard, "wind:\n", "  obstacles: [{bearing_deg: 230, distance_m: 60, height_m: 9, width_m: 30}]\nwind:\n", 1), nil, nil},
	} {
		_, got := answerOn(t, c.text)
		for _, field := range all {
			v, there := got[field]
			null := false
			for _, n := range c.nulls {
				null = null || n == field
			}
			if !there || (v == nil) != null {
				t.Errorf("%s: %s is %v", name, field, v)
			}
		}
		for _, field := range c.empty {
			if list, ok := got[field].([]any); !ok || len(list) != 0 {
				t.Errorf("%s: %s is %v, want an empty list", name, field, got[field])
			}
		}
		if name == "some trees" && len(got["siting_heights"].([]any)) == 0 {
			t.Error("trees, and no siting rule")
		}
		lowest := got["steps"].([]any)[0].(map[string]any)
		for _, field := range []string{"extra_cost_per_year", "extra_kwh_per_year", "marginal_per_kwh"} {
			if v, there := lowest[field]; !there || v != nil {
				t.Errorf("%s: %s of the lowest tower is %v, want null", name, field, v)
			}
		}
	}
}

// Shares are shares, chances chances, codes those of the contract; no row of the split spends more than there is.
func TestDecisionKeepsItsRanges(t *testing.T) {
	e, _ := answerOn(t, strings.Replace(orchard, "  price_per_kwh: 0.28\n", "  price_per_kwh: 0.28\n  measuring_cost: 150\n", 1))
	d := &e.Decision
	share := func(what string, v float64) {
		if !(v >= 0 && v <= 1) {
			t.Errorf("%s is %g", what, v)
		}
	}
	for i := range d.BreakEvens {
		b := &d.BreakEvens[i]
		if !b.Name.Valid() || !b.Rival.Valid() || b.Unit == "" || b.Words == "" || !(b.Lowest < b.Highest) ||
			b.Value != nil && !(*b.Value >= b.Lowest && *b.Value <= b.Highest) {
			t.Errorf("break-even %+v", b)
		}
	}
	if len(d.BreakEvens) == 0 || d.Measuring == nil || d.NextStep == nil || d.Split == nil {
		t.Fatalf("parts are missing: %+v", d)
	}
	m := d.Measuring
	share("chance_wrong", m.ChanceWrong)
	if len(m.Campaigns) != 5 || m.Build != (m.ExpectedValue > 0) {
		t.Errorf("measuring: %+v", m)
	}
	for i, months := range []int{1, 3, 6, 12, 24} {
		c := &m.Campaigns[i]
		share("flip_chance", c.FlipChance)
		share("shrink_share", c.ShrinkShare)
		if c.Months != months || c.SpeedStandardUncertaintyAfter > m.SpeedStandardUncertainty || math.Abs(c.Value-150-c.NetOfCost) > 1e-6 ||
			c.Value > m.ValueOfKnowing*(1+1e-9) || math.Abs(1-c.ShrinkShare-c.SpeedStandardUncertaintyAfter/m.SpeedStandardUncertainty) > 1e-6 {
			t.Errorf("campaign %+v of %+v", c, m)
		}
	}
	if !d.NextStep.Code.Valid() || d.NextStep.Words == "" {
		t.Errorf("next step %+v", d.NextStep)
	}
	s := d.Split
	if len(s.Rows) != 21 || s.Rows[0].WindShare != 0 || s.Rows[20].WindShare != 1 || s.Rows[0].HubHeightM != nil || s.CheapestRow < 0 {
		t.Errorf("the split has %d rows: %+v", len(s.Rows), s)
	}
	for i := range s.Rows {
		if r := &s.Rows[i]; r.WindCostPerYear+r.SolarCostPerYear > s.BudgetPerYear*(1+1e-9) || math.Abs(r.WindShare-float64(i)/20) > 1e-9 {
			t.Errorf("row %d spends too much, or is out of step: %+v of %g", i, r, s.BudgetPerYear)
		}
	}
}

// An estimate kept before there was a decision in it can still be read.
func TestEstimateWithoutDecision(t *testing.T) {
	out, _ := answerOn(t, orchard)
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(AppendEstimate(nil, &out), &fields); err != nil {
		t.Fatal(err)
	}
	if delete(fields, "decision"); len(fields) != 16 {
		t.Errorf("without its decision an estimate has %d fields", len(fields))
	}
	old, err := json.Marshal(fields)
	if err != nil {
		t.Fatal(err)
	}
	var read openapi.Estimate
	if err := json.Unmarshal(old, &read); err != nil || *read.BestHubHeightM != *out.BestHubHeightM {
		t.Fatalf("%v, best height %v", err, read.BestHubHeightM)
	}
	if d := read.Decision; d.Cash != nil || d.Split != nil || len(d.Steps) != 0 {
		t.Errorf("a decision out of nothing: %+v", d)
	}
}

// A decision stays small beside what it belongs to: a year a row of cash, a twentieth a row of the split.
func TestDecisionIsNotLong(t *testing.T) {
	_, got := answerOn(t, strings.Replace(orchard, "life_years: 20", "life_years: 60", 1))
	text, err := json.Marshal(got)
	if err != nil {
		t.Fatal(err)
	}
	if len(text) > 40_000 {
		t.Errorf("the decision takes %d bytes", len(text))
	}
}

package assess

import (
	"fmt"
	"math"
	"strconv"

	"mastworth/yield/cost"
	"mastworth/yield/decide"
)

// mostTimes is how many times today's cost or price is within reason. Judgement.
const mostTimes = 3

// betz is the most of the wind's power that a rotor can take (Betz 1920).
const betz = 16.0 / 27

// question is a number that could be another, and what wind's kWh and a rival's would cost then. NaN where it is not known now.
type question struct {
	name, unit, words    string // words: what the number is, as in "a mean wind at the hub of 6 m/s"
	now, lowest, highest float64
	rivals               []Rival
	at                   func(x float64, rival Rival) (wind, other float64)
}

// breakEvens solves for what would change how wind's kWh compares.
func (a *assessment) breakEvens(heights []Height, b int) ([]BreakEven, error) {
	rivals := a.rivals()
	if len(rivals) == 0 {
		return nil, nil
	}
	questions, err := a.questions(heights, b, rivals)
	if err != nil {
		return nil, err
	}
	var out []BreakEven
	for i := range questions {
		for _, rival := range questions[i].rivals {
			e, err := questions[i].solve(rival)
			if err != nil {
				return nil, err
			}
			out = append(out, e)
		}
	}
	a.sources = append(a.sources, Provenance{"decision.break_evens", fmt.Sprintf("each number alone, solved in the estimate's own energy and money; within reason: "+
		"half to 1.6 times the wind, half to twice the towers, up to the Betz limit, up to %d times a cost or price", mostTimes),
		"root finding by Chandrupatla 1997 (from memory); the limits are judgement, 2026"})
	return out, nil
}

func (a *assessment) rivals() []Rival {
	var out []Rival
	if p := a.sun.perKWh; p == p {
		out = append(out, RivalSolar)
	}
	if p := a.r.Money.worthPerKWh(); p == p {
		out = append(out, RivalPrice)
	}
	return out
}

// perKWh is what a rival's kWh costs as things are.
func (a *assessment) perKWh(r Rival) float64 {
	if r == RivalSolar {
		return a.sun.perKWh
	}
	return a.r.Money.worthPerKWh()
}

// questions are those that can be asked of a request, about the tower at b.
func (a *assessment) questions(heights []Height, b int, rivals []Rival) ([]question, error) {
	h, m := &heights[b], &a.r.Money
	table, err := a.energyTable(h, b)
	if err != nil {
		return nil, err
	}
	price := newPricing(m.plan(a.r.Towers[b].Cost))
	ofEnergy := func(netKWh float64, rival Rival) (wind, other float64) {
		return price.perKWh(0, netKWh), a.perKWh(rival)
	}
	low, high := table.Range()
	mean := h.Wind.MeanSpeedMS
	out := []question{{
		name: "mean_wind", unit: "m/s", words: "mean wind at the hub", now: mean, lowest: low * mean, highest: high * mean, rivals: rivals,
		at: func(x float64, rival Rival) (float64, float64) { return ofEnergy(a.net(table.At(x/mean)), rival) },
	}}
	if q, err := a.heightQuestion(heights, b, rivals); err != nil {
		return nil, err
	} else if q != nil {
		out = append(out, *q)
	}
	out = append(out, question{
		name: "turbine_cost", unit: m.Currency, words: "turbine cost", now: m.TurbineCost, lowest: 0,
		highest: mostTimes * math.Max(m.TurbineCost, h.Cost.Capital/mostTimes), rivals: rivals,
		at: func(x float64, rival Rival) (float64, float64) {
			return price.perKWh(x-m.TurbineCost, h.Energy.NetKWh), a.perKWh(rival)
		},
	}, question{
		name: "annual_energy", unit: "kWh/year", words: "net energy", now: h.Energy.NetKWh, lowest: 0,
		highest: math.Max(h.Energy.NetKWh, a.net(a.mostKWh(h))), rivals: rivals, at: ofEnergy,
	})
	if best, tried := a.bestMatch(); tried {
		out = append(out, question{
			name: "generator_match", unit: "kWh/year", words: "net energy by another gear or generator of the sweep", now: h.Energy.NetKWh,
			lowest: h.Energy.NetKWh / 2, highest: math.Max(h.Energy.NetKWh, best), rivals: rivals, at: ofEnergy,
		})
	}
	return append(out, a.priceQuestions(h, rivals)...), nil
}

// priceQuestions change the rival: the price of a kWh, the cost of an array.
func (a *assessment) priceQuestions(h *Height, rivals []Rival) []question {
	m := a.r.Money
	wind := h.Cost.PerKWh
	var out []question
	top := mostTimes * m.PricePerKWh
	if !(top > 0) {
		top = mostTimes * wind
	}
	out = append(out, question{
		name: "price_per_kwh", unit: m.Currency + "/kWh", words: "price of a bought kWh", now: m.PricePerKWh, lowest: 0, highest: top,
		rivals: []Rival{RivalPrice},
		at: func(x float64, _ Rival) (float64, float64) {
			own := m
			own.PricePerKWh = x
			return wind, own.worthPerKWh()
		},
	})
	for _, r := range rivals {
		if s := a.r.Solar; r == RivalSolar && s.CostPerKW > 0 {
			solar := newPricing(s.planPerKW(m.DiscountRate))
			out = append(out, question{
				name: "solar_cost_per_kw", unit: m.Currency + "/kW", words: "cost of the array", now: s.CostPerKW, lowest: 0,
				highest: mostTimes * s.CostPerKW, rivals: []Rival{RivalSolar},
				at: func(x float64, _ Rival) (float64, float64) {
					return wind, solar.perKWh(x-s.CostPerKW, a.sun.yield.KWhPerKW)
				},
			})
		}
	}
	return out
}

// pricing prices the energy of a plan many times: what it costs a year, what a unit of capital more adds to that, and what is made in an
// even year for each kWh of the first.
type pricing struct{ yearly, perCapital, even float64 }

func newPricing(p cost.Plan) pricing {
	w := p.Worth()
	return pricing{w.YearlyEquivalent(), cost.CapitalRecovery(p.Rate, p.LifeYears), w.EvenEnergy(1)}
}

// perKWh is the cost of a kWh with so much more capital; +Inf without energy.
func (p *pricing) perKWh(moreCapital, firstYearKWh float64) float64 {
	if !(firstYearKWh > 0) {
		return math.Inf(1)
	}
	return (p.yearly + p.perCapital*moreCapital) / (p.even * firstYearKWh)
}

// net is what is left of a gross energy.
func (a *assessment) net(grossKWh float64) float64 {
	net, _ := a.r.Losses.Apply(grossKWh)
	return net
}

// mostKWh is what no rotor of this size can exceed in the hub's wind.
func (a *assessment) mostKWh(h *Height) float64 {
	d := a.r.Turbine.RotorDiameterM
	return betz * h.Wind.PowerDensityWM2 * math.Pi / 4 * d * d * 8.76
}

// bestMatch is the net energy of the best combination that a design's sweep tried; false where none was.
func (a *assessment) bestMatch() (float64, bool) {
	if a.machine == nil || len(a.machine.Matching) == 0 {
		return 0, false
	}
	best := 0.0
	for i := range a.machine.Matching {
		best = math.Max(best, a.machine.Matching[i].AnnualKWh)
	}
	return a.net(best), true
}

// solve finds where the comparison with a rival turns.
func (q *question) solve(rival Rival) (BreakEven, error) {
	out := BreakEven{Name: q.name, Unit: q.unit, Rival: rival, Now: q.now, Lowest: q.lowest, Highest: q.highest, Value: nan}
	ask := decide.Question{Name: q.name, Unit: q.unit, Now: q.now, Lowest: q.lowest, Highest: q.highest,
		At: func(x float64) (float64, float64) { return q.at(x, rival) }}
	if ask.Now != ask.Now {
		ask.Now = q.lowest
	}
	found, err := decide.Turn(ask)
	if err != nil {
		return out, fmt.Errorf("assess: break-even of %s: %w", q.name, err)
	}
	out.Cheaper, out.Value = found.Holds, found.Value
	out.Words = q.tell(&out, found.Why == decide.NotKnown)
	return out, nil
}

var rivalWords = map[Rival]string{RivalSolar: "the array's", RivalPrice: "what a kWh is worth"}

// tell says a break-even in a sentence.
func (q *question) tell(e *BreakEven, unknown bool) string {
	other := rivalWords[e.Rival]
	switch {
	case unknown:
		return fmt.Sprintf("it cannot be said what %s would do", q.words)
	case q.now != q.now && e.Value == e.Value:
		return fmt.Sprintf("wind's kWh costs no more than %s from a %s of %s on", other, q.words, withUnit(e.Value, q.unit))
	case e.Value == e.Value && e.Cheaper:
		return fmt.Sprintf("wind's kWh stays below %s %s a %s of %s (now %s)", other, direction(e, "up to", "down to"), q.words, withUnit(e.Value, q.unit),
			withUnit(e.Now, q.unit))
	case e.Value == e.Value:
		return fmt.Sprintf("wind's kWh would cost no more than %s with a %s of %s %s (now %s)", other, q.words, withUnit(e.Value, q.unit),
			direction(e, "or more", "or less"), withUnit(e.Now, q.unit))
	case e.Cheaper:
		return fmt.Sprintf("no %s within reason (%s to %s) brings wind's kWh above %s", q.words, figure(e.Lowest), withUnit(e.Highest, q.unit), other)
	}
	return fmt.Sprintf("no %s within reason (%s to %s) brings wind's kWh down to %s", q.words, figure(e.Lowest), withUnit(e.Highest, q.unit), other)
}

func direction(e *BreakEven, more, less string) string {
	if e.Value > e.Now {
		return more
	}
	return less
}

func withUnit(v float64, unit string) string { return figure(v) + " " + unit }

// figure writes a number with three digits, and as many before the point as it has.
func figure(v float64) string {
	if math.Abs(v) >= 1000 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.3g", v)
}

// metres writes a height to read, to a tenth: one given in feet has more digits than anybody measures.
func metres(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'g', -1, 64) }

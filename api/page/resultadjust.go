package page

import (
	"encoding/json"
	"math"
	"strconv"
	"sync"
)

// Adjust is what the sliders of a result begin with.
type Adjust struct {
	Site     string // address of the saved request
	Currency string
	Units    string // the word of those that lengths and speeds are told in
	Towers   string // pairs of height and cost, as JSON
	Moves    []Move
	Words    string // what the script writes, as JSON
}

// Move is a slider. Its numbers are as HTML has them.
type Move struct{ Name, Label, Unit, Min, Max, Step, Value string }

// adjustOf makes the sliders of an estimate; nil where it has no height.
func adjustOf(id string, e shownEstimate) *Adjust {
	best := bestOf(e)
	if best == nil {
		return nil
	}
	cur := units(e).Currency
	a := &Adjust{Site: "/v1/sites/" + id, Units: e.Word(), Currency: cur}
	in := &e.Request.Money
	pairs, low, high := "", best.HubHeightM, best.HubHeightM
	fixed := in.TurbineCost + orZero(in.OtherCost)
	for i := range e.Heights {
		h := &e.Heights[i]
		if h.Cost.Capital == nil {
			continue
		}
		if pairs != "" {
			pairs += ","
		}
		pairs += "[" + plain(h.HubHeightM) + "," + plain(max(0, *h.Cost.Capital-fixed)) + "]"
		low, high = min(low, h.HubHeightM), max(high, h.HubHeightM)
	}
	a.Towers = "[" + pairs + "]"
	if high > low {
		step := stepTo(low, best.HubHeightM, e.Feet)
		high = low + step*math.Ceil((high-low)/step-1e-9) // so that the highest tower is within reach; the script takes it for that
		a.Moves = append(a.Moves, Move{"height", Text("result.move_height"), e.lengthSign(), plain(low), plain(high), plain(step), plain(best.HubHeightM)})
	}
	const times = 3 // as far as break-evens are looked for
	if p := in.PricePerKWh; p != nil && *p > 0 {
		a.Moves = append(a.Moves, Move{"price", Text("result.move_price"), unitOf(cur, "kWh"), "0", plain(times * *p), plain(*p / 100), plain(*p)})
	}
	if c := in.TurbineCost; c > 0 {
		a.Moves = append(a.Moves, Move{"turbine", Text("result.move_turbine"), cur, "0", plain(times * c), plain(c / 100), plain(c)})
	}
	a.Moves = append(a.Moves, Move{"tower", Text("result.move_tower"), "%", "0", "300", "5", "100"})
	a.Words = adjustWords()
	return a
}

// stepTo is a slider's step, about half a metre or a foot: its steps begin at the lower end, and the saved height must be one.
func stepTo(lowM, savedM float64, feet bool) float64 {
	step := 0.5
	if feet {
		step = metresPerFoot
	}
	if n := math.Round((savedM - lowM) / step); n >= 1 {
		return (savedM - lowM) / n
	}
	return step
}

// plain is a number as HTML and JSON have it.
func plain(v float64) string { return strconv.FormatFloat(v, 'g', 10, 64) }

// adjustWords are the catalogue's words that the script writes.
var adjustWords = sync.OnceValue(func() string {
	words := map[string]string{}
	for name, key := range map[string]string{"worth_it": "club.lead.worth_it", "close_call": "club.lead.close_call", "not_worth_it": "club.lead.not_worth_it",
		"cannot_say": "club.lead.cannot_say", "chance": "club.lead.chance", "over": "club.chance_over", "under": "club.chance_under", "spread": "result.p50_p90",
		"range": "result.from_to", "year": "result.a_year", "working": "result.move_working", "done": "result.move_done", "failed": "result.move_failed", "hub": "result.move_hub"} {
		words[name] = Text(key)
	}
	out, err := json.Marshal(words)
	if err != nil {
		panic("page: words that JSON cannot hold")
	}
	return string(out)
})

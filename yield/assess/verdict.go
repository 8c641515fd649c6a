package assess

import (
	"fmt"
	"math"
)

// closeCallMargin is how far apart two costs per kWh must be, as a share, before one is called cheaper. Judgement: an
// estimate of a backyard's wind energy is rarely good to better than this.
const closeCallMargin = 0.15

// shortestRecordDays is the least measured time, in days, that a verdict is given on. Judgement: a season.
const shortestRecordDays = 90

// best is the index of the tower with the cheapest kWh, or −1 where no tower makes any energy.
func best(heights []Height) int {
	out, lowest := -1, math.Inf(1)
	for i := range heights {
		if c := heights[i].Cost.PerKWh; c < lowest {
			out, lowest = i, c
		}
	}
	return out
}

// decide weighs the best tower's cost per kWh against solar's and against the price paid now.
func decide(r *Request, heights []Height, bestIndex int, weak *Reason) Verdict {
	var v Verdict
	because := func(code, format string, args ...any) {
		v.Reasons = append(v.Reasons, Reason{Code: code, Detail: fmt.Sprintf(format, args...)})
	}
	if weak != nil {
		v.Answer = CannotSay
		v.Reasons = append(v.Reasons, *weak)
	} else if bestIndex < 0 {
		v.Answer = NotWorthIt
		because("no_energy", "at none of the heights does the wind reach what this machine needs to make power")
	}
	if bestIndex < 0 {
		return v
	}
	h := &heights[bestIndex]
	cur := r.Money.Currency
	because("best_height", "the cheapest kWh comes from the %g m tower: %.0f kWh a year at %.2f %s a kWh",
		h.HubHeightM, h.Energy.NetKWh, h.Cost.PerKWh, cur)
	alternative := math.Inf(1)
	if s := h.Solar.PerKWh; s == s {
		alternative = s
		because(compareCode("solar", h.Cost.PerKWh, s), "the same money a year buys %.1f kW of solar making %.0f kWh a year at "+
			"%.2f %s a kWh: %s", h.Solar.ArrayKW, h.Solar.AnnualKWh, s, cur, compareWords(h.Cost.PerKWh, s))
	}
	if p := r.Money.PricePerKWh; p == p {
		alternative = min(alternative, p)
		because(compareCode("price", h.Cost.PerKWh, p), "a bought kWh costs %.2f %s: %s", p, cur, compareWords(h.Cost.PerKWh, p))
	}
	switch wind := h.Cost.PerKWh; {
	case weak != nil: // said already
	case math.IsInf(alternative, 1):
		v.Answer = CannotSay
		because("nothing_to_compare", "there is neither a solar yield nor a price to compare with")
	case wind <= alternative*(1-closeCallMargin):
		v.Answer = WorthIt
	case wind < alternative*(1+closeCallMargin):
		v.Answer = CloseCall
	default:
		v.Answer = NotWorthIt
	}
	return v
}

// compareCode names a comparison's outcome: "solar_cheaper", "solar_close" or "solar_dearer".
func compareCode(other string, wind, cost float64) string {
	switch {
	case wind >= cost*(1+closeCallMargin):
		return other + "_cheaper"
	case wind <= cost*(1-closeCallMargin):
		return other + "_dearer"
	default:
		return other + "_close"
	}
}

func compareWords(wind, cost float64) string {
	switch {
	case cost == 0:
		return "nothing can be cheaper"
	case wind >= cost*(1+closeCallMargin):
		return fmt.Sprintf("wind's kWh costs %.1f times that", wind/cost)
	case wind <= cost*(1-closeCallMargin):
		return fmt.Sprintf("wind's kWh costs %.0f %% less", 100*(1-wind/cost))
	default:
		return "about the same as wind's"
	}
}

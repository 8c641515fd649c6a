package assess

import (
	"fmt"
	"math"
)

// closeCallMargin is, where no odds were drawn, how far apart two costs per kWh must be, as a share, before one is called cheaper. Judgement: an
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

// sureOdds is how near to 0 or to 1 odds must be to say something however little is known. Judgement.
const sureOdds = 0.05

// judge weighs the best tower's cost per kWh against solar's and against the price paid now: by the odds where they were drawn,
// else by a margin. weak says why no verdict may be given, or is nil.
func judge(r *Request, heights []Height, bestIndex int, weak *Reason) Verdict {
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
	because("best_height", "the cheapest kWh comes from the %s m tower: %.0f kWh a year at %.2f %s a kWh",
		metres(h.HubHeightM), h.Energy.NetKWh, h.Cost.PerKWh, cur)
	t := &r.Uncertainty.Verdict
	if s := h.Solar.PerKWh; s == s {
		c := t.compare(h, s, func(o *HeightOdds) float64 { return o.BelowSolar.Share })
		because("solar_"+c.code(), "the same money a year buys %.1f kW of solar making %.0f kWh a year at "+
			"%.2f %s a kWh: %s", h.Solar.ArrayKW, h.Solar.AnnualKWh, s, cur, c.words())
	}
	if p := r.Money.worthPerKWh(); p == p {
		c := t.compare(h, p, func(o *HeightOdds) float64 { return o.BelowPrice.Share })
		because("price_"+c.code(), "%s: %s", r.Money.worthWords(), c.words())
	}
	if weak != nil {
		return v
	}
	var closing *Reason
	v.Answer, closing = t.judge(h, min(orInf(h.Solar.PerKWh), orInf(r.Money.worthPerKWh())))
	if closing != nil {
		v.Reasons = append(v.Reasons, *closing)
	}
	return v
}

func orInf(v float64) float64 {
	if v != v {
		return math.Inf(1)
	}
	return v
}

// judge is the verdict on a tower beside the cheapest alternative's cost per kWh, and what more there is to say for it.
func (t *Thresholds) judge(h *Height, alternative float64) (Answer, *Reason) {
	if math.IsInf(alternative, 1) {
		return CannotSay, &Reason{"nothing_to_compare", "there is neither a solar yield nor a price to compare with"}
	}
	c := t.compare(h, alternative, func(o *HeightOdds) float64 { return o.BelowBoth.Share })
	if c.odds != c.odds {
		return [...]Answer{cheaper: WorthIt, asGood: CloseCall, dearer: NotWorthIt}[c.outcome], nil
	}
	if e := &h.Odds.Life.Energy; e.SD.Value > t.CannotSay*e.Mean.Value && c.odds > sureOdds && c.odds < 1-sureOdds {
		return CannotSay, &Reason{"spread_too_wide", fmt.Sprintf("the energy is known to %.0f %% only (one standard uncertainty), and the chance that "+
			"wind's kWh is the cheapest, %s, means little: measure, or find better data", 100*e.SD.Value/e.Mean.Value, chance(c.odds))}
	}
	switch c.outcome {
	case cheaper:
		return WorthIt, &Reason{"odds", fmt.Sprintf("the chance that wind's kWh is the cheapest over the years is %s; from %.0f %% on it is called worth it",
			chance(c.odds), 100*t.WorthIt)}
	case dearer:
		return NotWorthIt, &Reason{"odds", fmt.Sprintf("the chance that wind's kWh is the cheapest over the years is %s; up to %.0f %% it is called "+
			"not worth it", chance(c.odds), 100*t.NotWorthIt)}
	}
	return CloseCall, &Reason{"odds", fmt.Sprintf("the chance that wind's kWh is the cheapest over the years is %s; between %.0f and %.0f %% it is "+
		"called close", chance(c.odds), 100*t.NotWorthIt, 100*t.WorthIt)}
}

// outcome is how wind's cost per kWh comes off beside another.
type outcome uint8

const (
	asGood outcome = iota
	cheaper
	dearer
)

// comparison is wind's cost per kWh beside another, with the odds that it is lower (NaN where none were drawn).
type comparison struct {
	wind, other, odds float64
	outcome           outcome
}

func (t *Thresholds) compare(h *Height, other float64, of func(*HeightOdds) float64) comparison {
	c := comparison{wind: h.Cost.PerKWh, other: other, odds: nan}
	if h.Odds != nil {
		c.odds = of(h.Odds)
	}
	switch {
	case c.odds >= t.WorthIt || c.odds != c.odds && c.wind <= other*(1-closeCallMargin):
		c.outcome = cheaper
	case c.odds <= t.NotWorthIt || c.odds != c.odds && c.wind >= other*(1+closeCallMargin):
		c.outcome = dearer
	}
	return c
}

// code says what the other is: "cheaper", "close" or "dearer".
func (c *comparison) code() string {
	return [...]string{cheaper: "dearer", asGood: "close", dearer: "cheaper"}[c.outcome]
}

func (c *comparison) words() string {
	var out string
	switch ratio := c.wind / c.other; {
	case c.other == 0:
		return "nothing can be cheaper"
	case ratio >= 1.05:
		out = fmt.Sprintf("wind's kWh costs %.1f times that", ratio)
		if ratio < 1.95 {
			out = fmt.Sprintf("wind's kWh costs %.0f %% more", 100*(ratio-1))
		}
	case ratio <= 0.95:
		out = fmt.Sprintf("wind's kWh costs %.0f %% less", 100*(1-ratio))
	default:
		out = "about the same as wind's"
	}
	if c.odds == c.odds {
		out += fmt.Sprintf(", and the chance that it comes out cheaper is %s", chance(c.odds))
	}
	return out
}

// chance is a probability in words; of next to nothing and next to all no more is known than that.
func chance(p float64) string {
	switch {
	case p < 0.01:
		return "less than 1 %"
	case p > 0.99:
		return "more than 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

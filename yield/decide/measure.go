package decide

import (
	"fmt"
	"math"
)

// Prospect is a decision that hangs on how much wind there is.
type Prospect struct {
	// Value is the expected net worth of building instead of the alternative, money at present value, if the true long-run wind
	// at the hub is factor (above 0) times its estimate. Above 0 building is the better. It may run as it likes, and may change
	// its sign more than once, but must be a number at every factor within nine standard uncertainties.
	Value func(factor float64) float64
	// SpeedSD is the relative standard uncertainty of the wind at the hub as known today: the standard deviation of the
	// factor's logarithm, a share from 0 to 1.
	SpeedSD float64
	// Keeps is the part of SpeedSD that no measuring takes away, 0 to SpeedSD: the luck of the years to come, and what between
	// the mast and the hub stays unknown.
	Keeps float64
}

// Campaign is one way to measure before deciding.
type Campaign struct {
	Months int // whole months, from 1
	// NoiseSD is the relative standard uncertainty of the long-run wind at the hub that the campaign gives by itself, from 0;
	// +Inf for one that tells nothing. NoiseOf has a model of it.
	NoiseSD float64
	// Cost is what measuring costs, money at present value, from 0. What the delay costs is not asked for: a caller who
	// knows it adds it here.
	Cost float64
}

// Today is the decision as it stands without measuring.
type Today struct {
	ExpectedValue float64 // mean of Value, money
	Build         bool    // whether it is above 0
	// ChanceWrong is the probability that the other choice would turn out the better, 0 to 1.
	ChanceWrong float64
	// ValueOfKnowing is the expected value of perfect information: what knowing the true wind before deciding would gain in
	// the mean, money. It is as well the expected cost of a wrong decision today.
	ValueOfKnowing float64
}

// Worth is what one campaign does for the decision.
type Worth struct {
	Campaign
	SpeedSDAfter float64 // relative standard uncertainty of the wind at the hub after measuring
	Shrink       float64 // share of today's SpeedSD that is gone, 0 to 1
	// FlipChance is the probability, as seen today, that what is measured turns the decision round, 0 to 1.
	FlipChance float64
	// ValueOfMeasuring is the expected value of sample information: what deciding after the campaign rather than today gains
	// in the mean, money, before the campaign's cost; from 0 to Today.ValueOfKnowing.
	ValueOfMeasuring float64
	NetOfCost        float64 // ValueOfMeasuring less the campaign's cost
}

// Measured is the worth of campaigns, in the order they were given, beside the decision of today.
type Measured struct {
	Today     Today
	Campaigns []Worth
}

// Measure works out what each campaign is worth. The error is a *Fault.
//
// With the logarithm of the factor normal, of variance s², of which l² = s² − Keeps² can be learnt, a campaign with noise n
// will move its mean by a normal amount of variance τ² = l⁴/(l² + n²), and leave a variance of s² − τ².
func Measure(p Prospect, campaigns []Campaign) (Measured, error) {
	if err := p.validate(); err != nil {
		return Measured{}, err
	}
	for i := range campaigns {
		if err := campaigns[i].validate(i); err != nil {
			return Measured{}, err
		}
	}
	b := newBelief(&p)
	out := Measured{Today: b.today(), Campaigns: make([]Worth, len(campaigns))}
	for i, c := range campaigns {
		out.Campaigns[i] = b.worth(c, &out.Today)
	}
	if b.bad != 0 {
		return Measured{}, faultf("value", "must be a number for every wind, but at %.4g times the estimate it is %g; bound it there", b.bad, p.Value(b.bad))
	}
	return out, nil
}

func (p *Prospect) validate() error {
	switch {
	case p.Value == nil:
		return faultf("value", "must be given: the worth of building as a function of the wind")
	case !(p.SpeedSD >= 0 && p.SpeedSD <= 1):
		return faultf("speed_sd", "must be a share from 0 to 1, not %g", p.SpeedSD)
	case !(p.Keeps >= 0 && p.Keeps <= p.SpeedSD):
		return faultf("keeps", "must be from 0 to speed_sd, which is %g and holds it, not %g", p.SpeedSD, p.Keeps)
	}
	return nil
}

func (c *Campaign) validate(i int) error {
	at := func(name string) string { return fmt.Sprintf("campaigns[%d].%s", i, name) }
	switch {
	case c.Months < 1:
		return faultf(at("months"), "must be a month or more, not %d", c.Months)
	case !(c.NoiseSD >= 0):
		return faultf(at("noise_sd"), "must be a share from 0, not %g", c.NoiseSD)
	case !(c.Cost >= 0 && c.Cost < math.Inf(1)):
		return faultf(at("cost"), "must be a sum of money from 0, not %g", c.Cost)
	}
	return nil
}

// today is the decision without measuring.
func (b *belief) today() Today {
	t := Today{ExpectedValue: b.mean, Build: b.mean > 0}
	if t.Build {
		t.ChanceWrong, t.ValueOfKnowing = b.below, b.losses
	} else {
		t.ChanceWrong, t.ValueOfKnowing = b.above, b.gains
	}
	return t
}

// worth is what a campaign does.
func (b *belief) worth(c Campaign, t *Today) Worth {
	w := Worth{Campaign: c, SpeedSDAfter: b.sd, NetOfCost: -c.Cost}
	learnable := math.Sqrt((b.sd - b.keeps) * (b.sd + b.keeps))
	if learnable == 0 || math.IsInf(c.NoiseSD, 1) {
		return w
	}
	// Shares of the learnable and of the whole variance, in a form that loses no digits at either end.
	told := learnable / math.Hypot(learnable, c.NoiseSD) // its square is τ²/l²
	left := c.NoiseSD / math.Hypot(learnable, c.NoiseSD)
	rho := learnable / b.sd * told                        // τ/s
	rest := math.Hypot(b.keeps/b.sd, learnable/b.sd*left) // √(1 − ρ²)
	w.SpeedSDAfter = b.sd * rest
	w.Shrink = math.Max(0, 1-rest)
	if rest < 1e-9 {
		w.FlipChance, w.ValueOfMeasuring = t.ChanceWrong, t.ValueOfKnowing
	} else {
		w.FlipChance, w.ValueOfMeasuring = b.learn(rho, rest)
	}
	// Rounding must not make measuring worth less than nothing, or more than knowing.
	w.ValueOfMeasuring = math.Min(math.Max(0, w.ValueOfMeasuring), t.ValueOfKnowing)
	w.NetOfCost = w.ValueOfMeasuring - c.Cost
	return w
}

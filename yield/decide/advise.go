package decide

import (
	"math"
	"slices"
)

// Code says what to do next.
type Code string

// The codes of advice.
const (
	DecideNowBuild Code = "decide_now_build"
	DecideNowLeave Code = "decide_now_leave" // take the alternative
	MeasureMonths  Code = "measure_months"
)

// Reason says why.
type Reason string

// The reasons of advice.
const (
	// LittleAtStake: even knowing the wind would gain less than the stated share of what is to be paid.
	LittleAtStake Reason = "little_at_stake"
	// NoGain: no campaign gains more than it costs.
	NoGain Reason = "no_gain"
	// Gain: deciding after the campaign gains more than the campaign costs.
	Gain Reason = "gain"
)

// Thresholds are the judgements of Advise. The zero value of each stands for its default.
type Thresholds struct {
	// LittleShare is the share of the capital below which the value of knowing is little; 0 to 1, default 0.02 (judgement).
	// Below 0 for none.
	LittleShare float64
	// NearBest is how much less than the largest net gain a shorter campaign may bring and still be taken, a share from 0 to
	// below 1, default 0.10 (judgement). Below 0 for none.
	NearBest float64
}

// Advice is a recommended next step, with the numbers it rests on, money at present value.
type Advice struct {
	Code   Code
	Reason Reason
	Months int // for MeasureMonths, else 0
	// Campaign is the place of the campaign taken in Measured.Campaigns; −1 for none.
	Campaign       int
	NetGain        float64 // of the campaign taken; 0 for none
	LargestNetGain float64 // of any campaign, 0 or more; 0 if none gains
	FlipChance     float64 // of the campaign taken; 0 for none
	ChanceWrong    float64 // of deciding today
	ValueOfKnowing float64 // which is the expected cost of a wrong decision today
	Little         float64 // below this the value of knowing is little
}

// Advise recommends a next step: to decide now where knowing the wind is worth little beside the capital (what building costs,
// money from 0), or where no campaign gains more than it costs; else the shortest campaign whose net gain is near the largest.
// The error is a *Fault.
func Advise(m Measured, capital float64, t Thresholds) (Advice, error) {
	if t.LittleShare == 0 {
		t.LittleShare = 0.02
	}
	if t.NearBest == 0 {
		t.NearBest = 0.10
	}
	switch {
	case !(capital >= 0 && capital < math.Inf(1)):
		return Advice{}, faultf("capital", "must be a sum of money from 0, not %g", capital)
	case !(t.LittleShare <= 1):
		return Advice{}, faultf("little_share", "must be a share up to 1, not %g", t.LittleShare)
	case !(t.NearBest < 1):
		return Advice{}, faultf("near_best", "must be a share below 1, not %g", t.NearBest)
	}
	a := Advice{Code: DecideNowLeave, Reason: LittleAtStake, Campaign: -1, ChanceWrong: m.Today.ChanceWrong,
		ValueOfKnowing: m.Today.ValueOfKnowing, Little: capital * math.Max(0, t.LittleShare)}
	if m.Today.Build {
		a.Code = DecideNowBuild
	}
	for _, w := range m.Campaigns {
		a.LargestNetGain = math.Max(a.LargestNetGain, w.NetOfCost)
	}
	if a.ValueOfKnowing < a.Little {
		return a, nil
	}
	a.Reason = NoGain
	if !(a.LargestNetGain > 0) {
		return a, nil
	}
	a.Code, a.Reason = MeasureMonths, Gain
	a.Campaign = shortest(m.Campaigns, a.LargestNetGain*(1-math.Max(0, t.NearBest)))
	w := &m.Campaigns[a.Campaign]
	a.Months, a.NetGain, a.FlipChance = w.Months, w.NetOfCost, w.FlipChance
	return a, nil
}

// shortest is the place of the shortest campaign with a net gain of at least enough; of two as short, that of the larger gain.
func shortest(campaigns []Worth, enough float64) int {
	order := make([]int, 0, len(campaigns))
	for i, w := range campaigns {
		if w.NetOfCost >= enough {
			order = append(order, i)
		}
	}
	return slices.MinFunc(order, func(i, j int) int {
		a, b := &campaigns[i], &campaigns[j]
		switch {
		case a.Months != b.Months:
			return a.Months - b.Months
		case a.NetOfCost > b.NetOfCost:
			return -1
		case a.NetOfCost < b.NetOfCost:
			return 1
		}
		return 0
	})
}

package bins

import (
	"fmt"
	"math"
)

// What a test must hold, of IEC 61400-12-1 and its annex for small machines. From memory.
const (
	smallBinMinutes    = 10    // averages of a minute
	smallHours         = 60    //
	standardBinMinutes = 30    // averages of ten minutes
	standardHours      = 180   //
	highestMS          = 14    // bins up to here must be complete
	belowCutInMS       = 1     // and from so far below cut-in
	fewestPeriods      = 3     // of a complete bin, whatever they last
	startShare         = 0.005 // of the most power, to count as some
	workingShare       = 0.25
)

// rules are the minutes of a bin and the hours in all that a test needs at an averaging period. Fewer than three periods tell
// no scatter, whatever they last.
func rules(averagingS int64) (binMinutes, hours float64) {
	three := fewestPeriods * float64(averagingS) / 60
	if averagingS >= standardAveragingS {
		return max(standardBinMinutes, three), standardHours
	}
	return max(smallBinMinutes, three), smallHours
}

// peak is the bin with the most power, of those with at least three periods or, where there is none, of all; −1 for none.
func peak(bins []Bin) int {
	best := -1
	for _, least := range [...]int{fewestPeriods, 1} {
		for i := range bins {
			if bins[i].N >= least && (best < 0 || bins[i].PowerW > bins[best].PowerW) {
				best = i
			}
		}
		if best >= 0 {
			break
		}
	}
	return best
}

// cutIn is the lowest bin from which up to a quarter of the most power every bin makes some: half a per cent of the most, and
// more than its scatter. Higher bins are not looked at: there, a machine that was braked for a while would pass for one that
// does not start. NaN for none.
func cutIn(bins []Bin) float64 {
	top := peak(bins)
	if top < 0 || !(bins[top].PowerW > 0) {
		return math.NaN()
	}
	start := top
	for i := range bins[:top] {
		if bins[i].N >= min(fewestPeriods, bins[top].N) && bins[i].PowerW >= workingShare*bins[top].PowerW {
			start = i
			break
		}
	}
	for i := start - 1; i >= 0; i-- {
		b := &bins[i]
		if b.N < min(fewestPeriods, bins[top].N) { // a lull, in which the rotor still turns, is no start
			continue
		}
		if !(b.PowerW > startShare*bins[top].PowerW) || b.PowerW < 2*b.UncertaintyAW {
			break
		}
		start = i
	}
	return bins[start].CentreMS
}

// judge says whether the test is complete and what is missing.
func (r *Result) judge(o *Options) {
	r.CutInMS = cutIn(r.Bins)
	r.FromMS, r.ToMS = math.NaN(), math.NaN()
	if math.IsNaN(r.CutInMS) {
		r.Missing = append(r.Missing, "the machine made no power in any bin: log it in stronger wind")
		return
	}
	r.FromMS = max(0, r.CutInMS-belowCutInMS)
	r.ToMS = max(r.CutInMS, min(highestMS, o.CutOutMS))
	held := map[float64]*Bin{}
	for i := range r.Bins {
		held[r.Bins[i].CentreMS] = &r.Bins[i]
	}
	emptyFrom := math.NaN()
	for v := r.FromMS; v <= r.ToMS+binWidthMS; v += binWidthMS {
		b := held[v]
		empty := v <= r.ToMS && (b == nil || b.N == 0)
		if empty && math.IsNaN(emptyFrom) {
			emptyFrom = v
		}
		if !empty && !math.IsNaN(emptyFrom) {
			r.missEmpty(emptyFrom, v-binWidthMS)
			emptyFrom = math.NaN()
		}
		if v > r.ToMS || empty {
			continue
		}
		r.RangeHours += b.Minutes / 60
		if !b.Complete {
			r.Missing = append(r.Missing, fmt.Sprintf("the bin at %.1f m/s holds %.3g of the %.0f minutes it needs", v, b.Minutes, r.NeedMinutes))
		}
	}
	if r.RangeHours < r.NeedH {
		r.Missing = append(r.Missing, fmt.Sprintf("the log holds %.1f of the %.0f hours it needs with wind from %.1f to %.1f m/s; %.1f are missing",
			r.RangeHours, r.NeedH, r.FromMS, r.ToMS, r.NeedH-r.RangeHours))
	}
	r.Complete = len(r.Missing) == 0
}

func (r *Result) missEmpty(from, to float64) {
	if from == to {
		r.Missing = append(r.Missing, fmt.Sprintf("the bin at %.1f m/s holds nothing; it needs %.0f minutes", from, r.NeedMinutes))
		return
	}
	r.Missing = append(r.Missing, fmt.Sprintf("the bins from %.1f to %.1f m/s hold nothing; each needs %.0f minutes", from, to, r.NeedMinutes))
}

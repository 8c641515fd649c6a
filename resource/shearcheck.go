package resource

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// What Warnings warns of.
const (
	// ShearCheckLimit is the share by which the speed predicted at another height may be off, 3 %: a tenth in energy, and
	// more than two good cups differ. Judgement.
	ShearCheckLimit = 0.03
	// ShearErrorLimit is the standard error of the overall exponent that is still small, 0.03: carried to twice the height,
	// 2 % of the speed. Judgement.
	ShearErrorLimit = 0.03
)

// ShearCheck holds the profile between the two heights of a ShearTable against a third speed of the record: the speed there
// is predicted from that of the two heights nearer to it, as a ratio, hour by hour with the exponent of each hour's class.
type ShearCheck struct {
	HeightM       float64 // m above ground
	Channel       int     // its place in Series.Channels
	PredictedMS   float64 // mean, m/s
	MeasuredMS    float64 // mean over the same samples, m/s
	RelativeError float64 // predicted over measured, less 1
	N             int     // samples usable at all three, the pair above 3 m/s
}

// check fills Checks from every other speed channel of known height that shares 50 hours with the pair.
func (t *ShearTable) check(s *Series) {
	for _, i := range s.SpeedChannels() {
		if c := &s.Channels[i]; i != t.Low && i != t.High && c.HeightM > 0 {
			if found := t.checkAgainst(s, i); s.shearEnough(found.N) && found.MeasuredMS > 0 {
				t.Checks = append(t.Checks, found)
				t.HighestM = math.Max(t.HighestM, found.HeightM)
			}
		}
	}
	slices.SortStableFunc(t.Checks, func(a, b ShearCheck) int { return cmp.Compare(a.HeightM, b.HeightM) })
}

func (t *ShearTable) checkAgainst(s *Series, channel int) ShearCheck {
	a, b, c := &s.Channels[t.Low], &s.Channels[t.High], &s.Channels[channel]
	from, fromM := a, t.LowM
	if c.HeightM*c.HeightM > t.LowM*t.HighM {
		from, fromM = b, t.HighM
	}
	factors := make([]float64, len(t.classes))
	for i := range factors {
		factors[i] = math.Exp(t.classes[i].Exponent * math.Log(c.HeightM/fromM))
	}
	out := ShearCheck{HeightM: c.HeightM, Channel: channel}
	direction := s.shearDirection(t.Low)
	clock := shearClock{offset: s.UTCOffsetS}
	for i, v := range c.Values {
		if !shearPair(a, b, i) || !c.Usable(i) {
			continue
		}
		clock.turn(s.Times[i])
		day := clock.when(s.Times[i]) == 1
		out.N++
		out.PredictedMS += from.Values[i] * factors[shearPlace(sectorAt(direction, i, t.Sectors), day, clock.month)]
		out.MeasuredMS += v
	}
	out.PredictedMS /= float64(out.N)
	out.MeasuredMS /= float64(out.N)
	out.RelativeError = out.PredictedMS/out.MeasuredMS - 1
	return out
}

// Warnings tells where the table is weak: "shear_check" for each of Checks that is off by more than ShearCheckLimit, and
// "shear_uncertain" where the standard error of the overall exponent is above ShearErrorLimit, or not known. How far above
// HighestM a hub may stand is for the caller to judge.
func (t ShearTable) Warnings() []Warning {
	var out []Warning
	for _, c := range t.Checks {
		if math.Abs(c.RelativeError) > ShearCheckLimit {
			out = append(out, Warning{Code: "shear_check", Detail: fmt.Sprintf("the profile between %.3g m and %.3g m predicts a mean of %.2f m/s "+
				"at %.3g m, where %.2f m/s was measured, %+.1f %%: check heights, calibrations and mast shadow of all three sensors, or "+
				"leave one out", t.LowM, t.HighM, c.PredictedMS, c.HeightM, c.MeasuredMS, 100*c.RelativeError)})
		}
	}
	switch e := t.all.StandardError; {
	case len(t.classes) == 0:
	case math.IsNaN(e):
		out = append(out, Warning{Code: "shear_uncertain", Detail: fmt.Sprintf("the shear between %.3g m and %.3g m rests on a few days, "+
			"so that its error is not known: measure for longer", t.LowM, t.HighM)})
	case e > ShearErrorLimit:
		out = append(out, Warning{Code: "shear_uncertain", Detail: fmt.Sprintf("the shear exponent of %.3f between %.3g m and %.3g m has a "+
			"standard error of %.3f, which is %.1f %% of the speed at twice the height: measure for longer, or further apart",
			t.Overall, t.LowM, t.HighM, e, 100*e*math.Ln2)})
	}
	return out
}

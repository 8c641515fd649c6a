package resource

import (
	"fmt"
	"math"
)

// What counts as a flat line. Airports report whole knots and tens of degrees every hour: their honest records hold the
// same speed up to 15 times running. So the length that is too long is found from the record itself. If p is the share
// of values equal to the one before, a run of L by chance is expected N·p^(L−1) times; the L at which that is 1/1000 is
// the longest run that chance makes. Wind is steadier than chance, so half as much again is allowed. Judgement, checked
// against nineteen public records.
const (
	flatChance   = 1e-3               // expected number of runs that chance alone makes as long
	flatMargin   = 1.5                // times the longest run of chance
	flatFewest   = 6                  // values at least
	flatShortest = 1 * secondsPerHour // s at least
)

// findFlat reports runs of the same value, for speed (but not calms) and direction (but not in calms, for which many
// stations report 0). A gap in time or values ends a run.
func findFlat(s *Series, channel int, report reporter) {
	c := &s.Channels[channel]
	var speed *Channel
	switch c.Quantity {
	case Speed:
		speed = c
	case Direction:
		if i := s.Find(Speed, c.HeightM); i >= 0 {
			speed = &s.Channels[i]
		}
	default:
		return
	}
	counts := func(i int) bool { return c.Usable(i) && (speed == nil || speed.Values[i] != 0) }
	n, equal := 0, 0
	eachRun(s, c, counts, func(from, to int) {
		n += to - from + 1
		equal += to - from
	})
	longest := flatLimit(n, equal)
	eachRun(s, c, counts, func(from, to int) {
		run := to - from + 1
		if float64(run) > longest && int64(run)*s.StepS >= flatShortest {
			report(from, to, fmt.Sprintf("%g stands for %d steps (%.3g h); in this record up to %.0f can be chance",
				c.Values[from], run, float64(run)*float64(s.StepS)/secondsPerHour, math.Floor(longest)))
		}
	})
}

// flatLimit is the longest run allowed among n values, equal of which equal the one before.
func flatLimit(n, equal int) float64 {
	if n == 0 {
		return math.Inf(1)
	}
	p := math.Max(float64(equal), 1) / float64(n)
	if p >= 1 {
		return flatFewest
	}
	chance := 1 + math.Log(float64(n)/flatChance)/-math.Log(p)
	return math.Max(flatFewest-1, flatMargin*chance)
}

// eachRun calls run for every stretch of equal values that count, without gaps, single values included.
func eachRun(s *Series, c *Channel, counts func(i int) bool, run func(from, to int)) {
	for i := 0; i < len(c.Values); {
		if !counts(i) {
			i++
			continue
		}
		from := i
		for i++; i < len(c.Values) && c.Values[i] == c.Values[from] && s.joined(i) && counts(i); i++ {
		}
		run(from, i-1)
	}
}

// What counts as icing. Frosty nights are often calm, so stillness alone says little. A vane that stands still at some
// angle says more; one that is absent, or reads 0 as many stations do in calms, says nothing, and then only a day without
// a breath counts. Leaving out true calms would flatter a site: in doubt the values stay. Judgement.
const (
	icingBelowC     = 2                   // °C throughout; sensors and ice are not exact
	icingStillMS    = 1                   // the speed stands, to the digit, at or below what a stopped cup reads with its offset
	icingVaneDeg    = 3                   // the vane moves no more than this
	icingWithVane   = 6 * secondsPerHour  // s at least, where the vane stands still
	icingVaneAbsent = 24 * secondsPerHour // s at least, where there is no telling from the vane
)

// findIcing reports stretches of a speed channel that stands still in frost; without temperature there are none.
func findIcing(s *Series, channel int, report reporter) {
	c := &s.Channels[channel]
	air := s.Find(Temperature, c.HeightM)
	if c.Quantity != Speed || air < 0 {
		return
	}
	temperature := &s.Channels[air]
	var vane *Channel
	if i := s.Find(Direction, c.HeightM); i >= 0 {
		vane = &s.Channels[i]
	}
	still := func(i int) bool {
		return c.Usable(i) && c.Values[i] <= icingStillMS && temperature.possible(i) && temperature.Values[i] < icingBelowC
	}
	eachRun(s, c, still, func(from, to int) {
		lasts := int64(to-from+1) * s.StepS
		if lasts < icingWithVane {
			return
		}
		swing, known := vane.swing(from, to)
		switch {
		case known && swing <= icingVaneDeg:
			report(from, to, fmt.Sprintf("the speed stands at %g m/s and the vane within %.1f° for %.3g h below %d °C",
				c.Values[from], swing, float64(lasts)/secondsPerHour, icingBelowC))
		case !known && lasts >= icingVaneAbsent:
			report(from, to, fmt.Sprintf("the speed stands at %g m/s for %.3g h below %d °C",
				c.Values[from], float64(lasts)/secondsPerHour, icingBelowC))
		}
	})
}

// swing is how far a vane moves either way, in all, from where it stood at the beginning of a stretch, degrees. It is not
// known where there is no vane, or it reads nothing but missing values and 0, the code for calm.
func (c *Channel) swing(from, to int) (degrees float64, known bool) {
	if c == nil {
		return 0, false
	}
	start, low, high := math.NaN(), 0.0, 0.0
	for i := from; i <= to; i++ {
		if !c.possible(i) {
			continue
		}
		v := c.Values[i]
		known = known || (v != 0 && v != 360)
		if math.IsNaN(start) {
			start = v
		}
		turn := math.Remainder(v-start, 360)
		low, high = min(low, turn), max(high, turn)
	}
	return high - low, known
}

// possible reports whether value i is present and can be true. A vane that stands still is flagged for it, but that is
// what is looked for.
func (c *Channel) possible(i int) bool {
	return !math.IsNaN(c.Values[i]) && (c.Flags == nil || c.Flags[i]&^FlagFlat == 0)
}

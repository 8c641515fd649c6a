package resource

import (
	"fmt"
	"math"
)

// What counts as a flat line. Airports report whole knots and tens of degrees every hour: their honest records hold the
// same speed up to 15 times running. So the length that is too long is found from the record itself. If p is the share
// of values equal to the one before, a run of L by chance is expected N·p^(L−1) times; the L at which that is 1/1000 is
// the longest run that chance makes. Wind is steadier than chance, so half as much again is allowed, and more to
// directions, which a valley can hold in one ten-degree step for most of a day. Judgement, checked against nineteen public
// records.
var flatLimits = []Limit{
	{"flat_line.chance", 1e-3, "", 1e-9, 1, "expected number of runs that chance alone makes as long"},
	{"flat_line.margin", 1.5, "", 1, 100, "how many times the longest run of chance is allowed to a speed"},
	{"flat_line.margin_direction", 2.5, "", 1, 100, "the same for a direction"},
	{"flat_line.fewest_values", 6, "", 2, 10000, "shortest run that is flagged, in values"},
	{"flat_line.shortest_h", 1, "h", 0, 1000, "shortest run that is flagged, in time"},
}

// The places of flatLimits.
const (
	flatChance = iota
	flatMargin
	flatMarginDirection
	flatFewest
	flatShortest
)

// findFlat flags runs of the same value, for speed (but not calms) and direction (but not in calms, for which many
// stations report 0). A gap in time or values ends a run.
func findFlat(x *screening, channel int) {
	s := x.s
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
	type run struct{ from, to int }
	var long []run // those that can be too long at all
	fewest := int(x.limits[flatFewest])
	eachRun(s, c, counts, func(from, to int) {
		n += to - from + 1
		equal += to - from
		if to-from+1 >= fewest {
			long = append(long, run{from, to})
		}
	})
	margin := x.limits[flatMargin]
	if c.Quantity == Direction {
		margin = x.limits[flatMarginDirection]
	}
	longest := x.flatLimit(n, equal, margin)
	for _, r := range long {
		values := float64(r.to - r.from + 1)
		if hours := values * float64(s.StepS) / secondsPerHour; values > longest && hours >= x.limits[flatShortest] {
			x.stretch(channel, r.from, r.to, fmt.Sprintf("%g stands for %.0f steps (%.3g h); in this record up to %.0f can be chance",
				c.Values[r.from], values, hours, math.Floor(longest)))
		}
	}
}

// flatLimit is the longest run allowed among n values, equal of which equal the one before: margin times that of chance.
func (x *screening) flatLimit(n, equal int, margin float64) float64 {
	if n == 0 {
		return math.Inf(1)
	}
	p := math.Max(float64(equal), 1) / float64(n)
	if p >= 1 {
		return x.limits[flatFewest]
	}
	chance := max(1, 1+math.Log(float64(n)/x.limits[flatChance])/-math.Log(p))
	return math.Max(x.limits[flatFewest]-1, margin*chance)
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
var icingLimits = []Limit{
	{"icing.below_c", 2, "°C", -50, 20, "temperature below which ice is thought of: sensors and ice are not exact"},
	{"icing.still_m_s", 1, "m/s", 0, 5, "highest speed that a stopped cup reads, with its offset"},
	{"icing.vane_deg", 3, "°", 0, 90, "how far an iced vane moves at most"},
	{"icing.with_vane_h", 6, "h", 0.5, 1000, "shortest stretch where the vane stands still too"},
	{"icing.without_vane_h", 24, "h", 0.5, 1000, "shortest stretch where the vane tells nothing"},
}

// The places of icingLimits.
const (
	icingBelow = iota
	icingStill
	icingVane
	icingWithVane
	icingWithoutVane
)

// findIcing flags stretches of a speed channel that stands still in frost; without temperature there are none.
func findIcing(x *screening, channel int) {
	s := x.s
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
	belowC, stillMS := x.limits[icingBelow], x.limits[icingStill]
	still := func(i int) bool {
		return c.Values[i] <= stillMS && c.Usable(i) && temperature.Values[i] < belowC && temperature.possible(i)
	}
	eachRun(s, c, still, func(from, to int) {
		hours := float64(to-from+1) * float64(s.StepS) / secondsPerHour
		if hours < min(x.limits[icingWithVane], x.limits[icingWithoutVane]) {
			return
		}
		swing, known := vane.swing(from, to)
		switch {
		case known && swing <= x.limits[icingVane] && hours >= x.limits[icingWithVane]:
			x.stretch(channel, from, to, fmt.Sprintf("the speed stands at %g m/s and the vane within %.1f° for %.3g h below %g °C",
				c.Values[from], swing, hours, belowC))
		case !known && hours >= x.limits[icingWithoutVane]:
			x.stretch(channel, from, to, fmt.Sprintf("the speed stands at %g m/s for %.3g h below %g °C", c.Values[from], hours, belowC))
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

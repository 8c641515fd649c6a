package extreme

import (
	"math"
	"slices"

	"mastworth/resource"
)

// gustByStep is a gust of 3 s over the largest mean of a step, by the step's length, s: 1.4 for 10 minutes as in IEC 61400-2,
// 1.08 times that for an hour and less for a minute, after the curve of Durst 1960, all from memory; beyond an hour a judgement,
// the day's such that daily means of open lowland give about the gusts such country is known for.
var gustByStep = [...][2]float64{{3, 1}, {60, 1.2}, {600, 1.4}, {3600, 1.4 * hourFactor}, {10800, 1.65}, {86400, 2.5}}

// hourFactor is the largest mean of 10 minutes over that of the hour: handbooks have 1.05 to 1.1 (from memory).
const hourFactor = 1.08

// stepGust is the gust of 3 s over the mean of a step, linear in the logarithm of its length.
func stepGust(stepS int64) float64 {
	t := float64(stepS)
	table := gustByStep[:]
	if !(t > table[0][0]) {
		return table[0][1]
	}
	for i := 1; i < len(table); i++ {
		if a, b := table[i-1], table[i]; t <= b[0] {
			return a[1] + (b[1]-a[1])*math.Log(t/a[0])/math.Log(b[0]/a[0])
		}
	}
	return table[len(table)-1][1]
}

// What a measured gust factor must rest on, and where it must lie. Judgement.
const (
	gustShare   = 0.01 // of the steps with a gust, those with the strongest mean
	fewestGusts = 50
	lowestGust  = 1.1
	highestGust = 3
	sameHeightM = 1 // the gust's sensor is that of the speed
)

// recordGust is the mean gust over the mean speed in the strongest hundredth of the steps that have both, at least 50; NaN
// where the record has no gusts at the channel's height, too few, or none that gusts can be.
func recordGust(s *resource.Series, c *resource.Channel) float64 {
	i := s.Find(resource.Gust, c.HeightM)
	if i < 0 {
		return math.NaN()
	}
	g := &s.Channels[i]
	if math.Abs(g.HeightM-c.HeightM) > sameHeightM || math.IsNaN(g.HeightM) != math.IsNaN(c.HeightM) {
		return math.NaN()
	}
	var speeds []float64
	both := func(i int) bool { return usable(c, i) && usable(g, i) && c.Values[i] > 0 && g.Values[i] >= c.Values[i] }
	for i, v := range c.Values {
		if both(i) {
			speeds = append(speeds, v)
		}
	}
	if len(speeds) < fewestGusts {
		return math.NaN()
	}
	slices.Sort(speeds)
	from := speeds[len(speeds)-max(fewestGusts, int(gustShare*float64(len(speeds))))]
	mean, gust := 0.0, 0.0
	for i, v := range c.Values {
		if v >= from && both(i) {
			mean += v
			gust += g.Values[i]
		}
	}
	if f := gust / mean; f >= lowestGust && f <= highestGust {
		return f
	}
	return math.NaN()
}

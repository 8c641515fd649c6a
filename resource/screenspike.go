package resource

import (
	"fmt"
	"math"
)

// What counts as a spike. Squalls and fronts are steep too, but they rise and stay, or they rise by less. A quantity that
// is not listed is never looked at: humidity and irradiance jump honestly. A record whose values always jump is given more
// room: so many times its own mean step. Judgement, checked against public records.
var spikeLimits = []Limit{
	{"spike.speed_m_s", 20, "m/s", 2, 100, "how far a mean speed stands above or below both neighbours"},
	{"spike.speed_sd_m_s", 10, "m/s", 1, 100, "the same for the standard deviation of speed"},
	{"spike.gust_m_s", 40, "m/s", 5, 200, "the same for the gust: downbursts come and go within minutes"},
	{"spike.temperature_k", 15, "K", 1, 100, "the same for the temperature"},
	{"spike.pressure_pa", 2000, "Pa", 100, 50000, "the same for the pressure"},
	{"spike.mean_steps", 12, "", 0, 1000, "how many mean steps of the record itself it must stand out as well"},
	{"spike.longest_values", 3, "", 1, 100, "longest spike, in values"},
	{"spike.longest_h", 1, "h", 0, 24, "longest spike, in time; a single value may last up to three hours"},
}

// The places of spikeLimits.
const (
	spikeSpeed = iota
	spikeSpeedSD
	spikeGust
	spikeTemperature
	spikePressure
	spikeMeanSteps
	spikeValues
	spikeHours
)

// spikeLongestStepS is the longest averaging step, s, over which air cannot do what a spike does.
const spikeLongestStepS = 3 * secondsPerHour

var spikeOf = map[Quantity]struct {
	limit int
	unit  string
}{
	Speed:       {spikeSpeed, "m/s"},
	SpeedSD:     {spikeSpeedSD, "m/s"},
	Gust:        {spikeGust, "m/s"},
	Temperature: {spikeTemperature, "K"},
	Pressure:    {spikePressure, "Pa"},
}

// findSpike flags values that stand out from what comes before and after them, both without a gap.
func findSpike(x *screening, channel int) {
	s := x.s
	c := &s.Channels[channel]
	kind, ok := spikeOf[c.Quantity]
	if !ok || s.StepS <= 0 || s.StepS > spikeLongestStepS {
		return
	}
	least := x.limits[kind.limit]
	longest := max(1, int(min(x.limits[spikeValues], x.limits[spikeHours]*secondsPerHour/float64(s.StepS))))
	wide := false // the mean step is only worked out where it can matter
	v := c.Values
	for i := 1; i+1 < len(v); i++ {
		if !(math.Abs(v[i]-v[i-1]) > least) || !s.follows(c, i) || !c.Usable(i-1) {
			continue
		}
		if !wide {
			wide = true
			least = max(least, x.limits[spikeMeanSteps]*s.meanStep(c))
			i-- // once more, against the wider limit
			continue
		}
		end := s.spikeEnd(c, i, longest, least)
		if end == i {
			continue
		}
		away := min(math.Abs(v[i]-v[i-1]), math.Abs(v[end-1]-v[end]))
		x.stretch(channel, i, end-1, fmt.Sprintf("%.6g stands %.4g %s away from the %.6g before and the %.6g after; in this record more than %.4g is too much",
			v[i], away, kind.unit, v[i-1], v[end], least))
		i = end
	}
}

// spikeEnd is the row after a spike that begins at row i; i where it is none.
func (s *Series) spikeEnd(c *Channel, i, longest int, least float64) int {
	side := math.Copysign(1, c.Values[i]-c.Values[i-1])
	lowest := math.Inf(1) // how far the part so far stands out at least
	for end := i; end < len(c.Values) && end-i <= longest; end++ {
		if !s.follows(c, end) {
			return i
		}
		out := side * (c.Values[end] - c.Values[i-1])
		if end > i && lowest-out > least {
			return end
		}
		if out <= least {
			return i
		}
		lowest = min(lowest, out)
	}
	return i
}

// follows reports whether row i can be used and comes after row i−1 without a gap.
func (s *Series) follows(c *Channel, i int) bool { return c.Usable(i) && s.joined(i) }

// meanStep is the mean difference between neighbours, without sign; 0 where there are none.
func (s *Series) meanStep(c *Channel) float64 {
	sum, n := 0.0, 0
	for i := 1; i < len(c.Values); i++ {
		if s.follows(c, i) && c.Usable(i-1) {
			sum += math.Abs(c.Values[i] - c.Values[i-1])
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}

package solar

import (
	"math"

	"mastworth/resource"
)

// light is what a record says of one step, W/m², means over the whole step; NaN where it says nothing.
type light struct{ global, direct, diffuse float64 }

// source says how a step's split was had.
type source uint8

const (
	sourceNone    source = iota // not enough said
	sourceDark                  // the sun is down
	sourceSplit                 // global alone: Erbs
	sourceClosure               // two of three
	sourceAll                   // all three
	sourceWrong                 // beyond what is physically possible
)

// complete fills in what is missing of global, direct normal and diffuse over a step under sun s. Where all three are
// given, direct and diffuse are used as they are, and global for the ground alone.
func (l light) complete(s *stepSun, pressureShare float64) (light, source) {
	g, b, d := l.global == l.global, l.direct == l.direct, l.diffuse == l.diffuse
	l.global, l.direct, l.diffuse = floor0(l.global), floor0(l.direct), floor0(l.diffuse)
	if l.impossible(s) {
		return l, sourceWrong
	}
	switch {
	case g && b && d:
		return l, sourceAll
	case b && d:
		l.global = l.direct*s.up + l.diffuse
		return l, sourceClosure
	case g && d:
		l.direct = bounded(max(0, l.global-l.diffuse)/s.up, s, pressureShare)
		l.diffuse = l.global - l.direct*s.up
		return l, sourceClosure
	case g && b:
		l.direct = min(l.direct, l.global/s.up)
		l.diffuse = l.global - l.direct*s.up
		return l, sourceClosure
	case g:
		share := HourlyDiffuseShare(l.global / s.extraterrestrial())
		l.direct = bounded(l.global*(1-share)/s.up, s, pressureShare)
		l.diffuse = l.global - l.direct*s.up
		return l, sourceSplit
	}
	return l, sourceNone
}

// floor0 makes the small negative readings of a cold pyranometer 0 and lets NaN pass.
func floor0(v float64) float64 {
	if v < 0 {
		return 0
	}
	return v
}

// impossible tests against the physically possible limits of the Baseline Surface Radiation Network (Long & Dutton
// 2002), W/m², with the sun's mean height over its part of the step.
func (l light) impossible(s *stepSun) bool {
	high := math.Pow(s.up, 1.2) * s.normal
	return l.global > 1.5*high+100 || l.diffuse > 0.95*high+50 || l.direct > s.normal
}

// bounded keeps a direct irradiance that is derived, W/m² over the step, below what a clear sky lets through: at low sun
// a small error of the split is divided by a small cosine. Clear sky by Meinel & Meinel 1976, 0.7^(AM^0.678), and 15 %
// more; the rest of the light is taken as diffuse. pressureShare is the site's pressure over that at sea level.
func bounded(direct float64, s *stepSun, pressureShare float64) float64 {
	above := s.normal * s.share
	if s.up > 0.35 && direct < 0.5*above { // air mass below 3, which lets through more than half
		return direct
	}
	mass := airMass(s.up, math.Acos(min(s.up, 1))/rad) * pressureShare
	return min(direct, 1.15*above*math.Pow(0.7, math.Pow(mass, 0.678)))
}

// column is a channel of a record as this package reads it; nil says nothing.
type column struct{ channel *resource.Channel }

func (c column) at(i int) float64 {
	if c.channel == nil || !c.channel.Usable(i) {
		return math.NaN()
	}
	return c.channel.Values[i]
}

// within is the value if it lies within the limits, which are what air can be; NaN if not.
func (c column) within(i int, low, up float64) float64 {
	if v := c.at(i); v >= low && v <= up {
		return v
	}
	return math.NaN()
}

// fullest is the channel of a quantity with the most usable values; of several as full, the one nearest to a height.
func fullest(s *resource.Series, q resource.Quantity, heightM float64) column {
	var best column
	most, nearest := 0, math.Inf(1)
	for i := range s.Channels {
		ch := &s.Channels[i]
		if ch.Quantity != q {
			continue
		}
		n := 0
		for k := range ch.Values {
			if ch.Usable(k) {
				n++
			}
		}
		off := math.Abs(ch.HeightM - heightM)
		if off != off {
			off = math.MaxFloat64
		}
		if n > most || n == most && n > 0 && off < nearest {
			best, most, nearest = column{ch}, n, off
		}
	}
	return best
}

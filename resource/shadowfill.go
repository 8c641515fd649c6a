package resource

import "slices"

// twinHeights is how much the heights of two sensors differ at most, as a share of the upper, for one to stand in for the
// other; that of the rule of mast shadow.
const twinHeights = 0.1

// Filled is a speed channel whose values in the mast's shadow were taken from a sensor beside it.
type Filled struct {
	Channel, From int // places in Series.Channels
	N             int // values taken
}

// FillShadow is the record with the speeds that stand in the mast's shadow (FlagShadow) taken from a usable sensor at about
// the same height. Leaving whole directions out would turn the rose and shift the mean; the twin has the wind from there. The
// record itself is not changed; where nothing is filled it is returned as it is.
func FillShadow(s *Series) (*Series, []Filled) {
	var filled []Filled
	out := s
	for i := range s.Channels {
		c := &s.Channels[i]
		if c.Quantity != Speed || c.Flags == nil || !slices.ContainsFunc(c.Flags, func(f Flag) bool { return f&FlagShadow != 0 }) {
			continue
		}
		from, n := s.twinInShadow(i)
		if n == 0 {
			continue
		}
		if out == s {
			own := *s
			own.Channels = slices.Clone(s.Channels)
			out = &own
		}
		out.Channels[i].fillFrom(&s.Channels[from], usualRatio(c, &s.Channels[from]))
		filled = append(filled, Filled{Channel: i, From: from, N: n})
	}
	return out, filled
}

// twinInShadow is the sensor that can fill most of a channel's shadow, and how many values.
func (s *Series) twinInShadow(channel int) (twin, n int) {
	c := &s.Channels[channel]
	twin = -1
	for k := range s.Channels {
		o := &s.Channels[k]
		if k == channel || o.Quantity != Speed || !sameHeight(c, o, twinHeights) {
			continue
		}
		fills := 0
		for i, f := range c.Flags {
			if f == FlagShadow && o.Usable(i) {
				fills++
			}
		}
		if fills > n {
			twin, n = k, fills
		}
	}
	return twin, n
}

// usualRatio is the mean of a channel over that of its twin where both are usable, so out of the shadow of either; 1 where they
// never are.
func usualRatio(c, twin *Channel) float64 {
	var own, other float64
	for i := range c.Values {
		if c.Usable(i) && twin.Usable(i) {
			own += c.Values[i]
			other += twin.Values[i]
		}
	}
	if !(own > 0 && other > 0) {
		return 1
	}
	return own / other
}

// fillFrom takes the twin's values, times the ratio the two usually have, where nothing but the shadow speaks against one's own,
// into slices of its own.
func (c *Channel) fillFrom(twin *Channel, ratio float64) {
	c.Values, c.Flags = slices.Clone(c.Values), slices.Clone(c.Flags)
	for i, f := range c.Flags {
		if f == FlagShadow && twin.Usable(i) {
			c.Values[i], c.Flags[i] = ratio*twin.Values[i], 0
		}
	}
}

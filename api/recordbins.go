package api

import (
	"math"

	"mastworth/api/page"
	"mastworth/resource"
)

// speedBins are a channel's speeds in bins that suit the picture: each holds as many of the steps that the speeds were written in, or is a mile
// an hour wide where that is the unit shown and speeds are fine enough. It is nil where the statistics' own bins do as well.
func speedBins(s *resource.Series, channel int, u page.Units) *page.SpeedBins {
	const usual, mph = 0.5, 0.44704 // m/s; the latter exactly, 1609.344 m in 3600 s
	speeds := usableSpeeds(s, channel)
	const fine = 0.2 // a pitch below this leaves no comb in the usual bins
	switch pitch := resource.GridOf(&s.Channels[channel]); {
	case pitch > fine:
		return binsOnGrid(speeds, pitch, math.Ceil(usual/pitch))
	case u.Feet && pitch == 0:
		h := resource.NewHistogram(speeds, mph)
		return &page.SpeedBins{EdgesMS: h.Edges, Shares: h.Shares, CalmShare: h.Calm}
	}
	return nil
}

// binsOnGrid counts speeds that are multiples of a pitch, m/s, into bins of so many of them. Edges lie half a pitch beside them, the first half a
// pitch above 0: what few speeds lie below that go with the first bin.
func binsOnGrid(speeds []float64, pitch, steps float64) *page.SpeedBins {
	width, shift := steps*pitch, (steps-0.5)*pitch
	for i, v := range speeds {
		if v > 0 {
			speeds[i] = max(v+shift, width)
		}
	}
	h := resource.NewHistogram(speeds, width) // its first bin ends where the first of ours begins
	out := &page.SpeedBins{CalmShare: h.Calm}
	for i := 1; i < len(h.Edges); i++ {
		out.EdgesMS = append(out.EdgesMS, h.Edges[i]-shift)
	}
	if len(h.Shares) > 1 {
		out.Shares = h.Shares[1:]
	}
	return out
}

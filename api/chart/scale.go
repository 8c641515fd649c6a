package chart

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// scale is an axis' range with its ticks.
type scale struct {
	min, max float64
	ticks    []tick
}

// share is how far along the range a value lies: 0 at its beginning, 1 at its end.
func (s scale) share(v float64) float64 { return (v - s.min) / (s.max - s.min) }

// extents are the widest and the tallest of a scale's labels.
func (s scale) extents(style draw.TextStyle) (widest, tallest vg.Length) {
	for _, t := range s.ticks {
		for line := range strings.SplitSeq(t.Label, "\n") {
			if line != "" {
				size := style.Rectangle(line).Size()
				widest, tallest = max(widest, size.X), max(tallest, size.Y)
			}
		}
	}
	return widest, tallest
}

// scaleOf is a scale with about so many round ticks that holds every known number given; with zero, also 0. Its ends are ticks.
func scaleOf(zero bool, want int, lists ...[]float64) scale {
	lo, hi := extent(lists...)
	if zero {
		lo, hi = min(lo, 0), max(hi, 0)
	}
	return roundScale(lo, hi, want, true)
}

// innerScale is the same, but ends where the numbers do, with a margin of a share of their range.
func innerScale(want int, share float64, lists ...[]float64) scale {
	lo, hi := extent(lists...)
	pad := (hi - lo) * share
	if pad == 0 && hi == lo {
		pad = max(1, math.Abs(hi)*0.1)
	}
	return roundScale(lo-pad, hi+pad, want, false)
}

// atEach is a scale of few things, whose ticks are the things themselves, in their unit; crowded ones go without. Many have round ticks.
func atEach(list []float64, unit string) scale {
	s := innerScale(6, 0.05, list)
	const many, apart = 8, 0.09 // apart: a share of the range
	if len(list) > many || !anyKnown(list) {
		return s
	}
	sorted := slices.Clone(list)
	slices.Sort(sorted)
	s.ticks = nil
	for _, v := range sorted {
		if n := len(s.ticks); known(v) && (n == 0 || s.share(v)-s.share(s.ticks[n-1].Value) >= apart) {
			s.ticks = append(s.ticks, tick{Value: v, Label: figureIn(v, unit)})
		}
	}
	return s
}

// extent is the least and the greatest known number; 0 and 1 without any. Numbers beyond 1e15 either way count as that.
func extent(lists ...[]float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, list := range lists {
		for _, x := range list {
			if known(x) {
				lo, hi = min(lo, x), max(hi, x)
			}
		}
	}
	if lo > hi {
		return 0, 1
	}
	const most = 1e15
	return min(max(lo, -most), most), min(max(hi, -most), most)
}

// roundScale has ticks at multiples of 1, 2 or 5 times a power of ten, about so many.
func roundScale(lo, hi float64, want int, widen bool) scale {
	if hi-lo <= 1e-12*max(math.Abs(lo), math.Abs(hi)) {
		reach := max(1, math.Abs(hi)*0.1)
		if lo == 0 {
			hi += reach
		} else {
			lo, hi = lo-reach, hi+reach
		}
	}
	step := roundStep((hi - lo) / float64(max(1, want)))
	from, to := math.Floor(lo/step+1e-9), math.Ceil(hi/step-1e-9)
	if widen {
		lo, hi = from*step, to*step
	}
	s := scale{min: lo, max: hi}
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	for i := from; i <= to; i++ {
		v := i * step
		if v < lo-step*1e-9 || v > hi+step*1e-9 {
			continue
		}
		s.ticks = append(s.ticks, tick{Value: v, Label: tickLabel(v, decimals)})
	}
	return s
}

// roundStep is the least of 1, 2, 5 times a power of ten that is not below x.
func roundStep(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, m := range [...]float64{1, 2, 5} {
		if m*power >= x*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

func tickLabel(v float64, decimals int) string {
	if math.Abs(v) >= 1e6 || decimals > 6 {
		return signed(strconv.FormatFloat(v, 'g', 4, 64))
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if v == 0 || s == "-0" {
		return "0"
	}
	return signed(s)
}

// named is the scale of things side by side: 0, 1, … with a half to either side.
func named(names []string) scale {
	s := scale{min: -0.5, max: float64(len(names)) - 0.5}
	for i, n := range names {
		s.ticks = append(s.ticks, tick{Value: float64(i), Label: n})
	}
	return s
}

// energyUnit is the unit a picture shows energies in: kWh, or MWh where the greatest is 20 000 kWh and more.
func energyUnit(lists ...[]float64) (unit string, per float64) {
	if _, hi := extent(lists...); hi >= 20000 {
		return "MWh", 1000
	}
	return "kWh", 1
}

// powerUnit is the unit a picture shows powers in: W, or kW where the greatest is 2000 W and more.
func powerUnit(lists ...[]float64) (unit string, per float64) {
	if _, hi := extent(lists...); hi >= 2000 {
		return "kW", 1000
	}
	return "W", 1
}

// over divides every number.
func over(list []float64, by float64) []float64 {
	if list == nil {
		return nil
	}
	out := make([]float64, len(list))
	for i, x := range list {
		out[i] = x / by
	}
	return out
}

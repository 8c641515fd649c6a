package bins

import (
	"math"

	"mastworth/yield"
)

// categoryB works out the standard uncertainty of each bin that comes from the instruments (IEC 61400-12-1, from memory):
//
//	u² = (P·u_P)² + (c·V·u_V)² + u_ρ²,   c = |P_i − P_{i−1}| / |V_i − V_{i−1}|
//
// with u_P, u_V and u_ρ relative; the wind's takes in that of the shear between sensor and hub. The density's is P·u_ρ, or
// c·V·u_ρ/3 where the speed is normalised.
func categoryB(bins []Bin, o *Options, shear float64) {
	wind := math.Hypot(o.SpeedUncertainty, shear)
	for i := range bins {
		b := &bins[i]
		if b.N == 0 {
			continue
		}
		c := sensitivity(bins, i)
		air := b.PowerW * o.DensityUncertainty
		if o.Regulation == yield.Pitch {
			air = c * b.SpeedMS * o.DensityUncertainty / 3
		}
		b.UncertaintyBW = math.Hypot(math.Hypot(b.PowerW*o.PowerUncertainty, c*b.SpeedMS*wind), air)
	}
}

// sensitivity is how much power a bin gains with wind, W per m/s: to the bin with data below it, or for the lowest to the
// one above. A lone bin gains as the cube of the wind does.
func sensitivity(bins []Bin, i int) float64 {
	j := i - 1
	for j >= 0 && bins[j].N == 0 {
		j--
	}
	if j < 0 {
		for j = i + 1; j < len(bins) && bins[j].N == 0; j++ {
		}
		if j == len(bins) {
			return 3 * math.Abs(bins[i].PowerW) / max(bins[i].SpeedMS, binWidthMS)
		}
	}
	dv := math.Abs(bins[i].SpeedMS - bins[j].SpeedMS)
	if dv < binWidthMS/2 { // two thin bins, whose means happen to lie close
		dv = math.Abs(bins[i].CentreMS - bins[j].CentreMS)
	}
	return math.Abs(bins[i].PowerW-bins[j].PowerW) / dv
}

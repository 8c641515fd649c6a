package bins

import (
	"math"

	"mastworth/yield"
)

// The mean speeds a year's energy is told for, m/s, and what share of the extrapolated energy must have been measured
// (IEC 61400-12-1).
const (
	lowestMeanMS  = 4
	highestMeanMS = 11
	measuredShare = 0.95
)

// rayleighBelow is the share of time that a Rayleigh wind of a mean speed is below a speed.
func rayleighBelow(speed, mean float64) float64 {
	r := speed / mean
	return -math.Expm1(-math.Pi / 4 * r * r)
}

// energies is a year's energy of the complete bins at each mean speed, with its standard uncertainty (IEC 61400-12-1):
//
//	AEP = 8760 Σ [F(V_i) − F(V_{i−1})]·(P_{i−1} + P_i)/2
//	u²  = 8760² [Σ f_i²·s_i² + (Σ f_i·u_i)²],   f_i = F(V_i) − F(V_{i−1})
//
// Scatter of one bin knows nothing of the next, so category A adds as squares; an instrument is wrong in all bins alike, so
// category B adds as it is. The first step starts half a metre a second below the first bin, at no power. Bins that draw
// power count as making none, as in the curve.
func energies(bins []Bin, curve *yield.Curve, cutOutMS float64) []Energy {
	var out []Energy
	for mean := float64(lowestMeanMS); mean <= highestMeanMS; mean++ {
		e := Energy{MeanSpeedMS: mean, MeasuredKWh: curve.BinSumAnnualKWh(mean)}
		scatter, instruments, before := 0.0, 0.0, math.NaN()
		last := Bin{}
		for i := range bins {
			b := &bins[i]
			if !b.Complete {
				continue
			}
			if math.IsNaN(before) {
				before = max(0, b.SpeedMS-binWidthMS)
			}
			f := rayleighBelow(b.SpeedMS, mean) - rayleighBelow(before, mean)
			scatter += f * f * b.UncertaintyAW * b.UncertaintyAW
			instruments += f * b.UncertaintyBW
			before, last = b.SpeedMS, *b
		}
		e.UncertaintyKWh = yield.AnnualKWh(math.Hypot(math.Sqrt(scatter), instruments))
		e.ExtrapolatedKWh = e.MeasuredKWh
		if last.SpeedMS < cutOutMS {
			share := rayleighBelow(cutOutMS, mean) - rayleighBelow(last.SpeedMS, mean)
			e.ExtrapolatedKWh += yield.AnnualKWh(share * max(0, last.PowerW))
		}
		e.Complete = e.MeasuredKWh > 0 && e.MeasuredKWh >= measuredShare*e.ExtrapolatedKWh
		out = append(out, e)
	}
	return out
}

package yield

import "math"

// BinSumAnnualKWh is the yearly energy in kWh of a measured curve in a Rayleigh wind of a mean speed in m/s, by the sum of
// IEC 61400-12-1:
//
//	E = 8760 Σ [F(Vᵢ) − F(Vᵢ₋₁)] (Pᵢ₋₁ + Pᵢ)/2,   F(V) = 1 − exp(−(π/4)(V/V̄)²)
//
// with no power half a metre a second below the first point. It takes the power as even within a step, so it differs from
// the exact integral of MeanPowerWeibull where steps are wide.
func (c *Curve) BinSumAnnualKWh(meanSpeedMS float64) float64 {
	below := func(v float64) float64 { r := v / meanSpeedMS; return -math.Expm1(-math.Pi / 4 * r * r) }
	last := Point{SpeedMS: max(0, c.points[0].SpeedMS-0.5)}
	sum := 0.0
	for _, p := range c.points {
		sum += (below(p.SpeedMS) - below(last.SpeedMS)) * (last.PowerW + p.PowerW) / 2
		last = p
	}
	return AnnualKWh(sum)
}

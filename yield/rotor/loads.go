package rotor

import "math"

// stillAir is the highest tip-speed ratio; a rotor turning in stiller air is solved at it.
const stillAir = 1000

// Loads is what acts on a rotor. The coefficients refer to the whole disc: power over ½ρAV³, torque over ½ρARV², thrust
// over ½ρAV². Torque above 0 drives the rotor.
type Loads struct {
	PowerW, TorqueNm, ThrustN float64
	Cp, Cq, Ct                float64
}

// At solves the rotor in a wind in m/s at a rotor speed in rad/s, in air of a density in kg/m³ and a dynamic viscosity in
// Pa·s (0: AirViscosityPaS). In air slower than a thousandth of the tips the coefficients are 0 and the loads those of a fan. Arguments below 0 or NaN,
// and a density that is not above 0, make every load NaN.
func (p *Prepared) At(windMS, omegaRadS, rho, viscosity float64) Loads {
	if !(windMS >= 0 && omegaRadS >= 0 && rho > 0 && viscosity >= 0) || math.IsInf(windMS+omegaRadS+rho+viscosity, 1) {
		nan := math.NaN()
		return Loads{nan, nan, nan, nan, nan, nan}
	}
	tipSpeed := omegaRadS * p.radiusM
	wind := max(windMS, tipSpeed/stillAir)
	if wind == 0 {
		return Loads{}
	}
	if viscosity == 0 {
		viscosity = AirViscosityPaS
	}
	cq, ct := p.coefficients(tipSpeed/wind, rho*wind/viscosity)
	pressure := 0.5 * rho * wind * wind * math.Pi * p.radiusM * p.radiusM
	l := Loads{PowerW: cq * pressure * tipSpeed, TorqueNm: cq * pressure * p.radiusM, ThrustN: ct * pressure}
	if wind == windMS {
		l.Cp, l.Cq, l.Ct = cq*tipSpeed/wind, cq, ct
	}
	return l
}

// Characteristic is the rotor's loads over tip-speed ratios from 0 in a wind in m/s and air of a density in kg/m³; the wind
// enters the coefficients through the Reynolds number alone. Cq at 0 is the torque of a standing rotor.
func (p *Prepared) Characteristic(windMS, rho float64, lambdas []float64) []Loads {
	out := make([]Loads, len(lambdas))
	for i, lambda := range lambdas {
		out[i] = p.At(windMS, lambda*windMS/p.radiusM, rho, 0)
	}
	return out
}

// coefficients are torque and thrust at a tip-speed ratio and a Reynolds number of the wind per m.
func (p *Prepared) coefficients(lambda, reynoldsPerM float64) (cq, ct float64) {
	s := state{section: p.section, polar: p.polar}
	share := 0.7 // of the inflow angle in that of air not slowed; it changes little from ring to ring
	for i := range p.elements {
		e := &p.elements[i]
		s.e, s.lambda = e, lambda*e.radius
		// The Reynolds number is that of the air before the rotor slows it, a few per cent high.
		s.reynolds = reynoldsPerM * e.chordM * math.Sqrt(1+s.lambda*s.lambda)
		if s.polar != nil {
			s.friction = s.polar.friction(s.reynolds)
		}
		free := math.Atan2(1, s.lambda)
		f := s.solve(min(share*free, math.Pi/2))
		if !(f.stretched > 0) {
			continue // the air stands still before the blade
		}
		share = max(f.phi/free, 0.1)
		w := f.sin / f.stretched // relative speed over the wind
		push := e.area * e.solidity * w * w
		ct += push * f.normal
		cq += push * f.tangent * e.radius
	}
	return cq, ct
}

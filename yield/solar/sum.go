package solar

import "math"

// sample is a time with one direction of the sun, ready to be put on any tilt.
type sample struct {
	up, ahead float64 // cos θ = up·cos β + ahead·sin β
	parts     Parts   // W/m²
	ground    float64 // what the ground sends back, W/m²
	k0, k1    float64 // power per irradiance: k0 + k1·G, the cell's warming being linear in G
	hours     float64 // how long it stands for in the year
	month     int     // 0 to 11
}

// transmissionSteps is fine enough that a straight line between steps is within 1e-4 of the beam.
const transmissionSteps = 256

// glass holds, from cos θ = i/transmissionSteps on, cos θ times the transmission of the beam and its rise to the next step.
type glass [transmissionSteps + 1]struct{ through, rise float64 }

// newGlass is BeamTransmission along equal steps, where its exponential is a geometric row.
func newGlass(angularLoss float64) *glass {
	const step = 1.0 / transmissionSteps
	ratio, norm := math.Exp(-step/angularLoss), -math.Expm1(-1/angularLoss)
	g := new(glass)
	e, through := 1.0, 0.0
	for i := range g {
		e *= ratio
		next := float64(i+1) * step * (1 - e) / norm
		g[i].through, g[i].rise = through, next-through
		through = next
	}
	return g
}

var plainGlass = newGlass(DefaultAngularLoss)

func (a *Array) glass() *glass {
	if a.AngularLoss == DefaultAngularLoss {
		return plainGlass
	}
	return newGlass(a.AngularLoss)
}

// yearSum adds samples up on a tilted plane. It holds what does not change with the tilt.
type yearSum struct {
	array   *Array
	glass   *glass
	samples []sample
}

// warm sets the power per irradiance of a sample from its air and wind: PowerFactor of CellTemperature, as a line in G.
func (a *Array) warm(s *sample, airC, windMS float64) {
	s.k0 = 1 + a.TemperatureCoefficientPerK*(airC-25)
	s.k1 = a.TemperatureCoefficientPerK / (a.HeatLoss + a.HeatLossWind*windMS)
}

// factors are what a tilt gets of each part of the light, through the glass or before it.
type factors struct{ sinB, cosB, dome, horizon, ground float64 }

func (y *yearSum) factors(tiltDeg float64, glass bool) factors {
	var f factors
	f.sinB, f.cosB = math.Sincos(tiltDeg * rad)
	f.dome, f.ground = DomeFactor(tiltDeg), GroundFactor(tiltDeg)
	f.horizon = y.array.Sky.HorizonFactor(tiltDeg)
	if glass {
		sky, ground := y.array.DiffuseTransmission(tiltDeg)
		f.dome, f.horizon, f.ground = f.dome*sky, f.horizon*sky, f.ground*ground
	}
	return f
}

// behind is what reaches the cells of a plane, W/m². It is apart from powerOf so that both are inlined: the search for the best tilt
// asks for some thousand samples.
func (s *sample) behind(g *glass, f *factors) float64 {
	light := s.parts.Dome*f.dome + s.parts.Horizon*f.horizon + s.ground*f.ground
	if c := (s.up*f.cosB + s.ahead*f.sinB) * transmissionSteps; c > 0 {
		i := int(c) // cos θ is 1 at most, but for rounding: the table has one step to spare
		light += s.parts.Beam * (g[i].through + (c-float64(i))*g[i].rise)
	}
	return light
}

// powerOf is the mean power under a light on the cells, W per kW.
func (s *sample) powerOf(light float64) float64 {
	return max(0, light*(s.k0+s.k1*light))
}

// annual is the year's energy before losses, kWh/kW.
func (y *yearSum) annual(tiltDeg float64) float64 {
	f := y.factors(tiltDeg, true)
	e := 0.0
	for i := range y.samples {
		s := &y.samples[i]
		e += s.hours * s.powerOf(s.behind(y.glass, &f))
	}
	return e / 1000
}

// irradiation is the year's irradiation on the plane, kWh/m², before the glass.
func (y *yearSum) irradiation(tiltDeg float64) float64 {
	f := y.factors(tiltDeg, false)
	e := 0.0
	for i := range y.samples {
		s := &y.samples[i]
		g := s.parts.Dome*f.dome + s.parts.Horizon*f.horizon + s.ground*f.ground
		g += s.parts.Beam * max(0, s.up*f.cosB+s.ahead*f.sinB)
		e += s.hours * g
	}
	return e / 1000
}

// yield puts the samples on the plane asked for, or on its best tilt.
func (y *yearSum) yield(p Plane, best bool, basis string) Yield {
	if best {
		p.TiltDeg = bestTilt(y.annual)
	}
	out := Yield{Plane: p, Basis: basis, MonthlyKWhPerKW: make([]float64, 12)}
	f := y.factors(p.TiltDeg, true)
	keep := (1 - y.array.Losses) / 1000
	for i := range y.samples {
		s := &y.samples[i]
		out.MonthlyKWhPerKW[s.month] += s.hours * s.powerOf(s.behind(y.glass, &f)) * keep
	}
	for _, m := range out.MonthlyKWhPerKW {
		out.KWhPerKW += m
	}
	out.PlaneIrradiationKWhM2 = y.irradiation(p.TiltDeg)
	return out
}

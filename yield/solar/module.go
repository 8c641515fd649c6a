package solar

import "math"

// CellTemperature is the cell's temperature, °C, in air of airC, °C, under irradiance on the plane, W/m², in a wind of
// windMS, m/s, at the modules: Faiman 2008, Tc = Ta + G / (U0 + U1·v). NaN for NaN.
func (a Array) CellTemperature(airC, irradianceWM2, windMS float64) float64 {
	return airC + irradianceWM2/(a.HeatLoss+a.HeatLossWind*windMS)
}

// NOCTCellTemperature is the cell's temperature, °C, from the nominal operating cell temperature of a data sheet, °C:
// Tc = Ta + (NOCT − 20)·G/800, from the conditions that NOCT is defined by (800 W/m², 20 °C, 1 m/s, IEC 61215). It knows
// no wind and serves as a check.
func NOCTCellTemperature(airC, irradianceWM2, noctC float64) float64 {
	return airC + (noctC-20)*irradianceWM2/800
}

// PowerFactor is the module's power at a cell temperature, °C, as a share of its power at 25 °C, both under the same
// irradiance: linear, not below 0.
func (a Array) PowerFactor(cellC float64) float64 {
	return max(0, 1+a.TemperatureCoefficientPerK*(cellC-25))
}

// BeamTransmission is the share of direct light that enters the glass at an angle of incidence of the given cosine,
// against normal incidence: Martin & Ruiz 2001, as in IEC 61853-3. 0 for a cosine of 0 or less.
func (a Array) BeamTransmission(cosIncidence float64) float64 {
	if cosIncidence <= 0 {
		return 0
	}
	return -math.Expm1(-cosIncidence/a.AngularLoss) / -math.Expm1(-1/a.AngularLoss)
}

// DiffuseTransmission is the same for the light of an even sky and of the ground on a plane of the given tilt:
// Martin & Ruiz 2001 with the corrigendum of 2013; c1 and c2 as in IEC 61853-3.
func (a Array) DiffuseTransmission(tiltDeg float64) (sky, ground float64) {
	b := tiltDeg * rad
	sinB, cosB := math.Sincos(b)
	c1, c2 := 4/(3*math.Pi), 0.5*a.AngularLoss-0.154
	share := func(t float64) float64 { return -math.Expm1(-(c1*t + c2*t*t) / a.AngularLoss) }
	sky = share(sinB + (math.Pi-b-sinB)/(1+cosB))
	ground = 0
	if b > 1e-6 {
		ground = share(sinB + (b-sinB)/(1-cosB))
	}
	return sky, ground
}

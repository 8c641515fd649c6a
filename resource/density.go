package resource

import "math"

// Constants of the standard atmosphere, ISO 2533 and U.S. Standard Atmosphere 1976, the same below 32 km.
const (
	standardTempK      = 288.15     // at sea level
	standardPressurePa = 101325     // at sea level
	lapseKPerM         = 0.0065     // fall of temperature with geopotential height
	pressureExponent   = 5.255876   // g·M/(R·lapse)
	earthRadiusM       = 6356766    // that makes geopotential height of geometric
	molarMass          = 28.9644    // of air, kg/kmol
	gasConstant        = 8314.32    // J/(kmol·K), of 1976
	tropopauseM        = 11000      // geopotential: the linear fall of temperature ends
	lowestM            = -5000      // geopotential: where the tables begin
	zeroCelsiusK       = 273.15     // 0 °C
	gasConstantDryAir  = 287.05     // J/(kg·K), IEC 61400-12-1
	gasConstantVapour  = 461.5      // J/(kg·K), IEC 61400-12-1
	vapourPressurePa   = 0.0000205  // IEC 61400-12-1: saturation pressure is this times exp(vapourPerK·T)
	vapourPerK         = 0.0631846  // 1/K
	altimeterExponent  = 0.190284   // of the altimeter setting
	altimeterPerM      = 8.42288e-5 // hPa^n/m
	altimeterStepHPa   = 0.3        // of the altimeter setting
	pascalsPerHPa      = 100
)

// geopotential is the geopotential height of a geometric one, m (USSA 1976, eq. 18).
func geopotential(z float64) float64 { return earthRadiusM * z / (earthRadiusM + z) }

// StandardAir is the standard atmosphere at an elevation above sea level, m: temperature in °C, pressure in Pa, density
// in kg/m³ (ISO 2533; U.S. Standard Atmosphere 1976). It holds in the troposphere, from −5000 m to 11 000 m geopotential
// height; all three are NaN outside and for NaN.
//
//	H = 6356766·Z/(6356766+Z)
//	T = 288.15 − 0.0065·H
//	p = 101325·(T/288.15)^5.255876
//	ρ = p·28.9644/(8314.32·T)
func StandardAir(elevationM float64) (tempC, pressurePa, density float64) {
	h := geopotential(elevationM)
	if !(h >= lowestM && h <= tropopauseM) {
		return math.NaN(), math.NaN(), math.NaN()
	}
	t := standardTempK - lapseKPerM*h
	pressurePa = standardPressurePa * math.Pow(t/standardTempK, pressureExponent)
	return t - zeroCelsiusK, pressurePa, pressurePa * molarMass / (gasConstant * t)
}

// AirDensity is the density of moist air, kg/m³, from temperature in °C, station pressure in Pa and relative humidity
// from 0 to 1 (IEC 61400-12-1):
//
//	ρ = (1/T)·[B/R0 − φ·Pw·(1/R0 − 1/Rw)],  Pw = 0.0000205·exp(0.0631846·T)
//
// Unknown humidity (NaN) counts as dry air, which is dense by 0.3 % at 15 °C and by 0.6 % at 25 °C if the air is really
// half saturated. NaN temperature or pressure gives NaN. The vapour formula is good to 0.1 % of density up to 35 °C.
func AirDensity(tempC, pressurePa, humidity float64) float64 {
	if math.IsNaN(humidity) {
		humidity = 0
	}
	t := tempC + zeroCelsiusK
	vapour := humidity * vapourPressurePa * math.Exp(vapourPerK*t)
	return (pressurePa/gasConstantDryAir - vapour*(1/gasConstantDryAir-1/gasConstantVapour)) / t
}

// PressureAt carries a pressure, Pa, measured at elevation fromM where the air has tempC, to elevation toM, both m above
// sea level, through air that cools by 6.5 K/km of geopotential height, as the standard atmosphere does. NaN gives NaN.
//
//	p·(1 − 0.0065·(H2−H1)/T1)^5.255876
func PressureAt(pressurePa, tempC, fromM, toM float64) float64 {
	step := geopotential(toM) - geopotential(fromM)
	return pressurePa * math.Pow(1-lapseKPerM*step/(tempC+zeroCelsiusK), pressureExponent)
}

// StationPressure turns an altimeter setting, Pa, as airports report it, into the pressure at the station, Pa, at its
// elevation, m above sea level (the relation of the U.S. weather service; constants second-hand). With hPa and m:
//
//	p = (A^0.190284 − 8.42288e-5·h)^(1/0.190284) + 0.3
//
// NaN gives NaN; so does an elevation above any the relation can bear (44 km).
func StationPressure(altimeterPa, elevationM float64) float64 {
	a := math.Pow(altimeterPa/pascalsPerHPa, altimeterExponent) - altimeterPerM*elevationM
	return pascalsPerHPa * (math.Pow(a, 1/altimeterExponent) + altimeterStepHPa)
}

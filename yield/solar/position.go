package solar

import "math"

// Sun is where the sun's centre stands, seen from a place on the ground.
type Sun struct {
	ZenithDeg      float64 // from the vertical, degrees, with refraction; above 90 when the sun is down
	AzimuthDeg     float64 // clockwise from north, [0, 360)
	TrueZenithDeg  float64 // without refraction
	DeclinationDeg float64 // seen from the place (topocentric)
	HourAngleDeg   float64 // west of the meridian positive, (−180, 180], topocentric
	DistanceAU     float64 // from the Earth's centre
	// EquationOfTimeMin is apparent less mean solar time, minutes.
	EquationOfTimeMin float64
}

// Position is the sun's place in the sky at a time in Unix seconds (UTC), at a latitude and longitude in degrees, an
// elevation in metres, a station pressure in Pa and an air temperature in °C (the last two for refraction alone).
//
// It holds within 0.003° between 1960 and 2050 (refraction within 15° of the horizon apart, which the weather moves by
// more), provided that the time is UT1; UTC is within 0.9 s of it, 0.004°. Meeus, Astronomical Algorithms
// (2nd ed. 1998), chapters 12, 13, 22 and 25, parallax chapter 40; refraction after NREL/TP-560-34302, equation 42. NaN elevation counts as sea level; NaN pressure or temperature as
// 101325 Pa and 15 °C. A NaN time or place gives NaN.
func Position(unix, latDeg, lonDeg, elevationM, pressurePa, tempC float64) Sun {
	if elevationM != elevationM {
		elevationM = 0
	}
	e := ephemerisAt(unix)
	sinPhi, cosPhi := math.Sincos(latDeg * rad)
	hour := e.sidereal + lonDeg*rad - e.ra

	// Parallax: Meeus (11.1), (40.2), (40.3); Earth's flattening 1/298.257.
	u := math.Atan2(0.99664719*sinPhi, cosPhi)
	sinU, cosU := math.Sincos(u)
	rhoSin := 0.99664719*sinU + elevationM/6378140*sinPhi
	rhoCos := cosU + elevationM/6378140*cosPhi
	sinPar := math.Sin(8.794 / 3600 * rad / e.distance)
	sinH, cosH := math.Sincos(hour)
	sinDec, cosDec := math.Sincos(e.declination)
	den := cosDec - rhoCos*sinPar*cosH
	dRA := math.Atan2(-rhoCos*sinPar*sinH, den)
	dec := math.Atan2((sinDec-rhoSin*sinPar)*math.Cos(dRA), den)
	hour -= dRA

	sinH, cosH = math.Sincos(hour)
	sinDec, cosDec = math.Sincos(dec)
	up := sinPhi*sinDec + cosPhi*cosDec*cosH
	north := cosPhi*sinDec - sinPhi*cosDec*cosH
	east := -cosDec * sinH
	altitude := math.Atan2(up, math.Hypot(north, east)) / rad
	return Sun{
		ZenithDeg:         90 - altitude - refraction(altitude, pressurePa, tempC),
		AzimuthDeg:        circle(math.Atan2(east, north) / rad),
		TrueZenithDeg:     90 - altitude,
		DeclinationDeg:    dec / rad,
		HourAngleDeg:      180 - circle(180-hour/rad),
		DistanceAU:        e.distance,
		EquationOfTimeMin: e.equationOfTime(unix) / rad * 4,
	}
}

// refraction lifts a true altitude, degrees: NREL/TP-560-34302, equation 42, which is Saemundsson's in Meeus (16.4)
// scaled by pressure and temperature. A sun wholly below the horizon is not lifted.
func refraction(altitude, pressurePa, tempC float64) float64 {
	const disc, horizon = 0.26667, 0.5667
	if altitude < -(disc + horizon) {
		return 0
	}
	if pressurePa != pressurePa {
		pressurePa = 101325
	}
	if tempC != tempC {
		tempC = 15
	}
	return pressurePa / 101000 * 283 / (273 + tempC) * 1.02 / (60 * math.Tan((altitude+10.3/(altitude+5.11))*rad))
}

// equationOfTime is apparent less mean solar time, rad, (−π, π].
func (e ephemeris) equationOfTime(unix float64) float64 {
	meanSun := math.Mod(unix, secondsDay)/secondsDay*2*math.Pi - math.Pi // hour angle of the mean sun at Greenwich
	return math.Remainder(e.sidereal-e.ra-meanSun, 2*math.Pi)
}

// circle brings degrees into [0, 360).
func circle(deg float64) float64 {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	if deg >= 360 { // a negative number too small to matter
		deg = 0
	}
	return deg
}

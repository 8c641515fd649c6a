package solar

import "math"

// Plane is how the array faces.
type Plane struct {
	TiltDeg    float64 // from the horizontal, 0 to 90; not read where the best tilt is asked for
	AzimuthDeg float64 // the way it faces, degrees clockwise from north: 180 is south
}

// TowardsEquator is the azimuth that faces the equator: 180 north of it and on it, 0 south of it.
func TowardsEquator(latitudeDeg float64) float64 {
	if latitudeDeg < 0 {
		return 0
	}
	return 180
}

func (p Plane) check(best bool) error {
	if !best && !(p.TiltDeg >= 0 && p.TiltDeg <= 90) {
		return wrong("tilt", "must lie within 0 and 90 degrees, not %g", p.TiltDeg)
	}
	if !(math.Abs(p.AzimuthDeg) <= 360) {
		return wrong("azimuth", "must lie within 0 and 360 degrees clockwise from north, not %g", p.AzimuthDeg)
	}
	return nil
}

// CosIncidence is the cosine of the angle between the plane's normal and a sun at the given zenith and azimuth,
// degrees; below zero when the sun is behind the plane. Duffie & Beckman (1.6.3), with azimuths from north.
func (p Plane) CosIncidence(zenithDeg, azimuthDeg float64) float64 {
	sinZ, cosZ := math.Sincos(zenithDeg * rad)
	sinB, cosB := math.Sincos(p.TiltDeg * rad)
	return cosZ*cosB + sinZ*sinB*math.Cos((azimuthDeg-p.AzimuthDeg)*rad)
}

// SunDirection is the sun's zenith and azimuth, degrees, from latitude, declination and hour angle, degrees, the hour
// angle positive in the afternoon: Duffie & Beckman (1.6.5) and (1.6.6). At a pole the azimuth follows the hour angle as
// it does beside the pole.
func SunDirection(latitudeDeg, declinationDeg, hourAngleDeg float64) (zenithDeg, azimuthDeg float64) {
	sinDec, cosDec := math.Sincos(declinationDeg * rad)
	sinHour, cosHour := math.Sincos(hourAngleDeg * rad)
	sinPhi, cosPhi := math.Sincos(latitudeDeg * rad)
	up := sinPhi*sinDec + cosPhi*cosDec*cosHour
	north := cosPhi*sinDec - sinPhi*cosDec*cosHour
	east := -cosDec * sinHour
	return math.Atan2(math.Hypot(north, east), up) / rad, circle(math.Atan2(east, north) / rad)
}

// place holds the sines and cosines that turn hour angle and declination into a direction, and a direction into
// incidence on a plane of one azimuth: cos θ = up·cos β + ahead·sin β, linear in both, which makes a search over tilts
// cheap.
type place struct {
	sinPhi, cosPhi float64
	sinAz, cosAz   float64
}

func newPlace(latitudeDeg, azimuthDeg float64) place {
	var c place
	c.sinPhi, c.cosPhi = math.Sincos(latitudeDeg * rad)
	c.sinAz, c.cosAz = math.Sincos(azimuthDeg * rad)
	return c
}

// direction takes sine and cosine of declination and hour angle.
func (c *place) direction(sinDec, cosDec, sinHour, cosHour float64) (up, ahead float64) {
	up = c.sinPhi*sinDec + c.cosPhi*cosDec*cosHour
	north := c.cosPhi*sinDec - c.sinPhi*cosDec*cosHour
	east := -cosDec * sinHour
	return up, east*c.sinAz + north*c.cosAz
}

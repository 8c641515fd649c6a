package solar

import "math"

const (
	rad        = math.Pi / 180 // one degree, rad
	secondsDay = 86400
	j2000Unix  = 946728000 // 2000-01-01 12:00, Unix seconds
)

// term is one term A·cos(B + C·τ) of a planetary series.
type term struct{ a, b, c float64 }

// The largest terms of VSOP87 (Bretagnon & Francou 1988) for the Earth, as in Meeus 1998, appendix III, and
// NREL/TP-560-34302, table A4.2; τ in Julian millennia from J2000, angles in 1e-8 rad, radius in 1e-8 au. What is left
// out adds up to less than 10 arc seconds of longitude between 1960 and 2050.
var (
	earthL0 = [...]term{
		{175347046, 0, 0}, {3341656, 4.6692568, 6283.07585}, {34894, 4.6261, 12566.1517}, {3497, 2.7441, 5753.3849},
		{3418, 2.8289, 3.5231}, {3136, 3.6277, 77713.7715}, {2676, 4.4181, 7860.4194}, {2343, 6.1352, 3930.2097},
		{1324, 0.7425, 11506.7698}, {1273, 2.0371, 529.691}, {1199, 1.1096, 1577.3435}, {990, 5.233, 5884.927},
		{902, 2.045, 26.298}, {857, 3.508, 398.149}, {780, 1.179, 5223.694}, {753, 2.533, 5507.553},
		{505, 4.583, 18849.228}, {492, 4.205, 775.523},
	}
	earthL1 = [...]term{
		{628331966747, 0, 0}, {206059, 2.678235, 6283.07585}, {4303, 2.6351, 12566.1517}, {425, 1.59, 3.523},
	}
	earthL2 = [...]term{{52919, 0, 0}, {8720, 1.0721, 6283.0758}}
	earthB0 = [...]term{{280, 3.199, 84334.662}, {102, 5.422, 5507.553}}
	earthR0 = [...]term{
		{100013989, 0, 0}, {1670700, 3.0984635, 6283.07585}, {13956, 3.05525, 12566.1517}, {3084, 5.1985, 77713.7715},
		{1628, 1.1739, 5753.3849}, {1576, 2.8469, 7860.4194},
	}
	earthR1 = [...]term{{103019, 1.10749, 6283.07585}}
)

func sum(terms []term, tau float64) float64 {
	s := 0.0
	for _, t := range terms {
		s += t.a * math.Cos(t.b+t.c*tau)
	}
	return s
}

// ephemeris is the sun as seen from the Earth's centre.
type ephemeris struct {
	ra, declination float64 // apparent right ascension and declination, rad
	sidereal        float64 // apparent sidereal time at Greenwich, rad
	distance        float64 // au
}

// ephemerisAt follows Meeus 1998 at a time in Unix seconds (UTC, taken as UT1: they differ by less than 0.9 s).
func ephemerisAt(unix float64) ephemeris {
	d := (unix - j2000Unix) / secondsDay       // days of UT from J2000
	t := (d + deltaT(unix)/secondsDay) / 36525 // Julian centuries of TT from J2000
	tau := t / 10                              // millennia
	lon := 1e-8*(sum(earthL0[:], tau)+tau*(sum(earthL1[:], tau)+tau*sum(earthL2[:], tau))) + math.Pi
	lat := -1e-8 * sum(earthB0[:], tau)
	r := 1e-8 * (sum(earthR0[:], tau) + tau*sum(earthR1[:], tau))

	lon -= 0.09033 / 3600 * rad // to FK5, Meeus (25.9)
	dPsi, dEps := nutation(t)
	lon += dPsi - 20.4898/3600*rad/r // nutation and aberration, Meeus (25.10)
	// Obliquity, Meeus (22.2).
	eps := (23.439291111-t*(0.0130041667+t*(1.63889e-7-t*5.03611e-7)))*rad + dEps

	sinLon, cosLon := math.Sincos(lon)
	sinEps, cosEps := math.Sincos(eps)
	sinLat, cosLat := math.Sincos(lat)
	// Meeus (12.4), and the equation of the equinoxes.
	gmst := 280.46061837 + 360.98564736629*d + t*t*(0.000387933-t/38710000)
	return ephemeris{
		ra:          math.Atan2(sinLon*cosEps-sinLat/cosLat*sinEps, cosLon), // (13.3)
		declination: math.Asin(sinLat*cosEps + cosLat*sinEps*sinLon),        // (13.4)
		sidereal:    math.Mod(gmst, 360)*rad + dPsi*cosEps,
		distance:    r,
	}
}

// nutation in longitude and obliquity, rad, within 0.5 and 0.1 arc seconds: Meeus 1998, p. 144.
func nutation(t float64) (dPsi, dEps float64) {
	node := (125.04452 - 1934.136261*t) * rad
	sun := (280.4665 + 36000.7698*t) * rad
	moon := (218.3165 + 481267.8813*t) * rad
	sinN, cosN := math.Sincos(node)
	sinS, cosS := math.Sincos(2 * sun)
	sinM, cosM := math.Sincos(2 * moon)
	const second = rad / 3600
	dPsi = second * (-17.20*sinN - 1.32*sinS - 0.23*sinM + 0.21*2*sinN*cosN)
	dEps = second * (9.20*cosN + 0.57*cosS + 0.10*cosM - 0.09*(2*cosN*cosN-1))
	return dPsi, dEps
}

// deltaT is TT less UT, s, for 1900 to 2150: polynomials of Espenak & Meeus, NASA/TP-2006-214141. A second off moves
// the sun by 1e-5 degrees.
func deltaT(unix float64) float64 {
	y := 2000 + (unix-j2000Unix)/(365.25*secondsDay)
	switch {
	case y < 1961:
		t := y - 1920
		if y >= 1941 {
			t = y - 1950
			return 29.07 + 0.407*t - t*t/233 + t*t*t/2547
		}
		return 21.20 + t*(0.84493+t*(-0.076100+t*0.0020936))
	case y < 1986:
		t := y - 1975
		return 45.45 + 1.067*t - t*t/260 - t*t*t/718
	case y < 2005:
		t := y - 2000
		return 63.86 + t*(0.3345+t*(-0.060374+t*(0.0017275+t*(0.000651814+t*0.00002373599))))
	case y < 2050:
		t := y - 2000
		return 62.92 + t*(0.32217+t*0.005589)
	default:
		u := (y - 1820) / 100
		return -20 + 32*u*u - 0.5628*(2150-y)
	}
}
